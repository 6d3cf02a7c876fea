#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/plan_print.hpp"

namespace archwright::picture {

namespace {

void say(Canvas& canvas, const Box& box, const Theme& theme, const char* words) {
    canvas.write_middle(words, box.centre(), box.w - 24.0,
                        {type::body, Weight::regular, theme.faint, Align::centre});
}

/// The largest absolute value that all but one point in two hundred stay within.
double usual_greatest(const std::vector<double>& values) {
    std::vector<double> sizes;
    for (const double v : values)
        if (std::isfinite(v)) sizes.push_back(std::abs(v));
    if (sizes.empty()) return 1.0;
    const auto at = static_cast<std::ptrdiff_t>(0.995 * static_cast<double>(sizes.size() - 1));
    std::nth_element(sizes.begin(), sizes.begin() + at, sizes.end());
    return sizes[static_cast<std::size_t>(at)];
}

/// Below this slope a level of wall is a plateau and its line mere noise, mm a mm.
constexpr double wall_plateau = 0.02;

/// One isoline of the foot side's values: white core, dark casing, readable on every colour.
void draw_isoline(Canvas& canvas, const Subject& subject, const Axes& axes, const std::vector<double>& values,
                  double level, double plateau) {
    for (const Chain& chain : level_curves(subject.shell(), values, level, subject.foot_side(), plateau)) {
        if (chain.length() < 4.0) continue;
        std::vector<Vec2> page;
        for (const Vec3& p : chain.points) page.push_back(axes.at(p.y(), p.x()));
        canvas.polyline(page, chain.closed, {Colour::hex(0x10181E), 1.8, 0.35});
        canvas.polyline(page, chain.closed, {Colour::hex(0xFFFFFF), 0.8, 0.8});
    }
}

void draw_isolines(Canvas& canvas, const Subject& subject, const Axes& axes,
                   const std::vector<double>& values, const MapScale& scale, double step, double offset,
                   double plateau = wall_plateau) {
    for (double k = std::ceil((scale.low - offset) / step); k * step + offset < scale.high; k += 1.0)
        draw_isoline(canvas, subject, axes, values, k * step + offset, plateau);
}

/// Round multiples between which rigidities are told apart: each doubles, or nearly.
constexpr double rigidity_levels[] = {0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0};

bool by_wall(MapKind kind) {
    return kind == MapKind::rigidity || kind == MapKind::bending || kind == MapKind::mass;
}

}  // namespace

std::optional<double> of_wall(const PictureInput& input, MapKind kind, double wall_mm) {
    const double cube = wall_mm * wall_mm * wall_mm;
    const double base = input.base_wall_mm;
    if (kind == MapKind::rigidity && base > 0.0) return cube / (base * base * base);
    if (kind == MapKind::bending && input.rigidity_n_mm2 > 0.0) return input.rigidity_n_mm2 * cube;
    constexpr double mm_per_cm = 10.0;
    if (kind == MapKind::mass && input.density_g_cm3 > 0.0) return input.density_g_cm3 * wall_mm / mm_per_cm;
    return std::nullopt;
}

MapScale wall_scale(const Subject& subject) {
    double low = 1e300, high = -1e300;
    if (subject.has_shell()) {
        std::vector<double> walls;
        for (std::size_t i = 0; i < subject.input().shell_mesh->foot_side_points; ++i)
            if (!subject.over_post(i)) walls.push_back(subject.walls()[i]);
        if (!walls.empty()) {  // a few odd points beside the trim must not stretch the range
            const std::size_t odd = walls.size() / 200;
            const auto ranked = [&](std::size_t rank) {
                const auto at = walls.begin() + static_cast<std::ptrdiff_t>(rank);
                std::nth_element(walls.begin(), at, walls.end());
                return *at;
            };
            low = ranked(odd);
            high = ranked(walls.size() - 1 - odd);
        }
    }
    if (low > high) low = 2.0, high = 4.0;
    // at least 1 mm, so that the measuring noise of an even wall does not show as a map
    if (high - low < 1.0) {
        const double middle = 0.5 * (low + high);
        low = middle - 0.5;
        high = middle + 0.5;
    }
    return round_scale(ColourMap::wall(), low, high, "Wall, mm");
}

MapScale deviation_scale(const Subject& subject) {
    return round_symmetric_scale(ColourMap::deviation(), usual_greatest(subject.deviations()), "To cast, mm");
}

void draw_map(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject, MapKind kind) {
    canvas.fill(box, theme.board);
    if (kind == MapKind::height ? !subject.has_cast() : !subject.has_shell()) {
        say(canvas, box, theme, kind == MapKind::height ? "No cast yet." : "No shell yet.");
        return;
    }
    if (kind == MapKind::deviation && !subject.has_cast()) {
        say(canvas, box, theme, "No cast to compare with.");
        return;
    }
    if (by_wall(kind) && !of_wall(subject.input(), kind, 1.0)) {
        say(canvas, box, theme, "Neither base nor material is known.");
        return;
    }
    Box view = box;
    Box aside = view.cut_right(by_wall(kind) ? 116.0 : 84.0);  // the longest title of each
    const Box3 extent = kind == MapKind::height ? sole_box(subject) : subject.shell_box();
    const double scale =
        std::max(0.05, std::min((view.w - 20.0) / extent.size().y(), (view.h - 58.0) / extent.size().x()));
    Axes axes(subject.side(), Vec2::Zero(), scale);
    axes.origin = view.centre() + Vec2(0, -4.0) - axes.at(extent.centre().y(), extent.centre().x());
    canvas.clip(box);
    draw_grid(canvas, box, theme, axes);
    canvas.unclip();

    MapScale map = wall_scale(subject);
    if (kind == MapKind::height) {
        map = {&ColourMap::height(), 0.0, sole_height_mm + 1.0, 5.0, 0, "Height, mm"};
        print_sole(canvas, box, theme, subject, axes, &map);
    } else if (by_wall(kind)) {
        const auto of = [&](double wall) { return *of_wall(subject.input(), kind, wall); };
        const char* title = kind == MapKind::rigidity  ? "Rigidity, x base"
                            : kind == MapKind::bending ? "Rigidity, N mm"
                                                       : "Mass, g/cm2";
        const double plateau = wall_plateau * (of(map.high) - of(map.low)) / (map.high - map.low);
        map = round_scale(ColourMap::wall(), of(map.low), of(map.high), title);
        std::vector<double> values = subject.walls();
        for (double& value : values) value = of(value);
        print_foot_side(canvas, box, subject, axes, values, map);
        canvas.clip(box);
        if (kind == MapKind::rigidity) {
            for (const double level : rigidity_levels)
                if (level < map.high) draw_isoline(canvas, subject, axes, values, level, plateau);
        } else {
            draw_isolines(canvas, subject, axes, values, map, map.tick, 0.0, plateau);
        }
        canvas.unclip();
    } else {
        const std::vector<double>& values = kind == MapKind::wall ? subject.walls() : subject.deviations();
        if (kind == MapKind::deviation) map = deviation_scale(subject);
        print_foot_side(canvas, box, subject, axes, values, map);
        canvas.clip(box);
        if (kind == MapKind::wall) draw_isolines(canvas, subject, axes, values, map, 0.2, 0.1);
        canvas.unclip();
    }
    canvas.clip(box);
    if (kind != MapKind::height && !subject.foot_edge().empty()) {
        std::vector<std::vector<Vec3>> edges = subject.hole_edges();
        edges.push_back(subject.foot_edge());
        for (const std::vector<Vec3>& edge : edges) {
            std::vector<Vec2> page;
            for (const Vec3& p : edge) page.push_back(axes.at(p.y(), p.x()));
            canvas.polyline(page, true, {theme.ink, 1.6});
        }
    }
    if (kind == MapKind::wall && subject.input().walls != nullptr &&
        subject.input().walls->least_wall_mm > 0.0) {
        const Vec3& p = subject.input().walls->least_where;
        const Vec2 at = axes.at(p.y(), p.x());
        canvas.circle(at, 5.0, {Colour::hex(0x10181E), 3.6, 0.85});
        canvas.circle(at, 5.0, {Colour::hex(0xFFFFFF), 1.5});
        const std::string words = "least " + rounded(subject.input().walls->least_wall_mm, 1);
        Labels labels(view.inset(4.0));
        labels.beside(canvas, at, 9.0, words, {type::small, Weight::semibold, theme.ink, Align::left}, theme,
                      "rlab");
    }
    canvas.unclip();

    const Type words{type::small, Weight::regular, theme.soft, Align::left};
    const auto corner = [&](const char* word, bool left) {
        const double w = canvas.measure(word, words) + 8.0;
        draw_plate(canvas, {left ? view.x + 6.0 : view.right() - w, box.y + 6.0, w, 17.0}, word, words,
                   theme);
    };
    corner("medial", axes.sign < 0.0);
    corner("lateral", axes.sign > 0.0);
    draw_legend(canvas, {aside.x, box.y + 8.0}, std::min(176.0, box.h - 140.0), theme, map);
    draw_side_letter(canvas, {box.x + 10.0, box.bottom() - 36.0}, theme, subject.side());
    draw_scale_bar(canvas, {box.right() - 6.0, box.bottom() - 4.0}, 96.0, theme, scale);
}

}  // namespace archwright::picture
