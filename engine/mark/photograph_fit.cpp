// A photograph matched with a standing cast: what of it can be trusted, before anything is drawn by it.
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/on_cast.hpp"
#include "engine/mark/photograph.hpp"

namespace archwright::mark {

namespace {

/// Cosine between the way the camera looks and the cast's outward normal, mean over the matches: -1 square
/// from outside, 1 square from inside.
double looking(const foot::Standing& standing, const Fitted& fitted) {
    double sum = 0.0;
    for (const Match& m : fitted.matches) {
        const Vec3 design = from_view(standing, m.point);
        const foot::NearestOn near = foot::nearest_on(standing.mesh, design);
        const Vec3 normal = standing.mesh.normal2(static_cast<std::size_t>(near.triangle)).normalized();
        Vec3 from, way;
        fitted.view.ray(m.pixel, from, way);
        sum += way.dot((to_view(standing, design + normal) - to_view(standing, design)).normalized());
    }
    return sum / static_cast<double>(fitted.matches.size());
}

Fault refused(const std::string& message) {
    return {FaultKind::usage, "photo", message, {}};
}

std::optional<Fault> wrong_side(double cosine, Shown shown) {
    if (std::abs(cosine) < tolerance::photo_edge_on_cosine)
        return refused(
            "The matches fit a camera that sees the sole edge-on: look at every match, pixel by point.");
    if (shown == Shown::outside && cosine > 0.0)
        return refused(
            "The matches fit a camera that looks through the sole from inside the foot: the picture is "
            "mirrored, or its pixels were not counted from the upper left corner. A photograph of the inside "
            "of a negative goes with --inside.");
    if (shown == Shown::inside && cosine < 0.0)
        return refused(
            "The matches fit a camera that looks at the sole from outside, and --inside says that it looks "
            "into a negative: leave --inside out; or the picture is mirrored.");
    return std::nullopt;
}

}  // namespace

std::optional<OffCast> off_cast(const foot::Standing& standing, const std::vector<Vec3>& places) {
    for (std::size_t i = 0; i < places.size(); ++i) {
        const double distance = foot::nearest_on(standing.mesh, standing.frame.to_design(places[i])).distance;
        if (!(distance <= tolerance::mark_off_mm)) return OffCast{i, distance};
    }
    return std::nullopt;
}

Outcome<Fitted> fit_photograph(const foot::Standing& standing, const std::vector<Match>& matches, Shown shown,
                               std::size_t width, std::size_t height, Progress* progress) {
    std::vector<Vec3> places;
    std::vector<Match> in_view = matches;
    for (Match& m : in_view) {
        places.push_back(m.point);
        m.point *= standing.frame.mm_per_unit;
    }
    if (const auto off = off_cast(standing, places))
        return refused("The point of match " + std::to_string(off->which + 1) + " lies " +
                       rounded(off->distance_mm, 1) +
                       " mm from the cast: give it in the cast file's own "
                       "coordinates and unit.");
    const Vec3 up = to_view(standing, Vec3::UnitZ()) - to_view(standing, Vec3::Zero());
    auto fitted = fit_view(in_view, up, width, height, progress);
    if (!fitted) return fitted;
    if (fitted->check.verdict == Verdict::stop)
        return Fault{FaultKind::check, "photo", fitted->check.message, {}};
    if (const auto fault = wrong_side(looking(standing, *fitted), shown)) return *fault;
    return fitted;
}

}  // namespace archwright::mark
