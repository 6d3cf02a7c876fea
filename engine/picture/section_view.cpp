#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/picture/board.hpp"

namespace archwright::picture {

namespace {

constexpr double figures_row = 28.0;  ///< under the ground
constexpr double above = 14.0;        ///< free over the shell
constexpr double figures_apart = 31.0;
constexpr double beside = 40.0;  ///< free on either side; the word "wall" stands in the left

Vec2 page_point(const Axes& axes, const SectionCut& cut, const Vec3& p) {
    return axes.at(cut.across(p), p.z());
}
std::vector<std::vector<Vec2>> page_rings(const Axes& axes, const SectionCut& cut,
                                          const std::vector<Chain>& chains) {
    std::vector<std::vector<Vec2>> rings;
    for (const Chain& chain : chains) {
        std::vector<Vec2> ring;
        for (const Vec3& p : chain.points) ring.push_back(page_point(axes, cut, p));
        rings.push_back(std::move(ring));
    }
    return rings;
}

void draw_ground(Canvas& canvas, const Box& box, const Theme& theme, double y) {
    canvas.fill(Box{box.x, y, box.w, 1.5}, theme.ink);
    canvas.clip({box.x, y, box.w, 8.0});
    for (double x = box.x - 8.0; x < box.right() + 8.0; x += 10.0)
        canvas.line({x + 6.0, y + 1.0}, {x, y + 7.0}, {theme.soft, 1.0});
    canvas.unclip();
}

}  // namespace

double section_scale(const Box& box, const Subject& subject, const std::vector<SectionCut>& cuts) {
    double scale = 1e300;
    for (const SectionCut& cut : cuts) {
        const SectionReach reach = subject.reach(cut);
        scale = std::min(scale, (box.w - 2.0 * beside) / std::max(reach.high - reach.low, 1.0));
        scale = std::min(scale,
                         (box.h - figures_row - above - 10.0) / std::max(reach.top - subject.ground(), 1.0));
    }
    return std::max(scale, 0.05);
}

std::vector<WallFigure> wall_figures(const Subject& subject, const SectionCut& cut, double apart) {
    std::vector<WallFigure> candidates;
    double base = subject.input().base_wall_mm;
    if (base <= 0.0) base = 3.0;
    for (const Chain& chain : cut_section(subject.shell(), cut, subject.foot_side())) {
        // one candidate a mm, clear of both ends
        const double clear = 1.5 * base, length = chain.length();
        double travelled = 0.0, next = clear;
        for (std::size_t i = 1; i < chain.points.size(); ++i) {
            const Vec3 &a = chain.points[i - 1], &b = chain.points[i];
            const double step = (b - a).norm();
            for (; next <= travelled + step && next <= length - clear; next += 1.0)
                candidates.push_back(subject.wall_at(a + (next - travelled) / step * (b - a)));
            travelled += step;
        }
    }
    if (candidates.empty()) return {};
    const auto across = [&](const WallFigure& f) { return cut.across(f.foot_side); };
    std::vector<WallFigure> chosen;
    // the thinnest place of every stretch that is too thin
    for (std::size_t i = 0; i < candidates.size();) {
        if (!too_thin(subject, candidates[i].wall_mm)) {
            ++i;
            continue;
        }
        std::size_t least = i;
        for (; i < candidates.size() && too_thin(subject, candidates[i].wall_mm); ++i)
            if (candidates[i].wall_mm < candidates[least].wall_mm) least = i;
        chosen.push_back(candidates[least]);
    }
    const auto take = [&](const WallFigure& f) {
        for (const WallFigure& other : chosen)
            if (std::abs(across(other) - across(f)) < apart) return;
        chosen.push_back(f);
    };
    take(*std::min_element(candidates.begin(), candidates.end(),
                           [](const WallFigure& a, const WallFigure& b) { return a.wall_mm < b.wall_mm; }));
    // then evenly across, starting from the ends, so that both borders have their figure
    double low = 1e300, high = -1e300;
    for (const WallFigure& f : candidates) {
        low = std::min(low, across(f));
        high = std::max(high, across(f));
    }
    const int count = std::max(2, static_cast<int>((high - low) / (1.25 * apart)) + 1);
    std::vector<double> targets{low, high};
    for (int k = 1; k < count - 1; ++k) targets.push_back(low + (high - low) * k / (count - 1));
    for (const double target : targets)
        take(*std::min_element(candidates.begin(), candidates.end(),
                               [&](const WallFigure& a, const WallFigure& b) {
                                   return std::abs(across(a) - target) < std::abs(across(b) - target);
                               }));
    std::sort(chosen.begin(), chosen.end(),
              [&](const WallFigure& a, const WallFigure& b) { return across(a) < across(b); });
    return chosen;
}

bool too_thin(const Subject& subject, double wall_mm) {
    const double least = subject.input().minimum_wall_mm;
    // as the gate judges it (engine/build/prove_stage.cpp)
    return least > 0.0 && wall_mm < least - tolerance::wall_mm;
}

std::vector<double> spread(const std::vector<double>& wanted, double apart, double low, double high) {
    const std::size_t n = wanted.size();
    if (n == 0) return {};
    if (n > 1) apart = std::min(apart, (high - low) / static_cast<double>(n - 1));
    // rising means of x - i apart: the least squares under order (pool adjacent violators)
    struct Pool {
        double sum = 0.0;
        std::size_t count = 0;
        double mean() const { return sum / static_cast<double>(count); }
    };
    std::vector<Pool> pools;
    for (std::size_t i = 0; i < n; ++i) {
        pools.push_back({wanted[i] - static_cast<double>(i) * apart, 1});
        while (pools.size() > 1 && pools[pools.size() - 2].mean() > pools.back().mean()) {
            pools[pools.size() - 2].sum += pools.back().sum;
            pools[pools.size() - 2].count += pools.back().count;
            pools.pop_back();
        }
    }
    std::vector<double> out;
    for (const Pool& pool : pools) {
        const double most = high - static_cast<double>(n - 1) * apart;
        const double at = std::max(low, std::min(pool.mean(), most));
        for (std::size_t k = 0; k < pool.count; ++k)
            out.push_back(at + static_cast<double>(out.size()) * apart);
    }
    return out;
}

SectionFrame section_frame(const Box& box, const Subject& subject, const SectionCut& cut, double scale) {
    const SectionReach reach = subject.reach(cut);
    SectionFrame frame{Axes(subject.side(), Vec2::Zero(), scale), std::floor(box.bottom() - figures_row)};
    if (cut.axis == 2) frame.axes.sign = 1.0;
    frame.axes.origin = Vec2(box.centre().x(), frame.ground_y) -
                        frame.axes.at(0.5 * (reach.low + reach.high), subject.ground());
    return frame;
}

void draw_section(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject,
                  const SectionCut& cut, double scale) {
    draw_section(canvas, box, theme, subject, cut, section_frame(box, subject, cut, scale));
}

void draw_section(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject,
                  const SectionCut& cut, const SectionFrame& frame) {
    canvas.fill(box, theme.board);
    if (!subject.has_cast() && !subject.has_shell()) return;
    const Axes& axes = frame.axes;
    const double scale = axes.scale, row_top = std::floor(box.bottom() - figures_row);
    const Box air{box.x, box.y, box.w, row_top - box.y};

    canvas.clip(air);
    draw_grid(canvas, air, theme, axes);
    if (subject.has_cast()) {
        const auto rings = page_rings(axes, cut, cut_section(subject.cast(), cut));
        canvas.fill(rings, theme.cast, theme.dark ? 0.14 : 0.42);
        for (const auto& ring : rings) canvas.polyline(ring, true, {theme.faint, 1.3});
    }
    std::vector<WallFigure> figures;
    std::vector<std::vector<Vec2>> ink;
    if (subject.has_shell()) {
        const auto whole = page_rings(axes, cut, cut_section(subject.shell(), cut));
        canvas.fill(whole, theme.board, 0.75);
        canvas.fill(whole, theme.ink, theme.shell_tint);
        canvas.hatch(whole, 5.0, {theme.ink, 0.8, 0.75});
        for (const auto& ring : whole) canvas.polyline(ring, true, {theme.ink, 1.2});
        for (const auto& side : page_rings(axes, cut, cut_section(subject.shell(), cut, subject.underside())))
            canvas.polyline(side, false, {theme.ink, 1.6, 1.0, {}, true});
        for (const auto& side : page_rings(axes, cut, cut_section(subject.shell(), cut, subject.foot_side())))
            canvas.polyline(side, false, {theme.ink, 2.2, 1.0, {}, true});
        for (const TriangleMesh* part : subject.input().parts) {
            const auto rings = page_rings(axes, cut, cut_section(*part, cut));
            canvas.fill(rings, theme.board, 0.75);
            canvas.fill(rings, theme.foam(), 0.55);
            for (const auto& ring : rings) canvas.polyline(ring, true, {theme.ink, 1.2});
        }
        for (const WallFigure& f : wall_figures(subject, cut, figures_apart / scale)) {
            const double x = page_point(axes, cut, f.foot_side).x();
            if (x > box.x + 4.0 && x < box.right() - 4.0) figures.push_back(f);
        }
        ink = whole;
    }
    canvas.unclip();
    if (frame.ground_y <= row_top && frame.ground_y > box.y) draw_ground(canvas, box, theme, frame.ground_y);

    const Type plain{type::small, Weight::semibold, theme.text, Align::centre};
    const double row = box.bottom() - 7.0;
    std::sort(figures.begin(), figures.end(), [&](const WallFigure& a, const WallFigure& b) {
        return page_point(axes, cut, a.foot_side).x() < page_point(axes, cut, b.foot_side).x();
    });
    std::vector<double> wanted;
    for (const WallFigure& f : figures) wanted.push_back(page_point(axes, cut, f.foot_side).x());
    const std::vector<double> stand = spread(wanted, figures_apart, box.x + 48.0, box.right() - 26.0);
    for (std::size_t i = 0; i < figures.size(); ++i) {
        const WallFigure& f = figures[i];
        const bool thin = too_thin(subject, f.wall_mm);
        const Colour colour = thin ? theme.stop : theme.ink;
        const Vec2 top = page_point(axes, cut, f.foot_side), low = page_point(axes, cut, f.underside);
        const Vec2 way = (low - top).norm() > 1e-6 ? Vec2((low - top).normalized()) : Vec2(0, 1);
        const Vec2 square(-way.y(), way.x());
        const Vec2 a = top - 5.0 * way, b = low + 5.0 * way;
        const double drop_x = std::floor(top.x()) + 0.5, x = std::floor(stand[i]) + 0.5;
        const Pen thread{thin ? colour : theme.soft, 1.0, 0.8};
        canvas.clip({box.x, box.y, box.w, box.h});
        if (std::max(b.y(), top.y()) < row_top + 1.0) {
            canvas.line({drop_x, std::max(b.y(), top.y())}, {drop_x, row_top + 1.0}, thread);
            canvas.line({drop_x, row_top + 1.0}, {x, row_top + 9.0}, thread);
        }
        canvas.unclip();
        canvas.clip(air);
        canvas.line(a, b, {theme.board, 3.0, 0.7});
        canvas.line(a, b, {colour, 1.5});
        canvas.line(top - 3.5 * square, top + 3.5 * square, {colour, 1.2});
        canvas.line(low - 3.5 * square, low + 3.5 * square, {colour, 1.2});
        canvas.unclip();
        Type figure = plain;
        figure.colour = thin ? theme.stop : theme.text;
        // a flagged figure shares its place with its sign
        const double text_x = thin ? stand[i] - 6.0 : stand[i];
        const Box written = canvas.write(rounded(f.wall_mm, 1), {text_x, row}, 40.0, figure);
        if (thin) draw_verdict(canvas, {written.right() + 7.0, row - 4.0}, theme, Verdict::stop);
    }
    const Type words{type::small, Weight::regular, theme.soft, Align::left};
    if (!figures.empty()) canvas.write("wall", {box.x + 8.0, row}, 30.0, words);

    const auto corner = [&](const char* word, bool left) {
        const double w = canvas.measure(word, words) + 8.0;
        draw_plate(canvas, {left ? box.x + 5.0 : box.right() - 5.0 - w, box.y + 5.0, w, 17.0}, word, words,
                   theme);
    };
    const bool high_left = axes.sign < 0.0;  // medial, or the toes, stand to the left of a right foot
    if (cut.axis == 2) {
        const Vec2 way = cut.line.size() > 1 ? Vec2(cut.line[1] - cut.line[0]) : Vec2(Vec2::UnitY());
        const auto word = [](const Vec2& w) {
            return std::abs(w.x()) > std::abs(w.y()) ? (w.x() > 0 ? "toes" : "heel")
                                                     : (w.y() > 0 ? "medial" : "lateral");
        };
        corner(word(-way), true);
        corner(word(way), false);
    } else {
        corner(cut.axis == 0 ? "medial" : "toes", high_left);
        corner(cut.axis == 0 ? "lateral" : "heel", !high_left);
    }
    // the bar where it hides nothing of the shell
    const double length = scale_bar_mm(scale, 96.0) * scale + 16.0;
    const Vec2 corners[] = {{box.right() - 4.0, box.y + 58.0},
                            {box.x + 36.0 + length, box.y + 58.0},
                            {box.centre().x() + 0.5 * length, box.y + 36.0}};
    const auto free = [&](const Vec2& at) {
        const Box plate{at.x() - length, at.y() - 32.0, length, 32.0};
        for (const auto& ring : ink)
            for (const Vec2& p : ring)
                if (plate.contains(p)) return false;
        return true;
    };
    const auto place = std::find_if(std::begin(corners), std::end(corners), free);
    draw_scale_bar(canvas, place == std::end(corners) ? corners[0] : *place, 96.0, theme, scale);
}

}  // namespace archwright::picture
