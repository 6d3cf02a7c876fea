#include "exporters/comparing/pair_told.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::exporters::comparing {

namespace {

using PairJson = nlohmann::ordered_json;

std::string signed_figure(double value, int decimals) {
    const std::string size = rounded(std::abs(value), decimals);
    const bool nothing = size.find_first_not_of("0.") == std::string::npos;
    return (nothing ? "" : value < 0.0 ? "-" : "+") + size;
}

PairJson place_json(const Vec3& p) {
    return {p.x(), p.y(), p.z()};
}

PairJson registration_json(const registration::Registration& r) {
    PairJson out{{"trouble", key(r.trouble)}, {"words", r.words}};
    const registration::Fit& f = r.fit;
    PairJson turn = PairJson::array(), covariance = PairJson::array();
    for (int i = 0; i < 3; ++i)
        turn.push_back({f.motion.turn(i, 0), f.motion.turn(i, 1), f.motion.turn(i, 2)});
    for (int i = 0; i < 6; ++i) covariance.push_back(std::sqrt(std::max(f.covariance(i, i), 0.0)));
    out["turn"] = turn;
    out["shift_mm"] = place_json(f.motion.shift);
    out["turned_deg"] = f.motion.angle_deg();
    out["rms_mm"] = f.rms_mm;
    out["median_mm"] = f.median_mm;
    out["overlap"] = f.overlap;
    out["used"] = f.used;
    out["sd_turn_rad_and_shift_mm"] = covariance;
    out["condition"] = std::isfinite(f.condition()) ? PairJson(std::min(f.condition(), 1e12)) : PairJson();
    out["least_held"] = f.least_held;
    return out;
}

std::string registration_words(const registration::Registration& r) {
    return "laid on it: half within " + rounded(r.fit.median_mm, 2) + " mm, rms of what counted " +
           rounded(r.fit.rms_mm, 2) + " mm, " + rounded(100.0 * r.fit.used, 0) + " % counted, " +
           rounded(100.0 * r.fit.overlap, 0) + " % has a counterpart";
}

int decimals_of_unit(const std::string& unit) {
    return unit.empty() ? 3 : 1;
}

std::string measured_words(const compare::MeasuredBoth& m) {
    const int d = decimals_of_unit(m.unit);
    return m.title + ": " + rounded(m.first, d) + " and " + rounded(m.second, d) +
           (m.unit.empty() ? "" : " " + m.unit) + ", difference " + signed_figure(m.difference(), d) +
           " +- " + rounded(m.uncertainty, d) + (m.beyond_doubt() ? "" : " (within doubt)");
}

std::string shell_words(const char* face, const compare::Difference& d) {
    return std::string(face) + ": most added " + rounded(d.most_added_mm, 2) + " mm, taken " +
           rounded(d.most_taken_mm, 2) + " mm, rms " + rounded(d.rms_mm, 2) + " mm";
}

std::string forefoot_words(const compare::CastPair& pair) {
    return "With heel on heel the second's forefoot lies " +
           rounded(std::abs(pair.forefoot_shift_mm.x()), 1) + " mm further " +
           (pair.forefoot_shift_mm.x() < 0.0 ? "back" : "forward") + ", " +
           rounded(std::abs(pair.forefoot_shift_mm.y()), 1) + " mm further " +
           (pair.forefoot_shift_mm.y() < 0.0 ? "lateral" : "medial") + ", " +
           rounded(std::abs(pair.forefoot_shift_mm.z()), 1) + " mm " +
           (pair.forefoot_shift_mm.z() < 0.0 ? "lower" : "higher") + ", and is " +
           rounded(std::abs(pair.forefoot_turn_deg), 1) + " degrees more " +
           (pair.forefoot_turn_deg < 0.0 ? "everted" : "inverted") + ".";
}

PairJson difference_json(const compare::Difference& d) {
    return {{"most_added_mm", d.most_added_mm},
            {"most_taken_mm", d.most_taken_mm},
            {"mean_mm", d.mean_mm},
            {"rms_mm", d.rms_mm},
            {"added_mm3", d.added_mm3},
            {"taken_mm3", d.taken_mm3},
            {"area_mm2", d.area_mm2},
            {"alone_mm2", d.alone_mm2}};
}

}  // namespace

