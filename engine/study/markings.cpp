#include "engine/study/markings.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/statistic/distribution.hpp"

namespace archwright::study {

namespace {

constexpr std::size_t most_spread_bytes = 1 << 16;
constexpr double most_sd_mm = 20.0;  // as a job's sd_mm

}  // namespace

std::vector<LandmarkSpread> landmark_spreads(const Table& table, const Casts& casts) {
    std::map<std::string, std::vector<const MeasuredCast*>> groups;
    for (const MeasuredCast& cast : casts.good) {
        const Row& row = table.rows[cast.row];
        groups[row.foot + "\n" + row.caster + "\n" + row.method + "\n" + std::to_string(row.repeat)]
            .push_back(&cast);
    }
    std::vector<LandmarkSpread> out;
    for (const foot::LandmarkId id : design::every_landmark()) {
        LandmarkSpread spread;
        spread.id = id;
        Vec3 squares = Vec3::Zero();
        double freedom = 0.0;
        for (const auto& [name, group] : groups) {
            if (group.size() < 2) continue;
            const registration::Motion home = group.front()->onto_first.inverse();
            std::vector<Vec3> places;
            for (const MeasuredCast* cast : group) {
                const auto mark = cast->landmarks.find(id);
                if (mark == cast->landmarks.end() || mark->second.source != foot::Landmark::Source::set)
                    continue;
                places.push_back(cast->onto_first.then(home)(mark->second.position));
            }
            if (places.size() < 2) continue;
            Vec3 mean = Vec3::Zero();
            for (const Vec3& p : places) mean += p;
            mean /= static_cast<double>(places.size());
            for (const Vec3& p : places) squares += (p - mean).cwiseAbs2();
            freedom += static_cast<double>(places.size() - 1);
            ++spread.casts;
            spread.markings += static_cast<int>(places.size());
        }
        if (!(freedom > 0.0)) continue;
        spread.sd_mm = (squares / freedom).cwiseSqrt();
        spread.sd_all_mm = std::sqrt(squares.sum() / (3.0 * freedom));
        // a landmark lies on the surface, so it errs in two directions, not three
        const double errs = 2.0 * freedom;
        spread.sd_low_mm = spread.sd_all_mm * std::sqrt(errs / statistic::chi_squared_below(0.975, errs));
        spread.sd_high_mm = spread.sd_all_mm * std::sqrt(errs / statistic::chi_squared_below(0.025, errs));
        out.push_back(spread);
    }
    return out;
}

std::string spreads_file(const std::vector<LandmarkSpread>& spreads, const std::string& study) {
    std::string text = "# Scatter of landmarks marked again, from the study " + study +
                       ": standard deviation of a place, mm.\nlandmark,sd_mm\n";
    for (const LandmarkSpread& spread : spreads)
        text += std::string(foot::key(spread.id)) + "," + rounded(std::max(spread.sd_all_mm, 0.01), 2) + "\n";
    return text;
}

Outcome<std::map<foot::LandmarkId, double>> parse_spreads(std::string_view text, const std::string& name) {
    std::map<foot::LandmarkId, double> out;
    int number = 0;
    bool named = false;
    const auto wrong = [&](const std::string& what) {
        return Fault{
            FaultKind::input, "landmark", name + ", line " + std::to_string(number) + ": " + what, {}};
    };
    for (bool more = !text.empty(); more; more = !text.empty()) {
        ++number;
        std::string_view line = text.substr(0, text.find('\n'));
        text.remove_prefix(std::min(text.size(), line.size() + 1));
        line = line.substr(0, line.find('#'));
        const auto words = cells_of(line, ',');
        if (words.size() == 1 && words[0].empty()) continue;
        if (words.size() != 2)
            return wrong("a line is a landmark and its standard deviation, \"navicular,1.4\".");
        if (!named && words[0] == "landmark" && words[1] == "sd_mm") {
            named = true;
            continue;
        }
        const auto id = foot::landmark_id(words[0]);
        if (!id) return wrong(design::in_quotes(words[0]) + " is no landmark.");
        const auto sd = parse_number(words[1]);
        if (!sd || !(*sd > 0.0 && *sd <= most_sd_mm))
            return wrong(design::in_quotes(words[1]) + " is no standard deviation above 0 and up to 20 mm.");
        if (!out.emplace(*id, *sd).second) return wrong(design::in_quotes(words[0]) + " stands there twice.");
    }
    if (out.empty()) return Fault{FaultKind::input, "landmark", name + ": there is no landmark in it.", {}};
    return out;
}

Outcome<std::map<foot::LandmarkId, double>> read_spreads(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_spread_bytes);
    if (!file) return file.fault();
    return parse_spreads(file->text(), path.filename().string());
}

}  // namespace archwright::study
