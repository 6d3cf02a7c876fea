#include "engine/study/analysis.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "engine/statistic/distribution.hpp"

namespace archwright::study {

namespace {

using Cells = std::map<std::pair<std::string, std::string>, std::map<int, std::map<int, double>>>;

/// foot, caster -> repeat -> marking -> value
Cells by_cell(const std::vector<Finding::Point>& points) {
    Cells cells;
    for (const Finding::Point& p : points) cells[{p.foot, p.caster}][p.repeat][p.marking] = p.value;
    return cells;
}

int number_of(std::map<std::string, int>& numbers, const std::string& name) {
    return numbers.emplace(name, static_cast<int>(numbers.size())).first->second;
}

void find_origins(Finding& finding, bool several_markings) {
    std::vector<double> values;
    statistic::Source foot{"foot", {}}, caster{"caster", {}}, both{"both", {}}, cast{"cast", {}};
    std::map<std::string, int> feet, casters, cells, casts;
    for (const Finding::Point& p : finding.points) {
        values.push_back(p.value);
        foot.level.push_back(number_of(feet, p.foot));
        caster.level.push_back(number_of(casters, p.caster));
        both.level.push_back(number_of(cells, p.foot + "\n" + p.caster));
        cast.level.push_back(number_of(casts, p.foot + "\n" + p.caster + "\n" + std::to_string(p.repeat)));
    }
    std::vector<statistic::Source> sources{foot, caster, both};
    if (several_markings) sources.push_back(cast);
    const statistic::Components found = statistic::components(values, sources, study_confidence);
    finding.mean = found.mean;
    finding.mean_sd = found.mean_sd;
    finding.settled = found.settled;
    using Kind = Origin::Kind;
    const Kind kinds[] = {Kind::foot, Kind::caster, Kind::foot_by_caster, Kind::cast, Kind::marking};
    for (std::size_t i = 0; i < found.parts.size(); ++i) {
        const bool rest = i + 1 == found.parts.size();
        Origin origin;
        origin.kind = !rest ? kinds[i] : several_markings ? Kind::marking : Kind::cast;
        origin.variance = found.parts[i].variance;
        origin.known = found.parts[i].known;
        origin.levels = found.parts[i].levels;
        finding.origins.push_back(origin);
    }
}

double variance_of(const Finding& finding, std::initializer_list<Origin::Kind> kinds) {
    double sum = 0.0;
    for (const Origin& origin : finding.origins)
        if (std::find(kinds.begin(), kinds.end(), origin.kind) != kinds.end()) sum += origin.variance.value;
    return sum;
}

void find_differences(Finding& finding, const Table& table) {
    using Kind = Origin::Kind;
    const double way = statistic::normal_below(0.5 + 0.5 * study_confidence) * std::sqrt(2.0);
    const auto within = [&](double variance) { return way * std::sqrt(variance); };
    const Cells cells = by_cell(finding.points);
    bool repeated = false, marked = false;
    for (const auto& [cell, repeats] : cells) {
        repeated = repeated || repeats.size() > 1;
        for (const auto& [repeat, markings] : repeats) marked = marked || markings.size() > 1;
    }
    if (table.several_markings && marked)
        finding.marked_again = within(variance_of(finding, {Kind::marking}));
    if (repeated) finding.cast_again = within(variance_of(finding, {Kind::cast, Kind::marking}));
    if (finding.casters > 1)
        finding.any_caster =
            within(variance_of(finding, {Kind::caster, Kind::foot_by_caster, Kind::cast, Kind::marking}));
    // technical error: of casts where there are repeats, the first marking of each; else of markings
    std::vector<std::vector<double>> groups;
    for (const auto& [cell, repeats] : cells) {
        if (repeated) {
            groups.emplace_back();
            for (const auto& [repeat, markings] : repeats) groups.back().push_back(markings.begin()->second);
        } else {
            for (const auto& [repeat, markings] : repeats) {
                groups.emplace_back();
                for (const auto& [marking, value] : markings) groups.back().push_back(value);
            }
        }
    }
    const statistic::Repeatability repeats = statistic::repeatability(groups);
    if (repeats.freedom > 0.0) finding.repeats = repeats;
}

void find_correlations(Finding& finding) {
    const Cells cells = by_cell(finding.points);
    std::set<std::string> feet, casters;
    for (const Finding::Point& p : finding.points) {
        feet.insert(p.foot);
        casters.insert(p.caster);
    }
    std::vector<std::string> whole;
    for (const std::string& foot : feet)
        if (std::all_of(casters.begin(), casters.end(), [&](const std::string& caster) {
                return cells.count({foot, caster}) == 1;
            }))
            whole.push_back(foot);
    if (whole.size() > 1 && casters.size() > 1) {
        Eigen::MatrixXd table(whole.size(), casters.size());
        for (std::size_t i = 0; i < whole.size(); ++i) {
            Eigen::Index j = 0;
            for (const std::string& caster : casters)
                table(static_cast<Eigen::Index>(i), j++) =
                    cells.at({whole[i], caster}).begin()->second.begin()->second;
        }
        finding.casters_icc = statistic::intraclass_correlations(table, study_confidence);
        finding.casters_icc_feet = static_cast<int>(whole.size());
    }
    std::size_t least = 1000;
    int targets = 0;
    for (const auto& [cell, repeats] : cells)
        if (repeats.size() > 1) {
            least = std::min(least, repeats.size());
            ++targets;
        }
    if (targets > 1) {
        Eigen::MatrixXd table(targets, static_cast<Eigen::Index>(least));
        std::vector<double> one, two;
        Eigen::Index i = 0;
        for (const auto& [cell, repeats] : cells) {
            if (repeats.size() < 2) continue;
            auto at = repeats.begin();
            for (Eigen::Index j = 0; j < static_cast<Eigen::Index>(least); ++j, ++at)
                table(i, j) = at->second.begin()->second;
            one.push_back(table(i, 0));
            two.push_back(table(i, 1));
            ++i;
        }
        finding.repeats_icc = statistic::intraclass_correlations(table, study_confidence);
        finding.repeats_icc_targets = targets;
        if (one.size() > 2) {
            const statistic::Agreement agreement = statistic::agreement(one, two, study_confidence);
            finding.first_and_second =
                PairedFigures{"first cast", "second cast", std::move(one), std::move(two), agreement};
        }
    }
}

/// A feet-by-something figure is worth its name where two feet or more have it twice.
bool worth(const std::vector<Finding::Point>& points) {
    std::map<std::string, int> feet;
    for (const Finding::Point& p : points) ++feet[p.foot];
    return points.size() > 2 &&
           std::count_if(feet.begin(), feet.end(), [](const auto& foot) { return foot.second > 1; }) > 1;
}

}  // namespace

const char* words(Origin::Kind kind) {
    switch (kind) {
        case Origin::Kind::foot:
            return "which foot it is";
        case Origin::Kind::caster:
            return "who casts";
        case Origin::Kind::foot_by_caster:
            return "how one caster takes one foot";
        case Origin::Kind::cast:
            return "from one cast to the next by the same person";
        case Origin::Kind::marking:
            return "from one marking of the landmarks to the next";
    }
    return "";
}

const char* key(Origin::Kind kind) {
    switch (kind) {
        case Origin::Kind::foot:
            return "foot";
        case Origin::Kind::caster:
            return "caster";
        case Origin::Kind::foot_by_caster:
            return "foot_by_caster";
        case Origin::Kind::cast:
            return "cast";
        case Origin::Kind::marking:
            return "marking";
    }
    return "";
}

const Origin* Finding::greatest() const {
    const Origin* best = nullptr;
    for (const Origin& origin : origins)
        if (origin.kind != Origin::Kind::foot && origin.variance.value > 0.0 &&
            (best == nullptr || origin.variance.value > best->variance.value))
            best = &origin;
    return best;
}

double Finding::variance_besides_foot() const {
    double sum = 0.0;
    for (const Origin& origin : origins)
        if (origin.kind != Origin::Kind::foot) sum += origin.variance.value;
    return sum;
}

Analysis analyse(const Table& figures) {
    Analysis out;
    std::set<std::string> methods;
    for (const Row& row : figures.rows) methods.insert(row.method);
    for (std::size_t q = 0; q < figures.given.size(); ++q) {
        const Quantity& quantity = figures.given[q];
        std::map<std::string, std::map<std::string, std::vector<double>>>
            cells;  // foot and caster, by method
        for (const std::string& method : methods) {
            Finding finding;
            finding.quantity = quantity;
            finding.method = method;
            std::set<std::string> feet, casters;
            for (const Row& row : figures.rows) {
                if (row.method != method || !row.values[q]) continue;
                finding.points.push_back({row.foot, row.caster, row.repeat, row.marking, *row.values[q]});
                feet.insert(row.foot);
                casters.insert(row.caster);
                cells[row.foot + "\n" + row.caster][method].push_back(*row.values[q]);
            }
            finding.values = static_cast<int>(finding.points.size());
            finding.feet = static_cast<int>(feet.size());
            finding.casters = static_cast<int>(casters.size());
            if (!worth(finding.points)) {
                if (finding.values > 0 && methods.size() == 1)
                    out.remarks.push_back(quantity.title +
                                          ": fewer than two feet have it twice, so nothing is said of it.");
                continue;
            }
            find_origins(finding, figures.several_markings);
            find_differences(finding, figures);
            find_correlations(finding);
            out.findings.push_back(std::move(finding));
        }
        for (auto one = methods.begin(); one != methods.end(); ++one)
            for (auto two = std::next(one); two != methods.end(); ++two) {
                MethodsCompared compared{quantity, {*one, *two, {}, {}, {}}};
                const auto mean = [](const std::vector<double>& values) {
                    double sum = 0.0;
                    for (const double value : values) sum += value;
                    return sum / static_cast<double>(values.size());
                };
                for (const auto& [cell, by] : cells)
                    if (by.count(*one) == 1 && by.count(*two) == 1) {
                        compared.pairs.one.push_back(mean(by.at(*one)));
                        compared.pairs.two.push_back(mean(by.at(*two)));
                    }
                if (compared.pairs.one.size() < 3) continue;
                compared.pairs.agreement =
                    statistic::agreement(compared.pairs.one, compared.pairs.two, study_confidence);
                out.methods.push_back(std::move(compared));
            }
    }
    std::stable_sort(out.findings.begin(), out.findings.end(),
                     [](const Finding& a, const Finding& b) { return a.method < b.method; });
    return out;
}

}  // namespace archwright::study
