#include "engine/design/material.hpp"

#include <cstdlib>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/design/asset_files.hpp"
#include "engine/design/description.hpp"
#include "engine/design/reader.hpp"
#include "engine/design/writer.hpp"

namespace archwright::design {

template <>
inline constexpr std::array<Word<Evidence>, 6> words<Evidence>{{
    {Evidence::read, "C", "read in the source's own text, table or data"},
    {Evidence::computed, "D", "computed from stated inputs"},
    {Evidence::practice, "P", "common practice, no source"},
    {Evidence::memory, "M", "from memory, not confirmed"},
    {Evidence::weak, "W", "seen in a weak secondary source"},
    {Evidence::ours, "O", "our own choice"},
}};

char letter(Evidence evidence) {
    return *key_of(evidence);
}
std::optional<Evidence> evidence(char letter) {
    return from_key<Evidence>(std::string_view(&letter, 1));
}
const char* title(Evidence evidence) {
    return title_of(evidence);
}

namespace {

constexpr Range any_value{"", 1e-6, 1e7, 0};

}  // namespace

template <class A>
void describe(A& a, Sourced& s) {
    a.number("value", s.value, any_value, {});
    a.number("low", s.low, any_value, {});
    a.number("high", s.high, any_value, {});
    a.text("source", s.source, TextKind::words, Presence::required, {});
    a.choice("mark", s.mark, {});
}

template <class A>
void describe(A& a, MassLimit& s) {
    a.number("wall_mm", s.wall_mm, any_value, {});
    a.number("body_mass_kg", s.body_mass_kg, any_value, {});
    a.text("source", s.source, TextKind::words, Presence::required, {});
    a.choice("mark", s.mark, {});
}

template <class A>
void describe(A& a, CalibratedDevice& s) {
    a.text("code", s.code, TextKind::code, Presence::required, {});
    a.number("wall_mm", s.wall_mm, any_value, {});
    a.number("scale", s.scale, any_value, {});
    a.number("held_out_percent", s.held_out_percent, Range{"percent", -1000, 1000, 0}, {});
    a.points("residuals", s.residuals, Count{0, 50000}, 1e6, {});
}

template <class A>
void describe(A& a, Calibration& s) {
    a.number("modulus_scale", s.modulus_scale, Range{"", 0.05, 20, 0}, {});
    a.number("scale_low", s.scale_low, Range{"", 0, 20, 0}, {});
    a.number("scale_high", s.scale_high, Range{"", 0, 20, 0}, {});
    a.number("interval_percent", s.interval_percent, Range{"percent", 0, 1000, 0}, {});
    a.text("by", s.by, TextKind::code, Presence::required, {});
    a.text("date", s.date, TextKind::date, Presence::required, {});
    a.text("loads", s.loads, TextKind::words, Presence::optional, {});
    a.whole("devices", s.devices, Range{"", 0, 1000, 1}, {});
    a.number("wall_low_mm", s.wall_low_mm, Range{"mm", 0, 100, 0}, {});
    a.number("wall_high_mm", s.wall_high_mm, Range{"mm", 0, 100, 0}, {});
    a.number("device_spread_percent", s.device_spread_percent, Range{"percent", 0, 1000, 0}, {});
    a.number("residual_mm", s.residual_mm, Range{"mm", 0, 100, 0}, {});
    a.number("friction", s.friction, Range{"", 0, 10, 0}, {});
    a.number("distal_spring_n_mm", s.distal_spring_n_mm, Range{"N/mm", 0, 1e6, 0}, {});
    a.text("measurements", s.measurements, TextKind::fingerprint, Presence::optional, {});
    a.list("measured", s.measured, Count{0, 1000}, {});
}

template <class A>
void describe(A& a, Ply& s) {
    a.number("angle_deg", s.angle_deg, Range{"deg", -90, 90, 1}, {});
    a.number("thickness_mm", s.thickness_mm, Range{"mm", 0, 20, 0.01}, {});
}

template <class A>
void describe(A& a, Laminate& s) {
    a.object("e1_mpa", s.e1_mpa, {});
    a.object("e2_mpa", s.e2_mpa, {});
    a.object("g12_mpa", s.g12_mpa, {});
    a.object("nu12", s.nu12, {});
    a.list("plies", s.plies, Count{1, 200}, {});
}

template <class A>
void describe(A& a, Material& s) {
    a.text("name", s.name, TextKind::words, Presence::required, {});
    a.text("process", s.process, TextKind::words, Presence::required, {});
    a.number("hardness_shore_a", s.hardness_shore_a, Range{"", 1, 100, 1}, {});
    a.object("modulus_mpa", s.modulus_mpa, {});
    a.object("poisson_ratio", s.poisson_ratio, {});
    a.optional_object("laminate", s.laminate, {});
    a.object("density_g_cm3", s.density_g_cm3, {});
    a.object("strength_mpa", s.strength_mpa, {});
    a.object("wall_min_mm", s.wall_min_mm, {});
    a.object("wall_max_mm", s.wall_max_mm, {});
    a.list("mass_limits", s.mass_limits, Count{0, 50}, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
    a.optional_object("calibration", s.calibration, {});
}

namespace {

/// Every value inside the range its source gives (an absent range is the value itself).
void settle(Sourced& s, const std::string& path, Problems& problems) {
    if (s.low == 0) s.low = s.value;
    if (s.high == 0) s.high = s.value;
    if (!(s.value > 0)) {
        problems.add(path + ".value is missing: write a number");
    } else if (!(s.low <= s.value && s.value <= s.high)) {
        problems.add(path + ".value is " + exact(s.value) + ": it must lie within its own range " +
                     exact(s.low) + " to " + exact(s.high));
    }
}

/// Plies that can be (R. M. Jones, Mechanics of Composite Materials, section 2.4: nu12^2 < E1 / E2), and a
/// stack that stays flat.
void settle(Laminate& s, Problems& problems) {
    settle(s.e1_mpa, "laminate.e1_mpa", problems);
    settle(s.e2_mpa, "laminate.e2_mpa", problems);
    settle(s.g12_mpa, "laminate.g12_mpa", problems);
    settle(s.nu12, "laminate.nu12", problems);
    if (!problems.empty()) return;
    if (!(s.nu12.value * s.nu12.value < s.e1_mpa.value / s.e2_mpa.value))
        problems.add("laminate.nu12 is " + exact(s.nu12.value) +
                     ": with these moduli its square must be below e1 / e2 = " +
                     exact(s.e1_mpa.value / s.e2_mpa.value));
    for (std::size_t i = 0; i < s.plies.size(); ++i) {
        const std::string path = "laminate.plies[" + std::to_string(i) + "]";
        const Ply &ply = s.plies[i], &mirrored = s.plies[s.plies.size() - 1 - i];
        if (!(ply.thickness_mm > 0)) problems.add(path + ".thickness_mm is missing: write it in mm");
        if (2 * i < s.plies.size() &&
            (ply.angle_deg != mirrored.angle_deg || ply.thickness_mm != mirrored.thickness_mm))
            problems.add(path + " and its counterpart from the other side differ: the stack must be " +
                         "symmetric about its middle, others warp as they cure");
    }
    if (s.plies.empty()) problems.add("laminate.plies is missing: write the stack from the foot side on");
}

/// A thicker wall bears more: both columns rise.
void settle(const std::vector<MassLimit>& limits, Problems& problems) {
    for (std::size_t i = 0; i < limits.size(); ++i) {
        const std::string path = "mass_limits[" + std::to_string(i) + "]";
        if (!(limits[i].wall_mm > 0)) problems.add(path + ".wall_mm is missing: write the wall in mm");
        if (!(limits[i].body_mass_kg > 0))
            problems.add(path + ".body_mass_kg is missing: write the most body mass for that wall, in kg");
        if (i > 0 && !(limits[i - 1].wall_mm < limits[i].wall_mm &&
                       limits[i - 1].body_mass_kg < limits[i].body_mass_kg))
            problems.add(path +
                         " does not follow the one before: write them in order, each with a thicker "
                         "wall and more body mass");
    }
}

/// An interval that holds its own value.
void settle(const Calibration& s, Problems& problems) {
    if (s.scale_low != 0 && !(s.scale_low <= s.modulus_scale && s.modulus_scale <= s.scale_high))
        problems.add("calibration.modulus_scale is " + exact(s.modulus_scale) + ": it must lie within " +
                     exact(s.scale_low) + " to " + exact(s.scale_high) + ", its own interval");
}

Outcome<Material> parse_material(std::string_view text, const std::filesystem::path& path) {
    const std::string name = path.filename().string();
    const auto json = parse_json(text, name);
    if (!json) return json.fault();
    Material material;
    material.key = path.stem().string();
    Problems problems;
    if (const std::string trouble = text_trouble(material.key, TextKind::name); !trouble.empty())
        problems.add("the file's name is the material's key: " + trouble);
    if (json->kind == Json::Kind::object)
        read_json(*json, "", material, Reader::Rules{}, problems);
    else
        problems.add("a material is a group of keys in { }");
    if (problems.empty()) {
        settle(material.modulus_mpa, "modulus_mpa", problems);
        settle(material.poisson_ratio, "poisson_ratio", problems);
        settle(material.density_g_cm3, "density_g_cm3", problems);
        settle(material.strength_mpa, "strength_mpa", problems);
        settle(material.wall_min_mm, "wall_min_mm", problems);
        settle(material.wall_max_mm, "wall_max_mm", problems);
        settle(material.mass_limits, problems);
        if (material.laminate) settle(*material.laminate, problems);
        if (material.calibration) settle(*material.calibration, problems);
        if (!(material.poisson_ratio.high < 0.5))
            problems.add("poisson_ratio is " + exact(material.poisson_ratio.high) +
                         ": an elastic solid has less than 0.5");
        if (!(material.wall_min_mm.value < material.wall_max_mm.value))
            problems.add("wall_min_mm must be less than wall_max_mm");
    }
    if (!problems.empty()) return Fault{FaultKind::input, "material", name + ": " + problems.text(), {}};
    return material;
}

Outcome<Material> read_material(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, JsonLimits{}.bytes);
    if (!file) return file.fault();
    return parse_material(file->text(), path);
}

}  // namespace

Outcome<Material> Materials::find(const std::string& key) const {
    if (const auto found = all_.find(key); found != all_.end()) return found->second;
    std::vector<std::string> keys;
    std::string list;
    for (const auto& [known, material] : all_) {
        keys.push_back(known);
        list += (list.empty() ? "" : ", ") + known;
    }
    const std::string near = nearest_word(std::string_view(key).substr(0, longest_name), keys);
    return Fault{FaultKind::usage,
                 "material",
                 "the material " + in_quotes(key) + " is not known" +
                     (near.empty() ? "" : " (did you mean \"" + near + "\"?)") + "; there are: " + list,
                 {}};
}

Outcome<Done> write_calibrated(const std::filesystem::path& from, const std::filesystem::path& to,
                               const Calibration& calibration) {
    if (const auto good = read_material(from); !good) return good.fault();
    const auto file = FileBytes::read(from, JsonLimits{}.bytes);
    if (!file) return file.fault();
    auto json = parse_json(file->text(), from.filename().string());
    if (!json) return json.fault();
    json->drop("calibration");
    json->add("calibration", to_json(calibration, Writing::complete));
    return write_file(to, print(*json), [&](const std::filesystem::path& written) -> Outcome<Done> {
        const auto again = FileBytes::read(written, JsonLimits{}.bytes);
        if (!again) return again.fault();
        if (const auto good = parse_material(again->text(), to); !good) return good.fault();
        return Done{};
    });
}

Outcome<Materials> load_materials(const std::filesystem::path& folder) {
    const auto files = asset_files(folder, "material");
    if (!files) return files.fault();
    std::map<std::string, Material> all;
    for (const auto& file : *files) {
        auto material = read_material(file);
        if (!material) return material.fault();
        all.emplace(material->key, std::move(material).value());
    }
    return Materials(std::move(all));
}

std::filesystem::path assets_folder() {
    namespace fs = std::filesystem;
    if (const char* stated = std::getenv("ARCHWRIGHT_ASSETS"); stated && *stated) return fs::path(stated);
    std::error_code ec;
    std::vector<fs::path> places;
    if (const fs::path program = fs::read_symlink("/proc/self/exe", ec); !ec) {
        const fs::path above = program.parent_path().parent_path();
        places = {above / "share" / "archwright" / "assets", above / "assets"};
    }
#ifdef ARCHWRIGHT_ASSETS_DIR
    places.emplace_back(ARCHWRIGHT_ASSETS_DIR);
#endif
    for (const fs::path& place : places)
        if (fs::is_directory(place / "materials", ec)) return place;
    return places.empty() ? fs::path("assets") : places.back();
}

}  // namespace archwright::design
