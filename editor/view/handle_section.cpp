#include "editor/view/handle_section.hpp"

#include <algorithm>
#include <cmath>

#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/post.hpp"

namespace archwright::editor::view {

namespace {

/// The places in plan where a section enters and leaves what a post covers, by their way across it.
std::optional<std::pair<Vec2, Vec2>> post_crossed(const surface::Post& post,
                                                  const surface::SplineSurface& underside,
                                                  const picture::SectionCut& cut) {
    const surface::Outline outline(post.curve);
    std::vector<Vec3> round;
    for (const Vec2& uv : outline.points()) round.push_back(underside.point(uv));
    std::optional<std::pair<Vec2, Vec2>> crossed;
    double low = 1e300, high = -1e300;
    for (std::size_t i = 0; i < round.size(); ++i) {
        const Vec3 &a = round[i], &b = round[(i + 1) % round.size()];
        const double off_a = cut.off(a), off_b = cut.off(b);
        if ((off_a > 0) == (off_b > 0)) continue;
        const Vec3 p = a + off_a / (off_a - off_b) * (b - a);
        if (!crossed) crossed.emplace();
        if (const double across = cut.across(p); across < low) low = across, crossed->first = p.head<2>();
        if (const double across = cut.across(p); across > high) high = across, crossed->second = p.head<2>();
    }
    return crossed;
}

/// Moves straight down from `stem`.
Handle downward(const char* part, const Vec3& at, double length) {
    Handle h;
    h.part = part;
    h.glyph = Handle::Glyph::size;
    h.upright = -Vec3::UnitZ();
    h.stem = at + length * Vec3::UnitZ();
    h.at = at;
    return h;
}

}  // namespace

Handles post_section_handles(const design::FootDesign& foot, const std::string& name,
                             const build::Device& device, const picture::SectionCut& cut) {
    Handles out;
    const bool rear = name == "rearfoot", on = rear                 ? foot.posts.rearfoot.on
                                               : name == "forefoot" ? foot.posts.forefoot.on
                                                                    : false;
    if (!on || !device.received || !device.surfaced || !device.shelled) return out;
    const surface::SplineSurface& underside = device.shelled->shell.underside;
    const auto posts = build::lay_posts(*device.received, *device.surfaced, underside, foot);
    if (!posts) return out;
    const auto post = std::find_if(posts->begin(), posts->end(), [&](const surface::Post& one) {
        return one.name == (rear ? build::rearfoot_post : build::forefoot_post);
    });
    if (post == posts->end()) return out;
    const auto crossed = post_crossed(*post, underside, cut);
    if (!crossed) return out;
    const auto floor_at = [&](const Vec2& plan) { return surface::floor_point(*post, plan); };
    const Vec2 middle = 0.5 * (crossed->first + crossed->second);
    const std::string path = "posts." + name + ".";

    const double height = rear ? foot.posts.rearfoot.height_mm : foot.posts.forefoot.height_mm;
    Handle rise = downward("height", floor_at(middle), height);
    rise.move = [key = path + "height_mm", height](const Drag& d) -> Outcome<Moved> {
        const double now = size_of(height - (d.to - d.from).z(), d, key.c_str());
        return Moved{{set_line(key, now)}, size_words(now, height)};
    };
    out.list.push_back(std::move(rise));

    if (cut.axis != 0) return out;
    const bool lateral_face = rear && foot.posts.rearfoot.motion_deg > 0.0;
    const bool first_medial = crossed->first.y() > crossed->second.y();
    const Vec2 end = first_medial != lateral_face ? crossed->first : crossed->second;
    const double arm = end.y() - middle.y();
    if (std::abs(arm) < 1.0) return out;
    constexpr double stem_mm = 10.0;
    Handle lean = downward("angle", floor_at(end), stem_mm);
    // across the foot the plane of the floor runs so
    const double slope = post->floor_normal.y() / -post->floor_normal.z();
    const double value = rear ? foot.posts.rearfoot.angle_deg : foot.posts.forefoot.extrinsic_deg;
    lean.move = [key = path + (rear ? "angle_deg" : "extrinsic_deg"), value, slope, arm,
                 rear](const Drag& d) -> Outcome<Moved> {
        // the floor turns about its middle; a face that rises medially everts the device that stands on it
        const double turned = degrees(std::atan(slope + (d.to - d.from).z() / arm) - std::atan(slope));
        const double now = in_range(angle_of(value - turned, d), key.c_str());
        const std::string words = rear ? inclination(now) + ", was " + inclination(value)
                                       : size_words(now, value, "\u00b0") + " off the forefoot's inclination";
        return Moved{{set_line(key, now)}, words};
    };
    out.list.push_back(std::move(lean));
    return out;
}

}  // namespace archwright::editor::view
