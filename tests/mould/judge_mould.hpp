// What must hold of every mould.
#pragma once

#include <catch2/catch.hpp>

#include "engine/base/units.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/mould/mould.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::tests {

/// Sound, flat on its base, drafted, and scribed under the trim line: by this test's own reckoning.
inline void judge_mould(const mould::Mould& made, const surface::SplineSurface& foot_side,
                        const surface::PeriodicCurve& trim, const mould::MouldSetting& setting) {
    const Soundness sound = find_soundness(made.mesh);
    CHECK(sound.sound());
    CHECK(sound.components == 1);
    CHECK(self_intersections(made.mesh, 1).empty());
    // the base is flat on the table, with nothing below
    CHECK(made.mesh.box().low.z() == Approx(0.0).margin(1e-9));
    // draft, by this test's own reckoning: a face of margin or wall against the vertical
    double least = 1.0;
    for (std::size_t t = made.groove_end; t < made.wall_end; ++t) {
        const Vec3 n = made.mesh.normal2(t);
        if (n.norm() > 1e-9) least = std::min(least, n.z() / n.norm());
    }
    CHECK(degrees(std::asin(least)) == Approx(made.least_draft_deg).margin(1e-6));
    CHECK(made.least_draft_deg >= setting.draft_deg - 0.1);
    // the groove's floor lies under the trim line: brought back to the foot side it is on the line
    const surface::Outline line(trim, 32);
    double off = 0.0, deep = 0.0;
    for (std::size_t k = 0; k < made.scribed.size(); k += 3) {
        const Vec3 p = made.scribed[k] / made.scale;
        const Vec3 design(p.x(), -p.y(), made.base_z - p.z());
        Vec2 uv = line.points()[k * line.points().size() / made.scribed.size()];
        double nearest = 1e300;
        for (const Vec2& start : line.points()) {
            const double d = (foot_side.point(start) - design).norm();
            if (d < nearest) {
                nearest = d;
                uv = start;
            }
        }
        deep = std::max(deep, std::abs(foot_side.project(design, uv, 20) - setting.scribe_depth_mm));
        off = std::max(off, line.distance(uv));
    }
    CHECK(off < 0.1);
    CHECK(deep < 0.02);
}

}  // namespace archwright::tests