std::vector<std::string> pair_lines(const PairReport& report) {
    const compare::CastPair& pair = report.pair;
    std::vector<std::string> lines{report.second + " against " + report.first +
                                   (pair.mirrored ? ", one of them in the mirror" : "")};
    if (!pair.registration.ok()) {
        lines.push_back("  not registered: " + pair.registration.words);
        return lines;
    }
    lines.push_back("  " + registration_words(pair.registration));
    lines.push_back("  distance along the normal, positive where the second is larger:");
    for (std::size_t i = 0; i < compare::region_count; ++i) {
        const compare::RegionFigures& r = pair.regions[i];
        if (!(r.mm2 > 0.0)) continue;
        lines.push_back("    " + std::string(title(static_cast<compare::Region>(i))) + ": mean " +
                        signed_figure(r.mean_mm, 2) + " mm, 95 of 100 within " + rounded(r.within_mm, 2) +
                        ", most " + signed_figure(r.most_added_mm, 2) + " and " +
                        signed_figure(-r.most_taken_mm, 2));
    }
    if (pair.forefoot_known) lines.push_back("  " + forefoot_words(pair));
    for (const compare::MeasuredBoth& m : pair.measured) lines.push_back("  " + measured_words(m));
    if (report.shells) {
        lines.push_back("  shells of both casts, made to one order:");
        lines.push_back("    " + shell_words("foot side", report.shells->apart.foot_side));
        lines.push_back("    " + shell_words("underside", report.shells->apart.underside));
        for (const compare::Figure& f : report.shells->figures)
            if (const auto d = f.difference();
                d && !f.key.starts_with("foot.") && !f.key.starts_with("check."))
                lines.push_back("    " + f.title + ": " + rounded(*f.before, 2) + " and " +
                                rounded(*f.after, 2) + " " + f.unit + ", difference " + signed_figure(*d, 2));
        for (const std::string& remark : report.shells->remarks) lines.push_back("    look: " + remark);
    } else if (!report.why_no_shells.empty()) {
        lines.push_back("  the shells could not be built: " + report.why_no_shells);
    }
    return lines;
}

nlohmann::ordered_json pair_json(const PairReport& report) {
    const compare::CastPair& pair = report.pair;
    PairJson regions = PairJson::object(), measured = PairJson::array();
    for (std::size_t i = 0; i < compare::region_count; ++i) {
        const compare::RegionFigures& r = pair.regions[i];
        regions[key(static_cast<compare::Region>(i))] = {
            {"mm2", r.mm2},
            {"mean_mm", r.mean_mm},
            {"rms_mm", r.rms_mm},
            {"within_95_mm", r.within_mm},
            {"most_added_mm", r.most_added_mm},
            {"most_taken_mm", r.most_taken_mm},
            {"worst", r.mm2 > 0.0 ? place_json(r.worst) : PairJson()}};
    }
    for (const compare::MeasuredBoth& m : pair.measured)
        measured.push_back({{"id", m.id},
                            {"title", m.title},
                            {"unit", m.unit},
                            {"first", m.first},
                            {"second", m.second},
                            {"difference", m.difference()},
                            {"uncertainty", m.uncertainty},
                            {"beyond_doubt", m.beyond_doubt()}});
    PairJson out{{"first", report.first},
                 {"second", report.second},
                 {"side", word(report.side)},
                 {"mirrored", pair.mirrored},
                 {"registration", registration_json(pair.registration)}};
    if (!pair.registration.ok()) return out;
    out["regions"] = regions;
    out["measured"] = measured;
    out["forefoot"] = pair.forefoot_known ? PairJson{{"shift_mm", place_json(pair.forefoot_shift_mm)},
                                                     {"turn_deg", pair.forefoot_turn_deg}}
                                          : PairJson();
    if (report.shells) {
        PairJson figures = PairJson::array();
        for (const compare::Figure& f : report.shells->figures)
            figures.push_back({{"key", f.key},
                               {"title", f.title},
                               {"unit", f.unit},
                               {"first", f.before ? PairJson(*f.before) : PairJson()},
                               {"second", f.after ? PairJson(*f.after) : PairJson()}});
        out["shells"] = {{"foot_side", difference_json(report.shells->apart.foot_side)},
                         {"underside", difference_json(report.shells->apart.underside)},
                         {"figures", figures},
                         {"remarks", report.shells->remarks}};
    } else if (!report.why_no_shells.empty()) {
        out["why_no_shells"] = report.why_no_shells;
    }
    return out;
}

Outcome<DrawnSheet> pair_picture(const PairReport& report) {
    if (!report.pair.registration.ok())
        return Fault{FaultKind::check, "compare", report.pair.registration.words, {}};
    DifferenceSheet sheet;
    sheet.side = report.side;
    sheet.title = report.second + " against " + report.first;
    sheet.legend = "Larger (+), mm";
    sheet.views.push_back({&report.pair.second, &report.pair.mm, true, "From below"});
    sheet.views.push_back({&report.pair.second, &report.pair.mm, false, "From above"});
    const std::vector<std::string> lines = pair_lines(report);
    for (std::size_t i = 1; i < lines.size(); ++i) {
        const std::size_t from = lines[i].find_first_not_of(' ');
        sheet.lines.push_back({lines[i].substr(from), from < 4 && lines[i].back() == ':'});
    }
    return draw_difference_sheet(sheet);
}

