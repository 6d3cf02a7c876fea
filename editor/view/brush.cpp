#include "editor/view/brush.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"
#include "engine/design/command_text.hpp"
#include "engine/design/description.hpp"
#include "engine/design/free_name.hpp"
#include "engine/pattern/brush.hpp"

namespace archwright::editor::view {

namespace {

bool of_wall(const design::WallRegion& region) {
    return region.kind == design::WallZone::Kind::wall;
}

/// Names that are there, and those a stroke adds.
struct Named {
    std::string name;
};

struct PaintedList {
    const char* path;
    const char* stem;  ///< of the names of new ones
    std::vector<pattern::PaintedCurve> curves;
    std::vector<Named> names;
};

PaintedList list_of(const design::FootDesign& foot, const Stroke& stroke) {
    const bool wall = stroke.paint == Paint::wall;
    PaintedList list{wall ? "wall.regions" : "dress.smooth", wall ? "painted" : "smoothed", {}, {}};
    const auto add = [&](const std::string& name, const std::vector<Vec2>& outline, double value) {
        const bool chosen = name == stroke.chosen;
        list.curves.push_back({name, outline, chosen || std::abs(value - stroke.value) < 1e-9,
                               chosen || stroke.chosen.empty()});
        list.names.push_back({name});
    };
    if (wall)
        // a region that scales has no wall in common with the brush: it grows only where it is chosen
        for (const design::WallRegion& r : foot.wall.regions)
            add(r.name, r.outline, of_wall(r) ? r.wall_mm : std::numeric_limits<double>::infinity());
    else
        for (const surface::SmoothZone& z : foot.dress.smooth) add(z.name, z.outline, z.strength);
    return list;
}

/// The command that adds a curve. Its blend is no broader than the brush lets it reach its value within.
std::string adding_line(const Stroke& stroke, const std::string& name, const std::vector<Vec2>& outline) {
    constexpr double wall_blend_mm = 15, smooth_blend_mm = 8;
    if (stroke.paint == Paint::wall)
        return "region add " + design::as_word(name) + " " + points_json(outline) + " " +
               exact(neat(stroke.value)) + " blend_mm=" +
               exact(neat(std::min(wall_blend_mm, std::round(15.0 * stroke.radius_mm) / 10.0)));
    return "entry add dress.smooth {\"name\": \"" + name + "\", \"outline\": " + points_json(outline) +
           ", \"strength\": " + exact(neat(stroke.value)) + ", \"blend_mm\": " +
           exact(neat(std::min(smooth_blend_mm, std::round(8.0 * stroke.radius_mm) / 10.0))) + "}";
}

}  // namespace

const char* parameter_of(Paint paint) {
    return paint == Paint::wall ? "wall.regions[].wall_mm" : "dress.smooth[].strength";
}

const char* thing_of(Paint paint) {
    return paint == Paint::wall ? "region" : "smooth";
}

std::optional<double> value_of(const design::FootDesign& foot, Paint paint, const std::string& name) {
    if (paint == Paint::wall) {
        for (const design::WallRegion& r : foot.wall.regions)
            if (r.name == name && of_wall(r)) return r.wall_mm;
    } else {
        for (const surface::SmoothZone& z : foot.dress.smooth)
            if (z.name == name) return z.strength;
    }
    return {};
}

Outcome<Moved> painted(const design::FootDesign& foot, const Stroke& stroke) {
    PaintedList list = list_of(foot, stroke);
    for (const Vec2& p : stroke.path)
        if (p.cwiseAbs().maxCoeff() + stroke.radius_mm > design::plan_bound_mm)
            return Fault{FaultKind::usage, "paint", "That is farther from the heel than a plan reaches.", {}};
    const auto done =
        stroke.cuts ? pattern::cut(list.curves, stroke.path, stroke.radius_mm, design::most_region_points)
                    : pattern::paint(list.curves, stroke.path, stroke.radius_mm, design::most_region_points);
    if (!done) return done.fault();
    Moved moved{{}, done->told, {}};
    const std::string path = list.path;
    const auto outline_path = [&](const std::string& name) { return path + "[" + name + "].outline"; };
    for (const pattern::Painted::Change& change : done->changes) {
        if (change.outlines.empty()) {
            moved.commands.push_back("entry remove " + path + " " + design::as_word(change.name));
            continue;
        }
        if (change.name.empty()) {
            const std::string name = design::free_name(list.names, list.stem);
            moved.commands.push_back(adding_line(stroke, name, change.outlines.front()));
            moved.part = name;
            continue;
        }
        if (moved.part.empty()) moved.part = change.name;
        moved.commands.push_back(set_line(outline_path(change.name), points_json(change.outlines.front())));
        // what fell apart keeps all else that was asked of it
        for (std::size_t i = 1; i < change.outlines.size(); ++i) {
            const std::string name = design::free_name(list.names, change.name);
            list.names.push_back({name});
            moved.commands.push_back("entry duplicate " + path + " " + design::as_word(change.name) + " " +
                                     design::as_word(name));
            moved.commands.push_back(set_line(outline_path(name), points_json(change.outlines[i])));
        }
    }
    if (stroke.cuts && moved.words.empty()) {
        std::size_t more = 0, gone = 0;
        for (const auto& change : done->changes) {
            more += change.outlines.size() > 1 ? change.outlines.size() - 1 : 0;
            gone += change.outlines.empty() ? 1 : 0;
        }
        if (more > 0) moved.words = "It fell apart: " + std::to_string(more + 1) + " curves now.";
        if (gone > 0) moved.words = "Nothing is left of it.";
    }
    return moved;
}

}  // namespace archwright::editor::view
