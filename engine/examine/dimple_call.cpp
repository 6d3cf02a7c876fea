#include <cmath>

#include "engine/base/text.hpp"
#include "engine/examine/calls.hpp"

namespace archwright::examine {

namespace {

// Places where fault-free feet have dimples and knobs of their own, and why.
const char* anatomy_there(const Anatomy& anatomy, const Vec3& p, bool dent) {
    const double along = anatomy.along(p), across = anatomy.across(p), behind = anatomy.behind_heads_mm(p);
    if (behind < -10.0) return "the roots of the toes have hollows and swellings of their own";
    if (across < 0.3 && along > 0.3 && along < 0.62)
        return "the lateral border and the base of the 5th metatarsal look like this on many feet";
    if (across > 0.9) return "the border of the arch looks like this on many feet";
    if (behind < 12.0 && dent) return "the hollows between the metatarsal heads look like this";
    if (behind < 12.0 && !dent) return "a metatarsal head that stands out looks like this";
    return nullptr;
}

}  // namespace

std::optional<Finding> call_dimple(const Dimple& d, const Relief& relief, const Anatomy& anatomy,
                                   const DomeHeight& measured) {
    constexpr double least_mm = 0.4, least_share = 0.5, least_seen = 0.75;
    constexpr double clear_mm = 0.55, clear_share = 0.7, large_mm = 0.8, large_share = 0.53;
    // more is asked where feet look like it anyway: at the heads, and at the borders
    constexpr double heads_mm = 0.1, heads_share = 0.03, border_mm = 0.3, border_share = 0.15;
    constexpr double most_radius = 11.9, least_round = 0.55, broad_radius = 12.3, broad_share = 0.64;
    const bool dent = d.height < 0.0;
    const double size = std::abs(d.height);
    if (size < least_mm || d.share < least_share || d.seen < least_seen) return std::nullopt;
    const Vec3 place = relief.place(d.node.x(), d.node.y());
    const char* anatomic = anatomy_there(anatomy, place, dent);
    const bool roots = anatomy.behind_heads_mm(place) < -10.0;
    // broader than a finger or a bubble: the foot's own shape, unless it fits very well
    if (d.radius > broad_radius && d.share < broad_share) return std::nullopt;
    const bool shaped = d.radius < most_radius && d.roundness > least_round;
    const bool heads = anatomic != nullptr && anatomy.behind_heads_mm(place) < 12.0;
    const double more_mm = anatomic == nullptr ? 0.0
                           : heads             ? heads_mm
                                               : border_mm,
                 more_share = anatomic == nullptr ? 0.0
                              : heads             ? heads_share
                                                  : border_share;
    const bool clear = d.share > clear_share + more_share && size > clear_mm + more_mm,
               large = d.share > large_share + more_share && size > large_mm + more_mm;
    const bool certain = shaped && (clear || large) && !roots;

    Finding f;
    f.kind = dent ? Finding::Kind::dent : Finding::Kind::bump;
    f.certainty = certain ? Finding::Certainty::certain : Finding::Certainty::question;
    f.place = place;
    f.length_mm = f.breadth_mm = 2.0 * d.radius;
    f.depth_mm = d.height;
    f.depth_sd_mm = d.height_sd;
    if (measured) {  // the detector's cubic swallows a part of a dimple
        constexpr double beyond_mm = 0.5;
        const auto height = measured(place, d.radius + beyond_mm);
        if (height && *height * d.height > 0.0) {
            f.depth_mm = *height;
            f.depth_sd_mm = std::hypot(0.1 + 0.3 * relief.noise_mm, 0.1 * *height);
        }
    }
    f.confidence = certain ? 0.95 : dent ? 0.35 : 0.15;
    f.sentence = std::string(dent ? "A round dimple " : "A round dome ") + rounded(std::abs(f.depth_mm), 1) +
                 " +- " + rounded(1.96 * f.depth_sd_mm, 1) + (dent ? " mm deep and " : " mm high and ") +
                 rounded(2.0 * d.radius, 0) + " mm wide lies " + anatomy.where(place) + "; it accounts for " +
                 rounded(100.0 * d.share, 0) + " % of what departs from a smooth sole there";
    if (!certain && anatomic != nullptr) f.sentence += std::string(", but ") + anatomic;
    f.sentence += ".";
    f.advice = Finding::Advice::repair;
    f.advice_words =
        dent ? "Fill it from the surface round it, unless the foot has this hollow. Next time hold the foot "
               "by "
               "the toes or behind the heads with flat fingers, and keep it clear of the table."
             : "Level it from the surface round it, unless the foot has this prominence: a mark there keeps "
               "it. "
               "Next time smooth each layer on from the middle outward, so that no air stays under it.";
    return f;
}

}  // namespace archwright::examine
