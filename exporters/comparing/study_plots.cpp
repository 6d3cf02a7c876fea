#include "exporters/comparing/study_plots.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "engine/base/text.hpp"
#include "engine/picture/colour_map.hpp"

namespace archwright::exporters::comparing {

namespace {

using picture::Align;
using picture::Box;
using picture::Colour;

const Colour plot_ink = Colour::hex(0x1B242B), plot_soft = Colour::hex(0x5A6770),
             plot_rule = Colour::hex(0xD5DBDF), plot_blue = Colour::hex(0x1F5FA8),
             plot_fill = Colour::hex(0xDCE8F5);
/// Marks differ in form; the colours help (Okabe and Ito's palette, told apart by any colour vision).
const std::array<Colour, 6> mark_colours{Colour::hex(0x0072B2), Colour::hex(0xD55E00), Colour::hex(0x009E73),
                                         Colour::hex(0xCC79A7), Colour::hex(0x56B4E9), Colour::hex(0x4D4D4D)};

constexpr Page::Type small_type(const Colour& colour) {
    return {2.5, picture::Weight::regular, colour};
}

/// Round steps of 1, 2 or 5 that cut a range into four to eight.
double round_step(double range) {
    if (!(range > 0.0)) return 1.0;
    const double raw = range / 6.0, ten = std::pow(10.0, std::floor(std::log10(raw)));
    for (const double step : {1.0, 2.0, 5.0})
        if (step * ten >= raw) return step * ten;
    return 10.0 * ten;
}

int decimals_of(double step) {
    return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 6);
}

/// A vertical axis along the left edge of `plot`, with lines across at round values.
struct Scale {
    double low = -1.0, high = 1.0, step = 0.5;
    Box plot;

    Scale(double low_, double high_, const Box& plot_) : plot(plot_) {
        step = round_step(std::max(high_ - low_, 1e-9));
        low = step * std::floor(low_ / step);
        high = step * std::ceil(high_ / step);
        if (!(high > low)) high = low + step;
    }
    double y(double value) const { return plot.bottom() - plot.h * (value - low) / (high - low); }
    void draw(Page& page, const std::string& title) const {
        for (double k = std::round(low / step); k * step <= high + 0.5 * step; k += 1.0) {
            const double value = k * step;
            page.line({plot.x, y(value)}, {plot.right(), y(value)},
                      std::abs(value) < 0.5 * step ? plot_soft : plot_rule, 0.15);
            page.write(rounded(value, decimals_of(step)), {plot.x - 1.2, y(value) + 0.9},
                       small_type(plot_soft), Align::right);
        }
        page.write(title, {plot.x - 9.0, plot.y - 2.0}, small_type(plot_soft));
    }
};

std::string unit_of(const study::Quantity& quantity) {
    return quantity.unit.empty() ? std::string() : ", " + quantity.unit;
}

}  // namespace

void draw_scatter(Page& page, const Box& box, const study::Finding& finding) {
    std::map<std::string, std::pair<double, int>> means;
    std::map<std::string, int> feet, casters;
    std::vector<std::string> foot_order, caster_order;
    for (const study::Finding::Point& p : finding.points) {
        means[p.foot].first += p.value;
        means[p.foot].second += 1;
        if (feet.emplace(p.foot, static_cast<int>(feet.size())).second) foot_order.push_back(p.foot);
        if (casters.emplace(p.caster, static_cast<int>(casters.size())).second)
            caster_order.push_back(p.caster);
    }
    const auto off = [&](const study::Finding::Point& p) {
        return p.value - means[p.foot].first / means[p.foot].second;
    };
    double most = 0.0;
    for (const study::Finding::Point& p : finding.points) most = std::max(most, std::abs(off(p)));
    Box plot = box;
    plot.cut_left(11.0);
    plot.cut_top(6.0);
    plot.cut_bottom(casters.size() > 1 ? 10.0 : 5.0);
    const Scale scale(-most, most, plot);
    scale.draw(page, "Difference from the mean of its foot" + unit_of(finding.quantity));
    const double wide = plot.w / static_cast<double>(foot_order.size());
    for (std::size_t i = 0; i < foot_order.size(); ++i) {
        const double x = plot.x + wide * (static_cast<double>(i) + 0.5);
        if (i % 2 == 1) page.line({x - 0.5 * wide, plot.y}, {x - 0.5 * wide, plot.bottom()}, plot_rule, 0.1);
        if (wide > 4.0 || i % 5 == 0)
            page.write(foot_order[i], {x, plot.bottom() + 3.2}, small_type(plot_ink), Align::centre);
    }
    const auto count = static_cast<double>(caster_order.size());
    for (const study::Finding::Point& p : finding.points) {
        const int caster = casters[p.caster];
        const double x = plot.x + wide * (feet[p.foot] + 0.5) + 0.7 * wide * ((caster + 0.5) / count - 0.5);
        page.mark({x, scale.y(off(p))}, caster, 1.7,
                  mark_colours[static_cast<std::size_t>(caster) % mark_colours.size()]);
    }
    if (caster_order.size() < 2) return;
    double x = plot.x;
    for (std::size_t i = 0; i < caster_order.size(); ++i) {
        const double room = 5.0 + Page::measure(caster_order[i], small_type(plot_ink));
        if (x + room > plot.right()) break;
        page.mark({x + 1.0, plot.bottom() + 7.2}, static_cast<int>(i), 1.9,
                  mark_colours[i % mark_colours.size()]);
        page.write(caster_order[i], {x + 3.0, plot.bottom() + 8.1}, small_type(plot_ink));
        x += room + 2.0;
    }
}

