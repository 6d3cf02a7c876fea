#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "engine/base/text.hpp"
#include "exporters/comparing/page.hpp"
#include "exporters/papers/remake_log.hpp"

namespace archwright::exporters::papers {

namespace {

using comparing::Page;
using picture::Colour;

constexpr double pareto_width = 180.0, pareto_height = 110.0;
constexpr double bars_left = 18.0, bars_right = 164.0, bars_top = 20.0, bars_bottom = 78.0;
constexpr std::size_t most_bars = 20;
constexpr double pareto_pixels_per_mm = 8.0;

void draw_pareto(Page& page, const std::vector<ParetoRow>& all, const std::string& title) {
    const Colour ink = Colour::hex(0x1B242B), blue = Colour::hex(0x1F5F8B), orange = Colour::hex(0xB5651D),
                 soft = Colour::hex(0x5A6670);
    const Page::Type words{2.8, picture::Weight::regular, ink}, small{2.4, picture::Weight::regular, soft};
    // beyond what a page can show, the rest together
    std::vector<ParetoRow> rows(all.begin(),
                                all.begin() + static_cast<std::ptrdiff_t>(std::min(all.size(), most_bars)));
    for (std::size_t k = rows.size(); k < all.size(); ++k) {
        rows.back().code = "...";
        rows.back().count += all[k].count;
        rows.back().so_far = all[k].so_far;
    }
    std::size_t total = 0;
    for (const ParetoRow& row : rows) total += row.count;
    page.write(title, {6.0, 8.0}, {4.2, picture::Weight::semibold, ink});
    page.write(std::to_string(total) + (total == 1 ? " device came back" : " devices came back"), {6.0, 13.5},
               words);
    // both scales end at all of them, so that bars and line are of one measure
    const auto y_of = [&](double count) {
        return bars_bottom -
               (bars_bottom - bars_top) * count / static_cast<double>(std::max<std::size_t>(total, 1));
    };
    for (int k = 0; k <= 4; ++k) {
        const double count = 0.25 * k * static_cast<double>(total), y = y_of(count);
        page.line({bars_left, y}, {bars_right, y}, Colour::hex(0xD5DADD), 0.15);
        page.write(std::to_string(25 * k) + " %", {bars_right + 1.5, y + 0.9}, small);
    }
    std::size_t each = 1;
    for (std::size_t ten = 1; total / each > 6; ten *= 10)
        for (const std::size_t one : {ten, 2 * ten, 5 * ten})
            if (total / each > 6) each = one;
    for (std::size_t count = 0; count <= total; count += each) {
        const double y = y_of(static_cast<double>(count));
        page.line({bars_left - 1.2, y}, {bars_left, y}, ink, 0.2);
        page.write(std::to_string(count), {bars_left - 2.0, y + 0.9}, small, picture::Align::right);
    }
    page.line({bars_left, bars_top}, {bars_left, bars_bottom}, ink, 0.2);
    if (rows.empty()) return;
    const double step = (bars_right - bars_left) / static_cast<double>(rows.size());
    std::vector<Vec2> line;
    for (std::size_t k = 0; k < rows.size(); ++k) {
        const double x = bars_left + step * static_cast<double>(k),
                     top = y_of(static_cast<double>(rows[k].count));
        page.fill({x + 0.12 * step, top, 0.76 * step, bars_bottom - top}, blue);
        // in its bar, off the line; above a bar that is too low for it
        const bool inside = bars_bottom - top > 5.0;
        Page::Type figure = small;
        if (inside) figure.colour = Colour::hex(0xFFFFFF);
        page.write(std::to_string(rows[k].count), {x + 0.5 * step, inside ? bars_bottom - 1.6 : top - 0.8},
                   figure, picture::Align::centre);
        std::string code = rows[k].code;
        Page::Type type = words;
        while (type.size_mm > 1.2 && Page::measure(code, type) > 0.96 * step) type.size_mm -= 0.1;
        page.write(code, {x + 0.5 * step, bars_bottom + 4.0}, type, picture::Align::centre);
        line.emplace_back(x + 0.5 * step, y_of(0.01 * rows[k].so_far * static_cast<double>(total)));
    }
    page.line({bars_left, bars_bottom}, {bars_right, bars_bottom}, ink, 0.3);
    page.polyline(line, orange, 0.5);
    for (const Vec2& at : line) page.mark(at, 0, 1.6, orange);
    // what the first codes mean
    double y = bars_bottom + 9.0;
    for (std::size_t k = 0; k < rows.size() && y < pareto_height - 5.0; ++k) {
        if (rows[k].code == "...") break;
        std::string text = rows[k].code + "  " + rows[k].words;
        const auto lines = Page::lines_of(text, pareto_width - 12.0, small);
        page.write(lines.front() + (lines.size() > 1 ? " ..." : ""), {6.0, y}, small);
        y += Page::leading(small);
    }
    page.write("bars: devices (left); line: share of all so far (right)", {pareto_width - 6.0, 13.5}, small,
               picture::Align::right);
}

}  // namespace

std::vector<ParetoRow> pareto(const std::vector<Remake>& log, std::span<const RemakeCode> known) {
    std::map<std::string, std::size_t> counts;
    for (const Remake& one : log) ++counts[one.code];
    std::vector<ParetoRow> rows;
    for (const auto& [code, count] : counts) {
        ParetoRow row;
        row.code = code;
        row.count = count;
        for (const auto& list : {remake_codes(), known})
            for (const RemakeCode& one : list)
                if (one.code == code) row.words = one.words;  // the laboratory's own words go before ours
        rows.push_back(std::move(row));
    }
    std::stable_sort(rows.begin(), rows.end(),
                     [](const ParetoRow& a, const ParetoRow& b) { return a.count > b.count; });
    // tenths of a percent: whole ones first, what is left to the largest remainders, earlier rows first
    constexpr std::size_t tenths = 1000;
    std::vector<std::size_t> share(rows.size()), order(rows.size());
    std::size_t given = 0;
    const std::size_t total = std::max<std::size_t>(log.size(), 1);
    for (std::size_t k = 0; k < rows.size(); ++k) {
        share[k] = tenths * rows[k].count / total;
        given += share[k];
    }
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return tenths * rows[a].count % total > tenths * rows[b].count % total;
    });
    for (std::size_t k = 0; k < order.size() && given < tenths && !log.empty(); ++k, ++given)
        ++share[order[k]];
    std::size_t so_far = 0;
    for (std::size_t k = 0; k < rows.size(); ++k) {
        so_far += share[k];
        rows[k].percent = static_cast<double>(share[k]) / 10.0;
        rows[k].so_far = static_cast<double>(so_far) / 10.0;
    }
    return rows;
}

