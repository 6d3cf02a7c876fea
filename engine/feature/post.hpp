// Posts: blocks under the shell, one solid with it or stuck on, on whose floors the device stands.
#pragma once

#include <string>

namespace archwright::feature {

/// A post made as a body of its own, stuck under the shell.
struct PostPart {
    std::string material;  ///< key in assets/materials; empty: one solid with the shell
    double glue_mm = 0.0;  ///< gap between its top and the underside, for the glue

    bool asked() const { return !material.empty(); }
};

/// Under the heel. Standing on its floor the device is inverted by `angle_deg`. With motion the floor has two
/// faces: on the lateral one the device is inverted by `angle_deg`, on the one medial of the hinge by
/// `angle_deg` less `motion_deg`.
struct RearfootPost {
    bool on = false;
    double angle_deg = 0.0;   ///< positive inverted: thicker at its medial side
    double motion_deg = 0.0;  ///< from the lateral face to the medial; 0: one face
    double hinge_mm = 0.0;    ///< where they meet, along the axis: medially of the heel centre
    double height_mm = 1.0;   ///< between floor and underside where they are nearest: a lift
    double length_mm = 55.0;  ///< along the axis, from behind the heel centre by half its width
    double width_mm = 40.0;
    double flare_deg = 0.0;  ///< of the walls: positive widens to the ground
    PostPart part;
};

/// Behind the distal edge, across. Its floor takes `extrinsic_deg` off what the platform leaves of the
/// forefoot's inclination.
struct ForefootPost {
    bool on = false;
    double extrinsic_deg = 0.0;  ///< E, with the deformity's sign
    double height_mm = 0.5;      ///< between floor and underside where they are nearest
    double length_mm = 18.0;     ///< along the axis, back from behind the distal edge
    double flare_deg = 0.0;
    PostPart part;
};

/// A flat built up under the heel's lowest place: as high as the round heel needs for it, no wall is ground
/// away.
struct FlatContact {
    bool on = false;
    double diameter_mm = 20.0;
};

struct Posts {
    RearfootPost rearfoot;
    FlatContact flat_contact;
    ForefootPost forefoot;
};

}  // namespace archwright::feature
