#include "tests/examine/scores.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::tests {

namespace {

using examine::Finding;
using enum Finding::Kind;

// Distance from a point to the line along the surface: without its part along the foot's normal.
double beside(const TrueFault& fault, const Vec3& p) {
    double least = 1e300;
    for (std::size_t k = 0; k + 1 < fault.line.size(); ++k) {
        const Vec3 d = fault.line[k + 1] - fault.line[k];
        const double t = std::clamp((p - fault.line[k]).dot(d) / d.squaredNorm(), 0.0, 1.0);
        Vec3 off = p - fault.line[k] - t * d;
        if (off.norm() > 8.0) continue;
        off -= off.dot(fault.normals[k]) * fault.normals[k];
        least = std::min(least, off.norm());
    }
    return least;
}

// Share of the finding's line that lies within 3 mm of the true one, and the mean distance there.
std::pair<double, double> on_line(const TrueFault& fault, const Finding& f) {
    double sum = 0.0;
    int on = 0;
    for (const Vec3& p : f.line) {
        const double d = beside(fault, p);
        if (d > 3.0) continue;
        sum += d;
        ++on;
    }
    return {f.line.empty() ? 0.0 : static_cast<double>(on) / static_cast<double>(f.line.size()),
            on > 0 ? sum / on : 0.0};
}

bool matches(const TrueFault& fault, const Finding& f) {
    if (fault.kind != f.kind) return false;
    switch (fault.kind) {
        case dent:
        case bump:
            return (f.place - fault.place).norm() < 6.0;
        case crease:
            return fault.height_mm * f.depth_mm > 0.0 && on_line(fault, f).first > 0.5;
        case seam:
            return on_line(fault, f).first > 0.7;
        case rough:
            return (f.place - fault.place).norm() < fault.radius_mm;
        default:
            return (f.place - fault.place).norm() < 25.0;
    }
}

std::string said(const Finding& f) {
    return std::string(f.certainty == Finding::Certainty::certain ? "certain " : "question ") +
           examine::key(f.kind) + " of " + rounded(f.depth_mm, 2) + " mm, " + rounded(f.length_mm, 0) +
           " x " + rounded(f.breadth_mm, 1) + " mm at " + place(f.place) + ": " + f.sentence;
}

std::string percent(int found, int all) {
    if (all == 0) return "-";
    const Interval i = wilson(found, all);
    return rounded(100.0 * found / all, 0) + " (" + rounded(100.0 * i.low, 0) + "-" +
           rounded(100.0 * i.high, 0) + ") of " + std::to_string(all);
}

}  // namespace

Interval wilson(int found, int count) {
    if (count == 0) return {0.0, 1.0};
    const double n = count, p = found / n, z = 1.959963984540054, z2 = z * z;
    const double middle = (p + z2 / (2 * n)) / (1 + z2 / n),
                 half = z * std::sqrt(p * (1 - p) / n + z2 / (4 * n * n)) / (1 + z2 / n);
    return {std::max(0.0, middle - half), std::min(1.0, middle + half)};
}

double quantile(std::vector<double> values, double p) {
    if (values.empty()) return 0.0;
    for (double& v : values) v = std::abs(v);
    std::sort(values.begin(), values.end());
    return values[std::min(values.size() - 1,
                           static_cast<std::size_t>(p * static_cast<double>(values.size())))];
}

double size_that_counts(Finding::Kind kind) {
    switch (kind) {
        case crease:
            return 0.75;
        case seam:
            return 0.5;
        case rough:
            return 0.3;
        default:
            return 1.5;
    }
}

void Scores::add(const FaultyCast& cast, const std::vector<Finding>& findings) {
    add(cast.name, cast.noise_mm, cast.faults, findings);
}

void Scores::add(const std::string& name, double noise_mm, const std::vector<TrueFault>& faults,
                 const std::vector<Finding>& findings) {
    ++casts;
    clean_casts += faults.empty();
    std::vector<char> used(findings.size(), 0);
    for (const TrueFault& fault : faults) {
        Count& count = found[fault.kind][{std::abs(fault.height_mm), noise_mm}];
        ++count.all;
        const Finding* best = nullptr;
        for (std::size_t k = 0; k < findings.size(); ++k) {
            if (!matches(fault, findings[k])) continue;
            used[k] = 1;
            const bool certain = findings[k].certainty == Finding::Certainty::certain;
            if (best == nullptr || (certain && best->certainty != Finding::Certainty::certain))
                best = &findings[k];
        }
        if (best == nullptr || best->certainty != Finding::Certainty::certain) {
            if (std::abs(fault.height_mm) >= size_that_counts(fault.kind))
                remarks.push_back((best == nullptr ? "missed " : "only asked ") + name + " noise " +
                                  rounded(noise_mm, 2) + ": " + examine::key(fault.kind) + " of " +
                                  rounded(fault.height_mm, 2) + " mm, radius or width " +
                                  rounded(fault.radius_mm, 1) + " at " + archwright::place(fault.place) +
                                  (best == nullptr ? "" : " | " + said(*best)));
        }
        if (best == nullptr) continue;
        ++(best->certainty == Finding::Certainty::certain ? count.called : count.asked);
        if (best->depth_sd_mm > 0.0)
            in_deviations[fault.kind].push_back((std::abs(best->depth_mm) - std::abs(fault.height_mm)) /
                                                best->depth_sd_mm);
        if (std::abs(fault.height_mm) < size_that_counts(fault.kind)) continue;
        place[fault.kind].push_back((best->place - fault.place).norm());
        depth[fault.kind].push_back(std::abs(best->depth_mm) - std::abs(fault.height_mm));
        height_share[fault.kind].push_back(best->depth_mm / fault.height_mm);
        if (!fault.line.empty()) line[fault.kind].push_back(on_line(fault, *best).second);
    }
    for (std::size_t k = 0; k < findings.size(); ++k) {
        Right& r = right[findings[k].kind];
        const bool sure = findings[k].certainty == Finding::Certainty::certain;
        ++(sure ? r.certain_all : r.asked_all);
        if (used[k]) ++(sure ? r.certain : r.asked);
        if (used[k]) continue;
        False& f = wrong[findings[k].kind];
        const bool certain = findings[k].certainty == Finding::Certainty::certain;
        ++(certain ? f.called : f.asked);
        if (faults.empty()) ++(certain ? f.clean_called : f.clean_asked);
        if (certain)
            remarks.push_back("false " + name + " noise " + rounded(noise_mm, 2) + ": " + said(findings[k]));
    }
}