std::vector<std::string> made_lines(const MadeReport& report) {
    const compare::Made& made = report.made;
    std::vector<std::string> lines{report.scan + " against the design of " + report.case_code +
                                   ", revision " + report.revision + ", " + word(report.side) + ": " +
                                   word(made.verdict())};
    if (made.registration.ok()) {
        lines.push_back("  " + registration_words(made.registration));
        for (std::size_t i = 0; i < compare::face_count; ++i) {
            const compare::FaceFigures& f = made.faces[i];
            if (f.points == 0) continue;
            lines.push_back("  " + std::string(title(static_cast<compare::Face>(i))) + ": mean " +
                            signed_figure(f.mean_mm, 2) + " mm, 95 of 100 within " + rounded(f.within_mm, 2) +
                            ", most " + signed_figure(f.most_added_mm, 2) + " and " +
                            signed_figure(-f.most_taken_mm, 2) + "; " + rounded(100.0 * f.seen, 0) +
                            " % of it seen");
        }
        if (made.wall.places > 0)
            lines.push_back("  Wall at " + std::to_string(made.wall.places) + " places: mean " +
                            signed_figure(made.wall.mean_mm, 2) + " mm, standard deviation " +
                            rounded(made.wall.sd_mm, 2) + "; least " + rounded(made.wall.least_mm, 2) +
                            " mm");
        for (const compare::MadePost& p : made.posts)
            lines.push_back("  " + p.name + ": " + inclination(p.made_deg) + ", designed " +
                            inclination(p.designed_deg) + "; its face " + signed_figure(p.height_off_mm, 2) +
                            " mm up, flat within " + rounded(p.flat_mm, 2) + " mm");
    }
    for (const Check& check : made.checks)
        lines.push_back("  [" + std::string(word(check.verdict)) + "] " + check.title + " (" + check.id +
                        "): " + check.message);
    return lines;
}

nlohmann::ordered_json made_json(const MadeReport& report) {
    const compare::Made& made = report.made;
    const auto limit = [](const compare::Limit& l) { return PairJson{{"look", l.look}, {"stop", l.stop}}; };
    PairJson faces = PairJson::object(), posts = PairJson::array(), checks = PairJson::array();
    for (std::size_t i = 0; i < compare::face_count; ++i) {
        const compare::FaceFigures& f = made.faces[i];
        faces[key(static_cast<compare::Face>(i))] = {{"design_mm2", f.design_mm2},
                                                     {"seen", f.seen},
                                                     {"points", f.points},
                                                     {"mean_mm", f.mean_mm},
                                                     {"rms_mm", f.rms_mm},
                                                     {"within_95_mm", f.within_mm},
                                                     {"most_added_mm", f.most_added_mm},
                                                     {"most_taken_mm", f.most_taken_mm}};
    }
    for (const compare::MadePost& p : made.posts)
        posts.push_back({{"name", p.name},
                         {"designed_deg", p.designed_deg},
                         {"made_deg", p.made_deg},
                         {"pitch_off_deg", p.pitch_off_deg},
                         {"height_off_mm", p.height_off_mm},
                         {"flat_mm", p.flat_mm}});
    for (const Check& check : made.checks)
        checks.push_back({{"id", check.id},
                          {"title", check.title},
                          {"verdict", word(check.verdict)},
                          {"message", check.message},
                          {"figure", check.figure ? PairJson(*check.figure) : PairJson()},
                          {"unit", check.unit},
                          {"where", check.where ? place_json(*check.where) : PairJson()}});
    return {{"case", report.case_code},
            {"revision", report.revision},
            {"side", word(report.side)},
            {"job", report.job},
            {"design_fingerprint", report.fingerprint},
            {"scan", report.scan},
            {"scan_sha256", report.scan_sha256},
            {"verdict", word(made.verdict())},
            {"limits",
             {{"surface_mm", limit(report.limits.surface_mm)},
              {"wall_mm", limit(report.limits.wall_mm)},
              {"thin_mm", limit(report.limits.thin_mm)},
              {"angle_deg", limit(report.limits.angle_deg)},
              {"least_seen", report.limits.least_seen}}},
            {"registration", registration_json(made.registration)},
            {"faces", faces},
            {"wall",
             {{"places", made.wall.places},
              {"mean_mm", made.wall.mean_mm},
              {"sd_mm", made.wall.sd_mm},
              {"thinner_95_mm", made.wall.thinner_mm},
              {"thicker_95_mm", made.wall.thicker_mm},
              {"least_mm", made.wall.least_mm},
              {"least_designed_mm", made.wall.least_designed_mm}}},
            {"posts", posts},
            {"checks", checks}};
}

Outcome<DrawnSheet> made_picture(const MadeReport& report) {
    DifferenceSheet sheet;
    sheet.side = report.side;
    sheet.code = report.case_code;
    sheet.title = "Made against designed, revision " + report.revision + ": " + word(report.made.verdict());
    sheet.legend = "Too much (+), mm";
    sheet.views.push_back({&report.made.scan, &report.made.mm, false, "Foot side"});
    sheet.views.push_back({&report.made.scan, &report.made.mm, true, "Underside"});
    for (const Check& check : report.made.checks) {
        sheet.lines.push_back({check.title, true, check.verdict});
        sheet.lines.push_back({check.message});
    }
    return draw_difference_sheet(sheet);
}

}  // namespace archwright::exporters::comparing
