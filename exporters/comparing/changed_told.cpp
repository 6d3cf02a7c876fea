#include "exporters/comparing/changed_told.hpp"

#include <cmath>
#include <limits>

#include "engine/base/text.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/picture/of_device.hpp"

namespace archwright::exporters::comparing {

namespace {

constexpr std::size_t longest_value = 60;  // of one in a line; JSON holds it whole

std::string value_words(const std::string& value) {
    if (value.empty()) return "none";
    return value.size() <= longest_value ? value : design::in_quotes(value, longest_value);
}

std::string since_words(const ChangedReport& r) {
    return "revision " + r.since +
           (r.approval ? " as approved by " + r.approval->by + ", " + r.approval->date
                       : std::string(" as it stood when the next one began"));
}

std::string built_figure(const std::optional<double>& value, const std::string& unit) {
    return value ? rounded(*value, 2) + (unit.empty() ? "" : " " + unit) : std::string("none");
}

std::string apart_words(const char* name, const compare::Difference& d) {
    return std::string(name) + ": " + rounded(d.most_added_mm, 2) + " mm more and " +
           rounded(d.most_taken_mm, 2) + " mm less at most, mean " + rounded(d.mean_mm, 2) + " mm; " +
           rounded(d.alone_mm2 / 100.0, 1) + " square cm lie where there was nothing";
}

DifferenceSheet begin_sheet(const ChangedReport& r, const std::string& what) {
    DifferenceSheet sheet;
    sheet.side = r.side;
    sheet.code = r.case_code;
    sheet.title = what + ", revision " + r.revision + " against " + r.since;
    sheet.lines.push_back({"Now against " + since_words(r) + ".", true});
    return sheet;
}

void list_settings(DifferenceSheet& sheet, const ChangedReport& r) {
    constexpr std::size_t most = 14;
    for (std::size_t k = 0; k < std::min(most, r.settings.size()); ++k)
        sheet.lines.push_back({design::in_quotes(r.settings[k].name, 70) + ": " +
                               value_words(r.settings[k].before) + ", now " +
                               value_words(r.settings[k].after)});
    if (r.settings.size() > most)
        sheet.lines.push_back({"and " + std::to_string(r.settings.size() - most) + " more settings"});
}

/// What a sheet's points came to, at their places in the mesh; `first` is the sheet's first one.
std::vector<double> on_mesh(std::size_t first, const compare::Difference& d, std::size_t points) {
    std::vector<double> out(points, std::numeric_limits<double>::quiet_NaN());
    for (std::size_t i = 0; i < d.mm.size() && first + i < points; ++i) out[first + i] = d.mm[i];
    return out;
}

}  // namespace

ChangedReport changed_since(const design::Job& job, Side side, const design::PastFoot& past) {
    ChangedReport r;
    r.case_code = job.case_code;
    r.revision = job.revision();
    r.side = side;
    r.fingerprint = design::fingerprint(job, side);
    r.fingerprint_then = design::fingerprint(past.job, past.side);
    r.since = past.revision;
    r.approval = past.approval;
    r.settings = design::decisions_that_differ(past.job, past.side, job, side);
    return r;
}

Outcome<ChangedReport::Built> built_apart(const build::Device& now, const design::FootDesign& foot_now,
                                          const build::Device& then, const design::FootDesign& foot_then,
                                          Progress& progress) {
    ChangedReport::Built out;
    out.figures = compare::figures_that_differ(then, now);
    auto apart = compare::shells(now, then, progress);
    if (!apart) return apart.fault();
    out.apart = std::move(*apart);
    const surface::ShellMesh& mesh = now.made();  // what was compared
    const std::size_t points = mesh.mesh.points.size();
    out.foot_side_mm = on_mesh(0, out.apart.foot_side, points);
    out.underside_mm = on_mesh(mesh.foot_side_points, out.apart.underside, points);
    const picture::PictureInput input_now = picture::input_of(now, foot_now),
                                input_then = picture::input_of(then, foot_then);
    const picture::Subject subject_now(input_now), subject_then(input_then);
    out.wall_mm.assign(points, std::numeric_limits<double>::quiet_NaN());
    for (std::size_t i = 0; i < mesh.foot_side_points && i < points; ++i) {
        if (!std::isfinite(out.foot_side_mm[i])) continue;
        const double wall_now = subject_now.wall_at(mesh.mesh.points[i]).wall_mm,
                     wall_then = subject_then.wall_at(mesh.mesh.points[i]).wall_mm;
        if (!std::isfinite(wall_now) || !std::isfinite(wall_then)) continue;
        out.wall_mm[i] = wall_now - wall_then;
        out.wall_added_mm = std::max(out.wall_added_mm, out.wall_mm[i]);
        out.wall_taken_mm = std::max(out.wall_taken_mm, -out.wall_mm[i]);
    }
    return out;
}

std::vector<std::string> changed_lines(const ChangedReport& r) {
    std::vector<std::string> lines{r.case_code + " " + word(r.side) + ", revision " + r.revision +
                                   ", against " + since_words(r) + ":"};
    if (r.settings.empty()) lines.emplace_back("  nothing that decides the device has changed");
    for (const design::Setting& one : r.settings)
        lines.push_back("  " + one.name + ": " + value_words(one.before) + ", now " + value_words(one.after));
    if (!r.built) {
        if (!r.why_not.empty()) lines.push_back("  The devices were not compared: " + r.why_not);
        return lines;
    }
    for (const compare::Figure& figure : r.built->figures)
        // a difference that the written figures do not show is left to the JSON
        if (built_figure(figure.before, figure.unit) != built_figure(figure.after, figure.unit))
            lines.push_back("  " + figure.title + ": " + built_figure(figure.before, figure.unit) + ", now " +
                            built_figure(figure.after, figure.unit));
    lines.push_back("  " + apart_words("foot side", r.built->apart.foot_side));
    lines.push_back("  " + apart_words("underside", r.built->apart.underside));
    lines.push_back("  wall: " + rounded(r.built->wall_added_mm, 2) + " mm more and " +
                    rounded(r.built->wall_taken_mm, 2) + " mm less at most");
    return lines;
}

nlohmann::ordered_json changed_json(const ChangedReport& r) {
    using Object = nlohmann::ordered_json;
    Object settings = Object::array(), figures = Object::array();
    for (const design::Setting& one : r.settings)
        settings.push_back({{"name", one.name}, {"then", one.before}, {"now", one.after}});
    Object out{{"case", r.case_code},
               {"side", word(r.side)},
               {"revision", r.revision},
               {"fingerprint", r.fingerprint},
               {"since",
                {{"revision", r.since},
                 {"fingerprint", r.fingerprint_then},
                 {"approved_by", r.approval ? Object(r.approval->by) : Object()},
                 {"approved_on", r.approval ? Object(r.approval->date) : Object()}}},
               {"same", r.fingerprint == r.fingerprint_then},
               {"settings", settings}};
    if (!r.built) {
        out["not_compared"] = r.why_not;
        return out;
    }
    const auto number = [](const std::optional<double>& value) { return value ? Object(*value) : Object(); };
    for (const compare::Figure& figure : r.built->figures)
        figures.push_back({{"key", figure.key},
                           {"title", figure.title},
                           {"unit", figure.unit},
                           {"then", number(figure.before)},
                           {"now", number(figure.after)}});
    const auto apart = [](const compare::Difference& d) {
        return Object{{"most_added_mm", d.most_added_mm},
                      {"most_taken_mm", d.most_taken_mm},
                      {"mean_mm", d.mean_mm},
                      {"rms_mm", d.rms_mm},
                      {"area_mm2", d.area_mm2},
                      {"alone_mm2", d.alone_mm2}};
    };
    out["figures"] = figures;
    out["foot_side"] = apart(r.built->apart.foot_side);
    out["underside"] = apart(r.built->apart.underside);
    out["wall"] = {{"most_added_mm", r.built->wall_added_mm}, {"most_taken_mm", r.built->wall_taken_mm}};
    return out;
}

Outcome<DrawnSheet> changed_surfaces(const ChangedReport& r, const build::Device& now) {
    DifferenceSheet sheet = begin_sheet(r, "What changed");
    sheet.legend = "Farther out (+), mm";
    sheet.views.push_back({&now.made().mesh, &r.built->foot_side_mm, false, "Foot side"});
    sheet.views.push_back({&now.made().mesh, &r.built->underside_mm, true, "Underside"});
    sheet.lines.push_back({apart_words("Foot side", r.built->apart.foot_side) + "."});
    sheet.lines.push_back({apart_words("Underside", r.built->apart.underside) + "."});
    list_settings(sheet, r);
    return draw_difference_sheet(sheet);
}

Outcome<DrawnSheet> changed_wall(const ChangedReport& r, const build::Device& now) {
    DifferenceSheet sheet = begin_sheet(r, "Wall");
    sheet.legend = "Thicker (+), mm";
    sheet.views.push_back({&now.made().mesh, &r.built->wall_mm, false, "Wall on the foot side"});
    sheet.lines.push_back({"The wall is " + rounded(r.built->wall_added_mm, 2) + " mm thicker and " +
                           rounded(r.built->wall_taken_mm, 2) + " mm thinner at most."});
    list_settings(sheet, r);
    return draw_difference_sheet(sheet);
}

}  // namespace archwright::exporters::comparing
