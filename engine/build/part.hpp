// Parts of their own that go with a shell: plugs, pads stuck on, posts stuck under it.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "engine/design/material.hpp"
#include "engine/mesh/soundness.hpp"
#include "engine/solid/solid.hpp"
#include "engine/surface/shell.hpp"

namespace archwright::build {

/// One part as it is made; design frame, in its place on the shell.
struct Part {
    enum class Kind { plug, pad, post };

    std::string name;  ///< the feature's, or "rearfoot-post", "forefoot-post": names its files and bodies
    Kind kind = Kind::pad;
    design::Material material;
    double clearance_mm = 0.0;  ///< asked, of a plug
    double glue_mm = 0.0;
    /// Foot side: its top; underside: what lies on the shell; trim: its outline. A post: surface::shell_over.
    surface::Shell body;
    Vec2 origin = Vec2::Zero();  ///< where the body's (u,v) begins in the shell's
    /// feature::LaidPart::side; empty but of a plug.
    std::function<double(const Vec2& uv)> side;
    double fit_mm = 0.0, lost_share = 0.0;  ///< as of feature::LaidPart
    surface::ShellMesh mesh;
};

/// What was measured on one finished part.
struct PartProof {
    Soundness soundness;
    std::size_t crossings = 0;  ///< pairs of its triangles that cross
    double mass_g = 0.0;
    /// Thickness, mm: from its top to what lies below (the seat's side; of a post its floor). The least
    /// stands beside its edge. Mean: volume over the area below.
    double least_mm = 0.0, greatest_mm = 0.0, mean_mm = 0.0;
    std::optional<double> clearance_mm;  ///< least distance of a plug's side from the flank of its seat
    double deepest_mm = 0.0;             ///< how far a point of one body lies within another
    std::string cuts;                    ///< the name of that other: "the shell"
    std::optional<solid::Solid> solid;   ///< nothing where it is not sound
    solid::SolidReport solid_report;     ///< or why it is not
};

inline const char* word(Part::Kind kind) {
    return kind == Part::Kind::plug ? "plug" : kind == Part::Kind::pad ? "pad, stuck on" : "post, stuck on";
}

}  // namespace archwright::build
