#include <cmath>

#include "engine/base/text.hpp"
#include "engine/examine/calls.hpp"

namespace archwright::examine {

namespace {

Finding flat_finding(const Flat& flat, Finding::Kind kind, bool certain) {
    Finding f;
    f.kind = kind;
    f.certainty = certain ? Finding::Certainty::certain : Finding::Certainty::question;
    f.place = flat.place;
    f.length_mm = flat.length;
    f.breadth_mm = flat.breadth;
    f.depth_mm = -flat.depth;
    f.depth_sd_mm = flat.depth_sd;
    return f;
}

}  // namespace

bool stood(const Flat& heel, const Relief& relief, const Anatomy& anatomy) {
    // Loaded forefeet have some 4,500 mm^2 within this of the plane (two scans of one person), the heads of
    // feet in the air at most 400 (ten casts with a flattened heel): between them in proportion.
    constexpr double within_mm = 0.15, from_share = 0.5, least_area = 1400.0;
    double nodes = 0.0;
    for (std::size_t k = 0; k < relief.sole.size(); ++k) {
        const Vec3& p = relief.map.position[k];
        if (relief.sole.a[k] && std::abs((p - heel.place).dot(heel.normal)) < within_mm &&
            anatomy.along(p) > from_share)
            nodes += 1.0;
    }
    return nodes * relief.step() * relief.step() > least_area;
}

std::optional<Finding> call_flat_heel(const Flat& flat, const Relief& relief, const Anatomy& anatomy) {
    constexpr double least_mm = 0.45, certain_mm = 0.75, least_area = 260.0, least_breadth_mm = 15.0;
    if (flat.depth < least_mm || flat.area < least_area || flat.breadth < least_breadth_mm)
        return std::nullopt;
    const bool standing = stood(flat, relief, anatomy);
    const bool certain = flat.depth > certain_mm && !standing;
    Finding f = flat_finding(flat, Finding::Kind::flat_heel, certain);
    f.confidence = certain ? 0.9 : 0.4;
    f.sentence = "The heel is flat over " + rounded(flat.area, 0) + " mm^2 (" + rounded(flat.length, 0) +
                 " x " + rounded(flat.breadth, 0) + " mm); what lies round it would bulge " +
                 rounded(flat.depth, 1) + " +- " + rounded(1.96 * flat.depth_sd, 1) + " mm further " +
                 anatomy.where(flat.place);
    if (standing) f.sentence += ", but the forefoot is flat in the same plane, as of a foot scanned standing";
    f.sentence += ".";
    f.advice = Finding::Advice::take_again;
    f.advice_words =
        "It cannot be filled from what lies round it with certainty: take the cast again, with the heel off "
        "the couch until the plaster is hard; or give the cup the missing depth.";
    return f;
}

std::optional<Finding> call_flat_border(const Flat& flat, const Relief&, const Anatomy& anatomy) {
    constexpr double least_mm = 0.8, least_area = 150.0, least_breadth_mm = 9.0;
    if (flat.depth < least_mm || flat.area < least_area || flat.breadth < least_breadth_mm)
        return std::nullopt;
    if (flat.depth < 1.96 * flat.depth_sd)
        return std::nullopt;  // it may as well be none: not worth a question
    Finding f = flat_finding(flat, Finding::Kind::flat_border, false);
    f.confidence = 0.3;
    f.sentence = "The border is flat over " + rounded(flat.area, 0) + " mm^2 (" + rounded(flat.length, 0) +
                 " x " + rounded(flat.breadth, 0) + " mm) " + anatomy.where(flat.place) +
                 " and would bulge " + rounded(flat.depth, 1) + " +- " + rounded(1.96 * flat.depth_sd, 1) +
                 " mm further; borders of feet are flat too, so a person decides.";
    f.advice = Finding::Advice::design_round;
    f.advice_words =
        "Compare with the foot. If the border was pressed, widen the device there or take the cast again "
        "with the leg supported, so that the foot hangs free.";
    return f;
}

std::optional<Finding> call_rough(const RoughPatch& patch, const Relief& relief, const Anatomy& anatomy) {
    constexpr double certain_ratio = 1.9, certain_rms_mm = 0.15;
    const bool certain = patch.ratio > certain_ratio && patch.rms > certain_rms_mm;
    Finding f;
    f.kind = Finding::Kind::rough;
    f.certainty = certain ? Finding::Certainty::certain : Finding::Certainty::question;
    f.place = relief.place(patch.node.x(), patch.node.y());
    f.length_mm = f.breadth_mm = 2.0 * std::sqrt(patch.area / 3.14159265358979);
    f.depth_mm = patch.rms;
    f.depth_sd_mm = 0.2 * patch.rms;
    f.confidence = certain ? 0.6 : 0.4;
    f.sentence = "The surface is " + rounded(patch.ratio, 1) +
                 " times as rough as the rest of the sole over " + rounded(patch.area, 0) + " mm^2 " +
                 anatomy.where(f.place) + ": " + rounded(patch.rms, 2) + " mm rms beside " +
                 rounded(patch.usual, 2) + " mm.";
    f.advice = Finding::Advice::repair;
    f.advice_words =
        "Smooth it from the surface round it. Next time smooth the first layer on the skin until no weave "
        "shows; if the scan is at fault, scan that side again.";
    return f;
}

}  // namespace archwright::examine