void draw_sources(Page& page, const Box& box, const study::Finding& finding) {
    std::vector<const study::Origin*> shown;
    double most = 0.0;
    for (const study::Origin& o : finding.origins)
        if (o.kind != study::Origin::Kind::foot) {
            shown.push_back(&o);
            if (o.known) most = std::max(most, std::sqrt(o.variance.value));
        }
    if (!(most > 0.0)) most = 1.0;
    double widest = most;  // whiskers may reach on to thrice the longest bar
    for (const study::Origin* o : shown)
        if (o->known) widest = std::max(widest, std::min(std::sqrt(o->variance.high), 3.0 * most));
    Box plot = box;
    plot.cut_top(6.0);
    page.write("Where it comes from: standard deviation" + unit_of(finding.quantity) + ", and what it may be",
               {box.x, box.y + 3.0}, small_type(plot_soft));
    const double tall = std::min(plot.h / std::max<double>(1.0, static_cast<double>(shown.size())), 12.0);
    const double room = plot.w - 14.0;
    for (std::size_t i = 0; i < shown.size(); ++i) {
        const study::Origin& o = *shown[i];
        const double y = plot.y + tall * static_cast<double>(i);
        std::string name = words(o.kind);
        name[0] = static_cast<char>(name[0] - 'a' + 'A');
        page.write(name, {plot.x, y + 2.2}, {2.7, picture::Weight::regular, plot_ink});
        if (!o.known) {
            page.write("not told apart by this study", {plot.x, y + 5.8}, small_type(plot_soft));
            continue;
        }
        const double sd = std::sqrt(o.variance.value), x = plot.x + room * sd / widest;
        page.fill({plot.x, y + 3.2, std::max(room * sd / widest, 0.3), 3.2}, plot_blue);
        const double low = plot.x + room * std::sqrt(o.variance.low) / widest,
                     high = plot.x + room * std::min(std::sqrt(o.variance.high), widest) / widest;
        page.line({low, y + 4.8}, {high, y + 4.8}, plot_ink, 0.3);
        page.line({low, y + 4.0}, {low, y + 5.6}, plot_ink, 0.3);
        if (std::sqrt(o.variance.high) <= widest) page.line({high, y + 4.0}, {high, y + 5.6}, plot_ink, 0.3);
        page.write(rounded(sd, sd >= 1.0 ? 1 : 2), {std::max(x, high) + 1.2, y + 5.7},
                   {2.7, picture::Weight::semibold, plot_ink});
    }
}