std::vector<std::string> pareto_lines(const std::vector<ParetoRow>& rows) {
    if (rows.empty()) return {"No device came back."};
    std::size_t total = 0, widest = 4;
    for (const ParetoRow& row : rows) {
        total += row.count;
        widest = std::max(widest, row.code.size());
    }
    const auto right = [](const std::string& text, std::size_t width) {
        return std::string(text.size() < width ? width - text.size() : 0, ' ') + text;
    };
    const auto left = [&](const std::string& text) {
        return text + std::string(text.size() < widest ? widest - text.size() : 0, ' ');
    };
    std::vector<std::string> lines{left("code") + "  count      %  so far  words"};
    for (const ParetoRow& row : rows)
        lines.push_back(left(row.code) + right(std::to_string(row.count), 7) +
                        right(rounded(row.percent, 1), 7) + right(rounded(row.so_far, 1), 8) + "  " +
                        row.words);
    lines.push_back(left("all") + right(std::to_string(total), 7) + right("100.0", 7));
    return lines;
}

Outcome<std::string> pareto_svg(const std::vector<ParetoRow>& rows, const std::string& title) {
    return comparing::page_svg([&](Page& page) { draw_pareto(page, rows, title); }, pareto_width,
                               pareto_height);
}

Outcome<picture::Image> pareto_image(const std::vector<ParetoRow>& rows, const std::string& title) {
    return comparing::page_image([&](Page& page) { draw_pareto(page, rows, title); }, pareto_width,
                                 pareto_height, pareto_pixels_per_mm);
}

}  // namespace archwright::exporters::papers
