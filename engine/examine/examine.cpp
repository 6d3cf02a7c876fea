#include "engine/examine/examine.hpp"

#include <algorithm>
#include <cmath>

#include "engine/examine/calls.hpp"
#include "engine/examine/oriented.hpp"
#include "engine/examine/repair.hpp"

namespace archwright::examine {

namespace {

Fault cancelled() {
    return {FaultKind::cancelled, "examine", "Cancelled while the cast was examined.", {}};
}

void add(Mask& mask, const Mask& more) {
    for (std::size_t k = 0; k < mask.size(); ++k) mask.a[k] = mask.a[k] || more.a[k];
}

// Nodes where the foot's shape says `part` of a place.
template <class Inside>
Mask region(const Relief& relief, Inside&& inside) {
    Mask mask(relief.seen.nu, relief.seen.nv);
    for (std::size_t k = 0; k < mask.size(); ++k) mask.a[k] = relief.seen.a[k] && inside(k);
    return mask;
}

}  // namespace

Outcome<std::vector<Finding>> find_faults(const Relief& relief, const Anatomy& anatomy,
                                          const DomeHeight& measured, Progress* progress) {
    const auto report = [&](const char* what, double fraction) {
        return progress == nullptr || progress->report(what, fraction);
    };
    const double step = relief.step();
    std::vector<Finding> found;
    const auto keep = [&](std::optional<Finding> f) {
        if (f) found.push_back(*std::move(f));
    };
    Mask disturbed(relief.seen.nu, relief.seen.nv);  // by what was found already

    if (!report("looking for a seam", 0.3)) return cancelled();
    // along the best of all ways noise adds up to about half of its own size
    const double seam_least_mm = 0.2 + 0.5 * relief.noise_mm;
    constexpr double seam_band_mm = 6.0;
    Mask seam_band(disturbed.nu, disturbed.nv);
    if (const auto seam =
            find_seam(relief, anatomy, steps(relief.height, relief.sole, step, 6.0), seam_least_mm)) {
        auto f = call_seam(*seam, relief, anatomy);
        if (f && f->certainty == Finding::Certainty::certain) {
            seam_band = band(seam->nodes, relief, seam_band_mm);
            add(disturbed, seam_band);
        }
        keep(std::move(f));
    }

    if (!report("looking at the heel", 0.45)) return cancelled();
    const Mask heel = region(relief, [&](std::size_t k) {
        return anatomy.along(relief.map.position[k]) < 0.27 && relief.map.away[k].z() < -0.75;
    });
    Mask flat_edge(disturbed.nu, disturbed.nv), flat_heel = flat_edge;
    bool scanned_standing = false;
    if (const auto flat = find_flat(relief, heel, disturbed)) {
        if (auto f = call_flat_heel(*flat, relief, anatomy)) {
            constexpr double edge_mm = 6.0;
            scanned_standing = stood(*flat, relief, anatomy);
            flat_heel = grown(flat->nodes, edge_mm / step);
            flat_edge = flat_heel;  // the bend all round it, not what lies inside
            const Mask within = shrunk(flat->nodes, edge_mm / step);
            for (std::size_t k = 0; k < within.size(); ++k)
                if (within.a[k]) flat_edge.a[k] = 0;
            keep(std::move(f));
        }
    }
    const Mask border = region(relief, [&](std::size_t k) {
        const double along = anatomy.along(relief.map.position[k]);
        return along > 0.3 && along < 0.62 && anatomy.across(relief.map.position[k]) < 0.4 &&
               relief.map.away[k].y() < -0.35 && relief.inside.a[k] > 3.0f;
    });
    if (const auto flat = find_flat(relief, border, disturbed))
        keep(call_flat_border(*flat, relief, anatomy));

    if (!report("looking for creases", 0.5)) return cancelled();
    constexpr double crease_band_mm = 3.0, most_inside = 0.5;
    std::vector<std::pair<Crease, Finding>> creases;
    for (Crease& crease : find_creases(relief, ridges(relief.height, relief.sole, step, {1.2, 2.8}, 5.0))) {
        if (share_in(crease.nodes, seam_band) > most_inside ||
            share_in(crease.nodes, flat_edge) > most_inside)
            continue;
        if (auto f = call_crease(crease, relief, anatomy)) {
            if (f->certainty == Finding::Certainty::certain)
                add(disturbed, band(crease.nodes, relief, crease_band_mm));
            creases.emplace_back(std::move(crease), *std::move(f));
        }
    }

    if (!report("looking for dents and bumps", 0.7)) return cancelled();
    constexpr double least_dimple_mm = 0.25;
    std::vector<Finding> dimples;
    for (const Dimple& dimple : find_dimples(relief, disturbed, least_dimple_mm)) {
        const int i = static_cast<int>(std::lround(dimple.node.x())),
                  j = static_cast<int>(std::lround(dimple.node.y()));
        if (flat_heel.has(i, j) && flat_heel.at(i, j)) continue;  // the flat itself
        if (auto f = call_dimple(dimple, relief, anatomy, measured)) {
            if (f->certainty == Finding::Certainty::certain)
                add(disturbed, band({dimple.node}, relief, dimple.radius + 2.0));
            dimples.push_back(*std::move(f));
        }
    }

    if (!report("looking for rough patches", 0.9)) return cancelled();
    const Mask plain = region(relief, [&](std::size_t k) {
        const Vec3& p = relief.map.position[k];
        const double across = anatomy.across(p);
        return relief.map.away[k].z() < -0.65 && across > 0.14 && across < 0.93 &&
               anatomy.behind_heads_mm(p) > -5.0;
    });
    Mask rough(disturbed.nu, disturbed.nv);
    for (const RoughPatch& patch : find_rough(relief, plain, disturbed)) {
        add(rough, grown(patch.nodes, 3.0 / step));
        keep(call_rough(patch, relief, anatomy));
    }
    for (auto& [crease, f] : creases)
        if (f.certainty == Finding::Certainty::certain || share_in(crease.nodes, rough) < most_inside)
            keep(std::move(f));
    for (Finding& f : dimples) keep(std::move(f));

    if (scanned_standing)
        for (Finding& f : found) {
            f.certainty = Finding::Certainty::question;
            f.confidence = std::min(f.confidence, 0.3);
        }
    std::stable_sort(found.begin(), found.end(), worse);
    return found;
}

Outcome<Examination> examine(const foot::Standing& standing, Progress* progress) {
    if (progress != nullptr && !progress->report("laying a base", 0.0)) return cancelled();
    const auto anatomy = anatomy_of(standing);
    if (!anatomy) return anatomy.fault();
    auto relief = lay_relief(standing, progress);
    if (!relief) return relief.fault();
    const auto measured = [&](const Vec3& place, double reach_mm) {
        return dome_height(standing.mesh, {}, {"", {place}, reach_mm});
    };
    auto findings = find_faults(*relief, *anatomy, measured, progress);
    if (!findings) return findings.fault();
    return Examination{*std::move(findings), relief->noise_mm, std::move(relief->map)};
}

}  // namespace archwright::examine