void draw_agreement(Page& page, const Box& box, const study::PairedFigures& pairs,
                    const study::Quantity& quantity) {
    const statistic::Agreement& a = pairs.agreement;
    double low = a.low_limit.low, high = a.high_limit.high, left = 1e300, right = -1e300;
    for (std::size_t i = 0; i < pairs.one.size(); ++i) {
        low = std::min(low, pairs.one[i] - pairs.two[i]);
        high = std::max(high, pairs.one[i] - pairs.two[i]);
        left = std::min(left, 0.5 * (pairs.one[i] + pairs.two[i]));
        right = std::max(right, 0.5 * (pairs.one[i] + pairs.two[i]));
    }
    if (!(right > left)) {
        left -= 1.0;
        right += 1.0;
    }
    const double margin = 0.05 * (right - left);
    left -= margin;
    right += margin;
    Box plot = box;
    plot.cut_left(11.0);
    plot.cut_top(6.0);
    plot.cut_bottom(9.0);
    Box labels = plot.cut_right(20.0);
    const Scale scale(std::min(low, 0.0), std::max(high, 0.0), plot);
    for (const statistic::Estimate* e : {&a.low_limit, &a.mean, &a.high_limit})
        page.fill({plot.x, scale.y(e->high), plot.w, scale.y(e->low) - scale.y(e->high)}, plot_fill);
    scale.draw(page, pairs.first + " less " + pairs.second + unit_of(quantity));
    const auto level = [&](const statistic::Estimate& e, const char* name, bool dashed) {
        page.line({plot.x, scale.y(e.value)}, {plot.right(), scale.y(e.value)}, plot_blue, 0.3, dashed);
        const int decimals = decimals_of(scale.step) + 1;
        page.write(std::string(name) + " " + rounded(e.value, decimals),
                   {labels.x + 1.0, scale.y(e.value) + 0.9}, small_type(plot_ink));
    };
    level(a.high_limit, "limit", true);
    level(a.mean, "mean", false);
    level(a.low_limit, "limit", true);
    const auto x = [&](double value) { return plot.x + plot.w * (value - left) / (right - left); };
    for (std::size_t i = 0; i < pairs.one.size(); ++i)
        page.mark({x(0.5 * (pairs.one[i] + pairs.two[i])), scale.y(pairs.one[i] - pairs.two[i])}, 0, 1.6,
                  plot_ink);
    const double step = round_step(right - left);
    for (double k = std::ceil(left / step); k * step <= right; k += 1.0) {
        page.line({x(k * step), plot.bottom()}, {x(k * step), plot.bottom() + 0.8}, plot_soft, 0.15);
        page.write(rounded(k * step, decimals_of(step)), {x(k * step), plot.bottom() + 3.6},
                   small_type(plot_soft), Align::centre);
    }
    page.write("Mean of the two" + unit_of(quantity), {plot.x + 0.5 * plot.w, plot.bottom() + 7.0},
               small_type(plot_soft), Align::centre);
}

void draw_deviation_plan(Page& page, const Box& box, const study::DeviationPlan& plan) {
    using study::DeviationPlan;
    std::vector<double> there;
    for (const double sd : plan.sd_mm)
        if (std::isfinite(sd)) there.push_back(sd);
    if (there.empty()) return;
    std::sort(there.begin(), there.end());
    const picture::MapScale scale = picture::round_scale(picture::ColourMap::utilisation(), 0.0,
                                                         std::max(there[there.size() * 97 / 100], 0.1), "");
    Box map = box;
    Box aside = map.cut_right(24.0);
    const double cell = std::min(map.h / DeviationPlan::along, map.w / (DeviationPlan::across));
    const double wide = cell * DeviationPlan::along * DeviationPlan::breadth / DeviationPlan::across;
    const double x0 = map.x + 0.5 * (map.w - wide * DeviationPlan::across),
                 y0 = map.y + cell * DeviationPlan::along;
    for (int row = 0; row < DeviationPlan::along; ++row)
        for (int column = 0; column < DeviationPlan::across; ++column) {
            const double sd = plan.at(row, column);
            if (!std::isfinite(sd)) continue;
            constexpr double overlap = 0.05;  // no white hairs between cells
            page.fill({x0 + wide * column, y0 - cell * (row + 1), wide + overlap, cell + overlap},
                      scale.colour(sd));
        }
    page.write("lateral", {x0, map.y + 3.0}, small_type(plot_soft));
    page.write("medial", {x0 + wide * DeviationPlan::across, map.y + 3.0}, small_type(plot_soft),
               Align::right);
    page.write("heel", {x0 + 0.5 * wide * DeviationPlan::across, y0 + 3.4}, small_type(plot_soft),
               Align::centre);
    const double bar = std::min(70.0, map.h - 10.0), top = map.y + 8.0;
    page.write("mm", {aside.x + 2.0, top - 2.0}, small_type(plot_soft));
    constexpr int steps = 64;
    for (int i = 0; i < steps; ++i)
        page.fill({aside.x + 2.0, top + bar * i / steps, 5.0, bar / steps + 0.05},
                  scale.map->at(1.0 - (i + 0.5) / steps));
    for (double k = std::ceil(scale.low / scale.tick); k * scale.tick <= scale.high + 1e-9; k += 1.0) {
        const double value = k * scale.tick,
                     y = top + bar * (1.0 - (value - scale.low) / (scale.high - scale.low));
        page.write(rounded(value, scale.decimals), {aside.x + 8.2, y + 0.9}, small_type(plot_ink));
    }
}

}  // namespace archwright::exporters::comparing
