#include "engine/examine/caliper_check.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "engine/base/text.hpp"

namespace archwright::examine {

namespace {

struct Compared {
    const char* name;
    double clinic, scan, margin;  ///< mm; margin: 1.96 sd of the difference
    double difference() const { return scan - clinic; }
    double ratio() const { return scan / clinic; }
    bool agrees() const { return std::abs(difference()) <= margin; }
};

/// A wrong unit multiplies every length by one of these.
constexpr std::array<double, 6> unit_ratios{10.0, 0.1, 25.4, 1.0 / 25.4, 2.54, 1.0 / 2.54};

std::string meaning(const std::vector<Compared>& all) {
    constexpr double near = 0.12;
    for (const double ratio : unit_ratios)
        if (std::all_of(all.begin(), all.end(),
                        [&](const Compared& c) { return std::abs(c.ratio() / ratio - 1.0) < near; }))
            return "That is the ratio of two units: look at the unit of the cast file.";
    double low = all.front().difference(), high = low, low_ratio = all.front().ratio(),
           high_ratio = low_ratio;
    for (const Compared& c : all) {
        low = std::min(low, c.difference());
        high = std::max(high, c.difference());
        low_ratio = std::min(low_ratio, c.ratio());
        high_ratio = std::max(high_ratio, c.ratio());
    }
    if (low >= 2.0 * plaster_least_mm && high <= 2.0 * plaster_most_mm)
        return "So much wider is a scan of the outside of the plaster: scan its inside, or a positive.";
    if (all.size() == 2 && high_ratio < 1.0 && low_ratio > 1.0 - shrinkage_most &&
        high_ratio - low_ratio < 0.02)
        return "Both are smaller by the same share: a shrunken cast, or a scanner out of calibration.";
    if (low > 0.0)
        return "A cast that is wider was crushed or opened, or the foot bore weight when it was taken.";
    if (high < 0.0) return "A cast that is narrower was squeezed while it set, or shrank.";
    return "They differ in opposite ways: the cast was crushed in one place, or a size was noted wrongly.";
}

}  // namespace

std::optional<Check> check_calipers(const CaliperSizes& clinic,
                                    const std::vector<foot::Measurement>& measured) {
    std::vector<Compared> all;
    const auto add = [&](const char* name, const char* id, const std::optional<double>& size) {
        const foot::Measurement* scan = foot::find(measured, id);
        if (!size || scan == nullptr) return;
        constexpr double coverage = 1.96;
        all.push_back({name, *size, scan->value, std::hypot(coverage * caliper_sd_mm, scan->uncertainty)});
    };
    add("heel", "heel_breadth", clinic.heel_breadth_mm);
    add("ball", "forefoot_breadth", clinic.ball_breadth_mm);
    if (all.empty()) return std::nullopt;
    Check check = named_check("cast.calipers", "Caliper sizes against the scan");
    check.unit = "mm";
    std::vector<Compared> apart;
    for (const Compared& c : all) {
        if (!check.figure || std::abs(c.difference()) > std::abs(*check.figure)) {
            check.figure = c.difference();
            check.limit = c.margin;
        }
        check.message += (check.message.empty() ? "The clinic measured " : "; ") + rounded(c.clinic, 1) +
                         " mm across the " + c.name + ", the scan has " + rounded(c.scan, 1);
        if (!c.agrees()) apart.push_back(c);
    }
    check.message += ".";
    if (apart.empty()) {
        check.message += " They agree within what caliper and landmarks allow.";
        return check;
    }
    check.verdict = Verdict::look;
    check.message += " " + meaning(apart.size() == all.size() ? all : apart);
    return check;
}

}  // namespace archwright::examine