Count Scores::count(Finding::Kind kind, double least_mm) const {
    Count sum;
    if (const auto at = found.find(kind); at != found.end())
        for (const auto& [key, c] : at->second)
            if (key.first >= least_mm - 1e-9) {
                sum.called += c.called;
                sum.asked += c.asked;
                sum.all += c.all;
            }
    return sum;
}

double Scores::false_calls(Finding::Kind kind) const {
    const auto at = wrong.find(kind);
    return at == wrong.end() || casts == 0 ? 0.0 : static_cast<double>(at->second.called) / casts;
}

std::string Scores::table() const {
    std::string text =
        "| fault | size mm | noise mm | called, % (95 %) | called or asked, % (95 %) "
        "|\n|---|---|---|---|---|\n";
    for (const auto& [kind, sizes] : found) {
        std::map<double, Count> by_size;
        std::map<double, Count> by_noise;
        for (const auto& [key, c] : sizes)
            for (Count* sum :
                 {&by_size[key.first],
                  key.first >= size_that_counts(kind) - 1e-9 ? &by_noise[key.second] : nullptr}) {
                if (sum == nullptr) continue;
                sum->called += c.called;
                sum->asked += c.asked;
                sum->all += c.all;
            }
        for (const auto& [size, c] : by_size)
            text += std::string("| ") + examine::title(kind) + " | " + exact(size) + " | all | " +
                    percent(c.called, c.all) + " | " + percent(c.called + c.asked, c.all) + " |\n";
        for (const auto& [noise, c] : by_noise)
            text += std::string("| ") + examine::title(kind) + " | " + exact(size_that_counts(kind)) +
                    " and over | " + exact(noise) + " | " + percent(c.called, c.all) + " | " +
                    percent(c.called + c.asked, c.all) + " |\n";
    }
    text +=
        "\n| kind | false calls a cast | false questions a cast | the same without any fault | "
        "|\n|---|---|---|---|---|\n";
    for (const auto& [kind, f] : wrong)
        text += std::string("| ") + examine::title(kind) + " | " + rounded(1.0 * f.called / casts, 3) +
                " | " + rounded(1.0 * f.asked / casts, 2) + " | " +
                (clean_casts > 0 ? rounded(1.0 * f.clean_called / clean_casts, 3) + " | " +
                                       rounded(1.0 * f.clean_asked / clean_casts, 2)
                                 : std::string("- | -")) +
                " |\n";
    text += "\nof " + std::to_string(casts) + " casts, " + std::to_string(clean_casts) +
            " of them without a fault\n";
    text +=
        "\n| kind | place median, p95 mm | depth off: mean, p90 mm | height share p10, median, p90 | centre "
        "line mean, p95 mm |\n|---|---|---|---|---|\n";
    for (const auto& [kind, p] : place) {
        const auto& d = depth.at(kind);
        double mean = 0.0, mean_line = 0.0;
        for (double x : d) mean += x / static_cast<double>(d.size());
        text += std::string("| ") + examine::title(kind) + " | " + rounded(quantile(p, 0.5), 2) + ", " +
                rounded(quantile(p, 0.95), 2) + " | " + rounded(mean, 2) + ", " +
                rounded(quantile(d, 0.9), 2) + " | " + rounded(quantile(height_share.at(kind), 0.1), 2) +
                ", " + rounded(quantile(height_share.at(kind), 0.5), 2) + ", " +
                rounded(quantile(height_share.at(kind), 0.9), 2) + " | ";
        if (const auto l = line.find(kind); l != line.end()) {
            for (double x : l->second) mean_line += x / static_cast<double>(l->second.size());
            text += rounded(mean_line, 2) + ", " + rounded(quantile(l->second, 0.95), 2) + " |\n";
        } else {
            text += "- |\n";
        }
    }
    return text;
}

std::string Scores::calibration() const {
    std::string text =
        "| fault | certain and a fault, % (95 %) | asked and a fault, % (95 %) | height within +- 1.96 of "
        "its "
        "stated deviations, % (95 %) |\n|---|---|---|---|\n";
    for (const auto& [kind, r] : right) {
        const auto at = in_deviations.find(kind);
        const std::vector<double> z = at == in_deviations.end() ? std::vector<double>() : at->second;
        const auto within = std::count_if(z.begin(), z.end(), [](double x) { return std::abs(x) <= 1.96; });
        text += std::string("| ") + examine::title(kind) + " | " + percent(r.certain, r.certain_all) + " | " +
                percent(r.asked, r.asked_all) + " | " +
                percent(static_cast<int>(within), static_cast<int>(z.size())) + " |\n";
    }
    return text;
}

}  // namespace archwright::tests
