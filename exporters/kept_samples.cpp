#include "exporters/kept_samples.hpp"

#include <array>
#include <cmath>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "engine/design/fingerprint.hpp"

namespace archwright::exporters {

namespace {

using KeptJson = nlohmann::ordered_json;

constexpr double kept_to_mm = 1e-5;

double kept(double value) {
    return std::round(value / kept_to_mm) * kept_to_mm;
}

/// Rows of `columns` figures each; nothing where that is not what stands there.
template <std::size_t columns>
std::optional<std::vector<std::array<double, columns>>> rows_of(const KeptJson& samples, const char* key) {
    const auto at = samples.find(key);
    if (at == samples.end() || !at->is_array() || at->size() > compare::most_samples) return std::nullopt;
    std::vector<std::array<double, columns>> rows;
    for (const KeptJson& row : *at) {
        if (!row.is_array() || row.size() != columns) return std::nullopt;
        std::array<double, columns> figures{};
        for (std::size_t k = 0; k < columns; ++k) {
            if (!row[k].is_number()) return std::nullopt;
            figures[k] = row[k].get<double>();
            constexpr double farthest_mm = 1e4;
            if (!(std::abs(figures[k]) < farthest_mm)) return std::nullopt;
        }
        rows.push_back(figures);
    }
    return rows;
}

std::optional<std::vector<compare::Sample>> side_of(const KeptJson& samples, const char* key) {
    const auto rows = rows_of<6>(samples, key);
    if (!rows) return std::nullopt;
    std::vector<compare::Sample> side;
    for (const auto& r : *rows) {
        const Vec3 normal(r[3], r[4], r[5]);
        if (!(normal.norm() > 0.5)) return std::nullopt;
        side.push_back({Vec3(r[0], r[1], r[2]), normal.normalized()});
    }
    return side;
}

std::string word_of(const KeptJson& record, const char* key) {
    const auto at = record.find(key);
    return at != record.end() && at->is_string() ? at->get<std::string>() : std::string();
}

}  // namespace

nlohmann::ordered_json samples_json(const compare::Samples& samples) {
    const auto side = [](const std::vector<compare::Sample>& all) {
        KeptJson rows = KeptJson::array();
        for (const compare::Sample& s : all)
            rows.push_back({kept(s.at.x()), kept(s.at.y()), kept(s.at.z()), kept(s.normal.x()),
                            kept(s.normal.y()), kept(s.normal.z())});
        return rows;
    };
    KeptJson rest = KeptJson::array();
    for (const Vec3& at : samples.rest) rest.push_back({kept(at.x()), kept(at.y()), kept(at.z())});
    return {{"foot_side", side(samples.foot_side)}, {"underside", side(samples.underside)}, {"rest", rest}};
}

std::optional<std::string> changed_by_version(const std::filesystem::path& folder, const std::string& stem,
                                              const design::Job& job, const build::Device& device) {
    const std::filesystem::path path = folder / (stem + ".record.json");
    std::error_code error;
    if (!std::filesystem::is_regular_file(path, error)) return std::nullopt;
    const auto bytes = FileBytes::read(path);
    if (!bytes) return std::nullopt;
    const KeptJson record = KeptJson::parse(bytes->text(), nullptr, false);
    if (!record.is_object() || !design::is_of(job, device.side, word_of(record, "fingerprint")))
        return std::nullopt;
    const auto kept_in = record.find("samples");
    if (kept_in == record.end() || !kept_in->is_object()) return std::nullopt;
    auto foot_side = side_of(*kept_in, "foot_side"), underside = side_of(*kept_in, "underside");
    const auto rest = rows_of<3>(*kept_in, "rest");
    if (!foot_side || !underside || !rest) return std::nullopt;
    compare::Samples samples{std::move(*foot_side), std::move(*underside), {}};
    for (const auto& r : *rest) samples.rest.emplace_back(r[0], r[1], r[2]);
    const compare::Moved moved = compare::moved_since(samples, device);
    if (moved.most_mm <= compare::unannounced_mm && moved.lost == 0) return std::nullopt;
    const auto program = record.find("program");
    const std::string by =
        program != record.end() && program->is_object() ? word_of(*program, "version") : "";
    return "The record of " + stem + " was written by Archwright " + (by.empty() ? "unknown" : by) +
           ". Of the " + "same job and cast this version (" + version + ") makes a device that lies up to " +
           rounded(moved.most_mm, 3) + " mm from it, most at " + coordinates(moved.where) +
           (moved.lost > 0 ? ", and lacks " + std::to_string(moved.lost) + " of the places kept of it" : "") +
           ".";
}

}  // namespace archwright::exporters
