#include "exporters/comparing/study_words.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "engine/base/text.hpp"

namespace archwright::exporters::comparing {

namespace {

using Json = nlohmann::ordered_json;

std::string with_unit(std::string text, const std::string& unit) {
    return unit.empty() ? text : std::move(text) + " " + unit;
}

Json number_json(double value) {
    return std::isfinite(value) ? Json(value) : Json();
}

Json estimate_json(const statistic::Estimate& e) {
    return {{"value", number_json(e.value)}, {"low", number_json(e.low)}, {"high", number_json(e.high)}};
}

Json icc_json(const statistic::IntraclassCorrelations& icc, int targets) {
    const statistic::MeasurementError one = statistic::error_of_consistency(icc.squares),
                                      two = statistic::error_of_agreement(icc.squares);
    return {{"targets", targets},
            {"raters", icc.squares.raters},
            {"icc_1_1", estimate_json(icc.one_way)},
            {"icc_2_1", estimate_json(icc.agreement)},
            {"icc_3_1", estimate_json(icc.consistency)},
            {"icc_1_k", estimate_json(icc.one_way_mean)},
            {"icc_2_k", estimate_json(icc.agreement_mean)},
            {"icc_3_k", estimate_json(icc.consistency_mean)},
            {"mean_squares",
             {{"between", number_json(icc.squares.between)},
              {"within", number_json(icc.squares.within)},
              {"rater", number_json(icc.squares.rater)},
              {"error", number_json(icc.squares.error)}}},
            {"sem_consistency", number_json(one.sem)},
            {"mdc95_consistency", number_json(one.mdc95)},
            {"sem_agreement", number_json(two.sem)},
            {"mdc95_agreement", number_json(two.mdc95)}};
}

Json agreement_json(const study::PairedFigures& pairs) {
    const statistic::Agreement& a = pairs.agreement;
    return {{"first", pairs.first},
            {"second", pairs.second},
            {"pairs", a.pairs},
            {"mean_difference", estimate_json(a.mean)},
            {"sd", number_json(a.sd)},
            {"low_limit", estimate_json(a.low_limit)},
            {"high_limit", estimate_json(a.high_limit)},
            {"correlation", number_json(a.correlation)}};
}

Json optional_json(const std::optional<double>& value) {
    return value ? number_json(*value) : Json();
}

/// Measures of a place on an angle or a share of nothing: a percentage of their mean means nothing.
bool percent_means_something(const study::Finding& finding) {
    return finding.quantity.unit == "mm" && finding.mean > 0.0;
}

std::string percent_words(double share) {
    return rounded(100.0 * share, 0) + " %";
}

}  // namespace

std::string figure_words(double value, const study::Quantity& quantity) {
    const double size = std::abs(value);
    constexpr double nothing = 5e-4;
    const int decimals = size >= 100.0 || size < nothing ? 0 : size >= 1.0 ? 1 : size >= 0.1 ? 2 : 3;
    return with_unit(rounded(value, decimals), quantity.unit);
}

std::vector<std::string> plain_words(const study::Finding& f) {
    std::vector<std::string> out;
    const auto within = [&](double value) { return figure_words(value, f.quantity); };
    if (f.marked_again)
        out.push_back("Marked again on the same cast it differs by less than " + within(*f.marked_again) +
                      ", 95 times of 100.");
    if (f.cast_again)
        out.push_back("Two casts of one foot by the same person differ by less than " +
                      within(*f.cast_again) + ", 95 times of 100.");
    if (f.any_caster)
        out.push_back("Two casts of one foot by two persons differ by less than " + within(*f.any_caster) +
                      ", 95 times of 100.");
    const double all = f.variance_besides_foot();
    if (const study::Origin* most = f.greatest(); most != nullptr && all > 0.0) {
        const bool alone = std::count_if(f.origins.begin(), f.origins.end(), [](const study::Origin& o) {
                               return o.kind != study::Origin::Kind::foot && o.known;
                           }) < 2;
        if (alone)
            out.push_back(
                std::string("All of it comes ") +
                (most->kind == study::Origin::Kind::cast || most->kind == study::Origin::Kind::marking
                     ? words(most->kind)
                     : std::string("from ") + words(most->kind)) +
                ": the study does not part it further.");
        else
            out.push_back(
                std::string(most->variance.value > 0.5 * all ? "Most of it (" : "The largest part (") +
                percent_words(most->variance.value / all) + ") comes " +
                (most->kind == study::Origin::Kind::cast || most->kind == study::Origin::Kind::marking
                     ? words(most->kind)
                     : std::string("from ") + words(most->kind)) +
                ".");
    }
    if (!f.settled)
        out.push_back("The search for the sources came to no end: take their figures with doubt.");
    return out;
}

std::vector<std::string> plain_words(const study::MethodsCompared& m) {
    const statistic::Agreement& a = m.pairs.agreement;
    const auto of = [&](double value) { return figure_words(std::abs(value), m.quantity); };
    std::vector<std::string> out;
    const bool certain = a.mean.low > 0.0 || a.mean.high < 0.0;
    out.push_back("On the mean of " + std::to_string(a.pairs) + " pairs " + m.pairs.first + " gives " +
                  of(a.mean.value) + (a.mean.value < 0.0 ? " less than " : " more than ") + m.pairs.second +
                  (certain ? "." : "; so few pairs cannot tell that from nothing."));
    out.push_back("For one cast, 95 times of 100, it gives between " +
                  figure_words(a.low_limit.value, m.quantity) + " and " +
                  figure_words(a.high_limit.value, m.quantity) + " more than " + m.pairs.second + ".");
    return out;
}

std::vector<std::string> study_size(const StudyReport& report) {
    std::set<std::string> feet, casters, methods;
    for (const study::Row& row : report.table.rows) {
        feet.insert(row.foot);
        casters.insert(row.caster);
        methods.insert(row.method);
    }
    std::vector<std::string> out;
    out.push_back(std::to_string(report.table.rows.size()) + " casts of " + std::to_string(feet.size()) +
                  " feet by " + std::to_string(casters.size()) +
                  (casters.size() == 1 ? " person" : " persons") +
                  (methods.size() > 1 ? ", " + std::to_string(methods.size()) + " methods" : "") + ".");
    constexpr std::size_t few_feet = 5, few_casters = 3;
    if (feet.size() < few_feet)
        out.push_back(
            "So few feet tell little: other feet may well repeat otherwise. Ten or more are better.");
    if (casters.size() > 1 && casters.size() < few_casters)
        out.push_back("Two persons tell little of how persons differ; look at the width of that interval.");
    if (!report.mistakes.empty())
        out.push_back(std::to_string(report.mistakes.size()) +
                      (report.mistakes.size() == 1 ? " cast was" : " casts were") +
                      " left out for what is wrong with them (see below).");
    return out;
}

std::vector<std::string> study_lines(const StudyReport& report) {
    std::vector<std::string> lines;
    const auto say = [&](std::string line) { lines.push_back(std::move(line)); };
    for (const std::string& line : study_size(report)) say(line);
    std::string method;
    for (const study::Finding& f : report.analysis.findings) {
        if (f.method != method && report.table.several_methods) say("Method " + f.method + ":");
        method = f.method;
        say(f.quantity.title + " (mean " + figure_words(f.mean, f.quantity) + ", " +
            std::to_string(f.values) + " values)");
        for (const std::string& line : plain_words(f)) say("  " + line);
        std::string sources;
        for (const study::Origin& o : f.origins)
            sources += (sources.empty() ? "" : "; ") + std::string(key(o.kind)) + " " +
                       (o.known ? figure_words(std::sqrt(o.variance.value), f.quantity) + " (" +
                                      figure_words(std::sqrt(o.variance.low), f.quantity) + " to " +
                                      figure_words(std::sqrt(o.variance.high), f.quantity) + ")"
                                : "not told apart");
        say("  standard deviations (95 %): " + sources);
        if (f.repeats)
            say("  TEM " + figure_words(f.repeats->tem, f.quantity) +
                (percent_means_something(f) ? ", " + rounded(f.repeats->tem_percent, 1) + " %"
                                            : std::string()));
        if (f.casters_icc)
            say("  between persons: ICC(2,1) " + rounded(f.casters_icc->agreement.value, 2) + " (" +
                rounded(f.casters_icc->agreement.low, 2) + " to " +
                rounded(f.casters_icc->agreement.high, 2) + "), SEM " +
                figure_words(statistic::error_of_agreement(f.casters_icc->squares).sem, f.quantity) +
                ", MDC95 " +
                figure_words(statistic::error_of_agreement(f.casters_icc->squares).mdc95, f.quantity));
        if (f.repeats_icc)
            say("  between repeats: ICC(1,1) " + rounded(f.repeats_icc->one_way.value, 2) + " (" +
                rounded(f.repeats_icc->one_way.low, 2) + " to " + rounded(f.repeats_icc->one_way.high, 2) +
                ")");
    }
    for (const study::MethodsCompared& m : report.analysis.methods) {
        say(m.quantity.title + ", " + m.pairs.first + " against " + m.pairs.second);
        for (const std::string& line : plain_words(m)) say("  " + line);
    }
    for (const study::MeanSurface& s : report.surfaces)
        say("Surface of foot " + s.foot + " (" + std::to_string(s.casts) + " casts): standard deviation " +
            rounded(s.usual_sd_mm, 2) + " mm at half of the places, below " + rounded(s.most_sd_mm, 2) +
            " mm at 95 of 100");
    for (const study::LandmarkSpread& s : report.spreads)
        say(std::string(foot::title(s.id)) + ": marked again it scatters by " + rounded(s.sd_all_mm, 2) +
            " mm (standard deviation; 95 %: " + rounded(s.sd_low_mm, 2) + " to " + rounded(s.sd_high_mm, 2) +
            "), " + std::to_string(s.markings) + " markings");
    for (const std::string& remark : report.analysis.remarks) say("look: " + remark);
    for (const study::Mistake& m : report.mistakes)
        say("left out: row " + std::to_string(m.row) + ", " + m.cast + ": " + m.words);
    return lines;
}

nlohmann::ordered_json study_json(const StudyReport& report) {
    Json findings = Json::array(), methods = Json::array(), mistakes = Json::array(),
         surfaces = Json::array(), spreads = Json::array();
    for (const study::Finding& f : report.analysis.findings) {
        Json sources = Json::array();
        for (const study::Origin& o : f.origins)
            sources.push_back({{"source", key(o.kind)},
                               {"known", o.known},
                               {"levels", o.levels},
                               {"variance", estimate_json(o.variance)}});
        Json one{{"id", f.quantity.id},
                 {"title", f.quantity.title},
                 {"unit", f.quantity.unit},
                 {"method", f.method},
                 {"values", f.values},
                 {"feet", f.feet},
                 {"casters", f.casters},
                 {"mean", number_json(f.mean)},
                 {"mean_sd", number_json(f.mean_sd)},
                 {"sources", sources},
                 {"differ_marked_again", optional_json(f.marked_again)},
                 {"differ_cast_again", optional_json(f.cast_again)},
                 {"differ_any_caster", optional_json(f.any_caster)},
                 {"words", plain_words(f)}};
        if (f.repeats) {
            one["tem"] = number_json(f.repeats->tem);
            one["tem_percent"] = percent_means_something(f) ? number_json(f.repeats->tem_percent) : Json();
            one["coefficient_of_repeatability"] = number_json(f.repeats->coefficient);
        }
        if (f.casters_icc) one["between_casters"] = icc_json(*f.casters_icc, f.casters_icc_feet);
        if (f.repeats_icc) one["between_repeats"] = icc_json(*f.repeats_icc, f.repeats_icc_targets);
        if (f.first_and_second) one["first_and_second"] = agreement_json(*f.first_and_second);
        findings.push_back(std::move(one));
    }
    for (const study::MethodsCompared& m : report.analysis.methods)
        methods.push_back({{"id", m.quantity.id},
                           {"unit", m.quantity.unit},
                           {"agreement", agreement_json(m.pairs)},
                           {"words", plain_words(m)}});
    for (const study::Mistake& m : report.mistakes)
        mistakes.push_back({{"row", m.row}, {"cast", m.cast}, {"kind", key(m.kind)}, {"words", m.words}});
    for (const study::MeanSurface& s : report.surfaces)
        surfaces.push_back({{"foot", s.foot},
                            {"casts", s.casts},
                            {"sd_half_mm", number_json(s.usual_sd_mm)},
                            {"sd_95_mm", number_json(s.most_sd_mm)}});
    for (const study::LandmarkSpread& s : report.spreads)
        spreads.push_back({{"landmark", foot::key(s.id)},
                           {"casts", s.casts},
                           {"markings", s.markings},
                           {"sd_mm", number_json(s.sd_all_mm)},
                           {"sd_low_mm", number_json(s.sd_low_mm)},
                           {"sd_high_mm", number_json(s.sd_high_mm)},
                           {"sd_xyz_mm", {s.sd_mm.x(), s.sd_mm.y(), s.sd_mm.z()}}});
    return {{"study", report.table.name}, {"table_sha256", report.table.sha256},
            {"size", study_size(report)}, {"findings", findings},
            {"methods", methods},         {"surfaces", surfaces},
            {"landmarks", spreads},       {"remarks", report.analysis.remarks},
            {"left_out", mistakes}};
}

}  // namespace archwright::exporters::comparing
