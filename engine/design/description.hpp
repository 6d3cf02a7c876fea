// Every key of a job, once: its type, unit, range, help and source.
//
// `describe(a, s)` walks the members of one struct and tells the archive `a` about each. The archives are the
// reader (reader.hpp), the writer (writer.hpp), the schema (schema.cpp) and the parameter table
// (parameters.cpp); the case itself is described in description_case.hpp. To add a parameter: a member with
// its default in job.hpp, one line here, and `tests/run.sh` says what else is out of date.
#pragma once

#include <string_view>

#include "engine/design/job.hpp"
#include "engine/design/material.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"

namespace archwright::design {

/// Help and origin of one key.
struct About {
    std::string_view help;
    std::string_view source{};  ///< where its range and default come from
    Evidence mark = Evidence::ours;
};

/// A number, its unit (also the last part of its key) and the values it may take.
struct Range {
    std::string_view unit;
    double low = 0, high = 0;
    double step = 0;  ///< of a slider or an arrow key
};

enum class Presence { optional, required };

/// How many entries a list may have.
struct Count {
    std::size_t least = 0, most = 0;
};
inline constexpr std::size_t most_curve_points = 2000;
inline constexpr std::size_t most_region_points = 400;
inline constexpr std::size_t most_repair_points = 200;
inline constexpr std::size_t most_presets = 50;
inline constexpr std::size_t most_covers = 8;

/// Bound of coordinates in a cast file, in its own unit (a 0.3 m foot in micrometres is 3e5).
inline constexpr double scan_bound = 1e7;
/// Bound of plan coordinates in the design frame: no device is half a metre away from its heel.
inline constexpr double plan_bound_mm = 500;

inline constexpr std::string_view from_practice = "common practice";

template <class A>
void describe(A& a, Statement& s) {
    a.choice("by", s.by, {"who says so; a proposal stands as \"look\" until a person states it"});
    a.text("code", s.code, TextKind::code, Presence::optional, {"code of the person who stated it"});
    a.text("evidence", s.evidence, TextKind::words, Presence::optional, {"what the proposal rests on"});
    a.text("despite", s.despite, TextKind::words, Presence::optional,
           {"the contradiction of the shape that the person typed the value again against; void for another "
            "cast"});
    a.number("confidence", s.confidence, Range{"", 0, 1, 0.01}, {"confidence of a proposal"});
    a.flag("clear", s.clear, {"the cues agree by the named margin, so that work may go on with a proposal"});
}

template <class A>
void describe(A& a, StatedValue<LengthUnit>& s) {
    a.choice("value", s.value, {"unit of the coordinates in the cast file"});
    describe(a, static_cast<Statement&>(s));
}

template <class A>
void describe(A& a, CastRef& s) {
    a.text("path", s.path, TextKind::path, Presence::required, {"the cast file"});
    a.text("sha256", s.sha256, TextKind::fingerprint, Presence::required,
           {"SHA-256 of the file's bytes; a changed cast is a stop that cannot be signed off"});
    a.object("unit", s.unit, {"unit of the file, and how surely it is known"});
    a.point("up", s.up, scan_bound,
            {"direction from the sole to the ankle in the file, where a person stated it"});
    a.point("toes", s.toes, scan_bound,
            {"direction from heel to toes in the file, where a person stated it"});
    a.flag("inside_out", s.inside_out,
           {"the file is a negative scanned from inside, where a person stated it"});
}

template <class A>
void describe(A& a, Calipers& s) {
    a.number("heel_breadth_mm", s.heel_breadth_mm, Range{"mm", 20, 120, 0.5},
             {"heel breadth measured on the foot by the clinic, at 16 % of the foot length",
              "adult feet 48-93 mm (ANSUR II 2012), widened for children and swelling", Evidence::computed});
    a.number("ball_breadth_mm", s.ball_breadth_mm, Range{"mm", 30, 160, 0.5},
             {"ball breadth measured on the foot by the clinic",
              "adult feet 77-126 mm (ANSUR II 2012), widened for children and swelling", Evidence::computed});
}

template <class A>
void describe(A& a, foot::Landmark& s) {
    a.point("position", s.position, scan_bound, {"in the cast file's own coordinates"});
    a.choice("source", s.source, {"suggested by the program, or set by a person"});
    a.number("confidence", s.confidence, Range{"", 0, 1, 0.01}, {"confidence of a suggestion"});
    a.number("sd_mm", s.sd_mm, Range{"mm", 0, 20, 0.1},
             {"standard deviation of the place; angles get their uncertainty from it",
              "1 mm set by a person, 2.5 mm suggested, until the laboratory has marked repeatedly"});
    a.text("by", s.by, TextKind::code, Presence::optional, {"code of the person who set it"});
}

template <class A>
void describe(A& a, Mark& s) {
    a.text("name", s.name, TextKind::name, Presence::required, {"unique within the foot"});
    a.choice("kind", s.kind, {"one point, a line of two or more, an area round three or more"});
    a.choice("meaning", s.meaning, {"what the mark means, as a person confirmed it; a guess until then"});
    a.points("points", s.points, Count{1, most_curve_points}, scan_bound,
             {"in the cast file's own coordinates"});
    a.choice("source", s.source, {"found by the program, or drawn by a person"});
    a.number("confidence", s.confidence, Range{"", 0, 1, 0.01}, {"confidence of a mark that was found"});
    a.number("breadth_mm", s.breadth_mm, Range{"mm", 0, 100, 0.5},
             {"breadth of the ink: across a line, diameter of a spot; 0: not known"});
    a.flag("refused", s.refused,
           {"a person looked at what was found and it is no mark; it stays so that it is not offered again"});
    a.text("by", s.by, TextKind::code, Presence::optional,
           {"code of the person who drew, accepted or refused it"});
    a.text("note", s.note, TextKind::words, Presence::optional, {"remark"});
}

template <class A>
void describe(A& a, Repair& s) {
    a.text("name", s.name, TextKind::name, Presence::required, {"unique within the foot"});
    a.choice("what", s.what, {"the fault that is repaired"});
    a.points("points", s.points, Count{1, most_repair_points}, scan_bound,
             {"one place or a line on the cast, in the cast file's own coordinates"});
    a.number("reach_mm", s.reach_mm, Range{"mm", 2, 30, 0.5},
             {"all of the cast within this of them is fitted anew from what lies round it"});
    a.text("by", s.by, TextKind::code, Presence::required, {"code of the person who asked for it"});
    a.text("reason", s.reason, TextKind::words, Presence::optional, {"why it is repaired"});
}

template <class A>
void describe(A& a, Answer& s) {
    a.choice("what", s.what, {"what the examination found"});
    a.point("place", s.place, scan_bound, {"where, in the cast file's own coordinates"});
    a.choice("is", s.is, {"the foot's own shape, or a fault of the cast that is left as it is"});
    a.text("by", s.by, TextKind::code, Presence::required, {"code of the person who answered"});
    a.text("note", s.note, TextKind::words, Presence::optional, {"remark"});
}

template <class A>
void describe(A& a, foot::Balance& s) {
    a.choice(
        "method", s.method,
        {"how the cast stands: on its own lowest points, by the heel bisection, by the malleolar line, or "
         "as an inverted pour",
         "the heel bisection is the consensus (Banwell 2014, J Foot Ankle Res 7:49)", Evidence::read});
    a.number("heel_deg", s.heel_deg, Range{"deg", -30, 30, 0.5},
             {"method heel_bisection: angle of the heel bisection; positive inverted",
              "0 is the most frequent order (Menz 2017, J Foot Ankle Res 10)", Evidence::read});
    a.number("malleolar_deg", s.malleolar_deg, Range{"deg", -45, 45, 0.5},
             {"method malleolar: inclination of the line from the lateral malleolus to the second point; "
              "positive when the second point is the higher; no default"});
    a.choice("malleolar_second", s.malleolar_second, {"method malleolar: where that line ends"});
    a.number("pour_deg", s.pour_deg, Range{"deg", 0, 45, 1},
             {"method inverted_pour: inversion of the heel in the pour; no post of that angle; no default",
              "about a fifth of it is expected at the heel (J Am Podiatr Med Assoc 1986;76:275); 15 and 25 "
              "degrees were tested (Alsaafin 2023, J Multidiscip Healthc 16:2613)",
              Evidence::read});
    a.number("heel_height_mm", s.heel_height_mm, Range{"mm", 0, 60, 1},
             {"height of the shoe's heel above its ball: the cast is pitched toes down by it"});
    a.choice("forefoot", s.forefoot, {"as it is, or brought to a platform under the metatarsal heads"});
    a.number("intrinsic_deg", s.intrinsic_deg, Range{"deg", -15, 15, 0.5},
             {"what the platform corrects of the forefoot's inclination, with its sign", "1-6 degrees",
              Evidence::practice});
    a.number(
        "platform_length_mm", s.platform_length_mm, Range{"mm", 0, 40, 1},
        {"the platform in full, back from the plantar metatarsal heads", from_practice, Evidence::practice});
    a.number("platform_blend_mm", s.platform_blend_mm, Range{"mm", 10, 90, 1},
             {"from there into the arch", from_practice, Evidence::practice});
}

/// Name and curve of a zone drawn in plan.
template <class A, class Zone>
void describe_outline(A& a, Zone& s) {
    a.text("name", s.name, TextKind::name, Presence::required, {"unique within the foot"});
    a.points("outline", s.outline, Count{3, most_region_points}, plan_bound_mm,
             {"the closed curve runs through these points of the plan (design frame, mm)"});
}

template <class A>
void describe(A& a, surface::SmoothZone& s) {
    describe_outline(a, s);
    a.number("strength", s.strength, Range{"", 0, 1, 0.05},
             {"0 the cast as it is, 1 the smoothest surface over the zone"});
    a.number("blend_mm", s.blend_mm, Range{"mm", 1, 40, 0.5}, {"inward from the curve, to full strength"});
}

template <class A>
void describe(A& a, surface::KeepZone& s) {
    describe_outline(a, s);
    a.number("margin_mm", s.margin_mm, Range{"mm", 1, 40, 0.5},
             {"outward from the curve, over which dressing comes back"});
}

template <class A>
void describe(A& a, surface::Skive& s) {
    a.number("depth_mm", s.depth_mm, Range{"mm", 0, 8, 0.5},
             {"largest vertical removal before blending; 0: none",
              "2, 4 and 6 mm were tested (Bonanno 2012, J Foot Ankle Res 5:20)", Evidence::read});
    a.number("angle_deg", s.angle_deg, Range{"deg", 5, 30, 1},
             {"slope of the plane", "15 degrees (Kirby 1992, J Am Podiatr Med Assoc 82:177), from memory",
              Evidence::memory});
    a.number("forward_mm", s.forward_mm, Range{"mm", -20, 40, 1},
             {"in full this far in front of the heel centre", from_practice, Evidence::practice});
    a.number("fade_mm", s.fade_mm, Range{"mm", 10, 60, 1},
             {"and from there to nothing", from_practice, Evidence::practice});
    a.number(
        "blend_mm", s.blend_mm, Range{"mm", 2, 20, 0.5},
        {"breadth of the rounding at the plane's edge", "no sharp edge under the heel", Evidence::practice});
}

template <class A>
void describe(A& a, surface::Dress& s) {
    a.number("arch_fill_mm", s.arch_fill_mm, Range{"mm", 0, 12, 0.5},
             {"medial arch fill at the apex of the arch", "least 0-2, standard 3-4, most 5-6 mm and more",
              Evidence::practice});
    a.number("arch_fill_length_mm", s.arch_fill_length_mm, Range{"mm", 40, 200, 5},
             {"its whole length along the axis; nothing at both ends", from_practice, Evidence::practice});
    a.number("arch_fill_breadth_mm", s.arch_fill_breadth_mm, Range{"mm", 30, 120, 5},
             {"its whole breadth across", from_practice, Evidence::practice});
    const std::string_view expansion = "2-6 mm a side, blended to nothing";
    a.number(
        "lateral_expansion_mm", s.lateral_expansion_mm, Range{"mm", 0, 8, 0.5},
        {"along the lateral border, between heel and 5th metatarsal head", expansion, Evidence::practice});
    a.number("heel_expansion_medial_mm", s.heel_expansion_medial_mm, Range{"mm", 0, 8, 0.5},
             {"medial at the heel", expansion, Evidence::practice});
    a.number("heel_expansion_posterior_mm", s.heel_expansion_posterior_mm, Range{"mm", 0, 8, 0.5},
             {"behind the heel", expansion, Evidence::practice});
    a.number("heel_expansion_lateral_mm", s.heel_expansion_lateral_mm, Range{"mm", 0, 8, 0.5},
             {"lateral at the heel", expansion, Evidence::practice});
    a.number("cover_mm", s.cover_mm, Range{"mm", 0, 8, 0.5},
             {"room for a cover of this thickness, everywhere; raises the rim by as much", "1.5-3 (6) mm",
              Evidence::practice});
    a.list("smooth", s.smooth, Count{0, 50}, {"drawn zones to be smoothed"});
    a.list("keep", s.keep, Count{0, 50}, {"drawn zones that no dressing may touch"});
    a.object("medial_skive", s.medial_skive, {"plane cut of the heel, medial"});
    a.object("lateral_skive", s.lateral_skive, {"plane cut of the heel, lateral"});
}

template <class A>
void describe(A& a, surface::TrimControl& s) {
    a.number("station", s.station, Range{"", 0, 1, 0.01},
             {"place along the border: 0 back of the heel, 1 distal end"});
    a.flag("medial", s.medial, {"on the medial border; no: on the lateral"});
    a.number("offset_mm", s.offset_mm, Range{"mm", -15, 15, 0.5},
             {"moves the line outward (up the wall, or wider) there, and its neighbours smoothly with it"});
}

template <class A>
void describe(A& a, surface::FirstRayCutout& s) {
    a.number("length_mm", s.length_mm, Range{"mm", 0, 60, 1},
             {"the edge lies so far further back under the 1st ray; 0: none",
              "from the base or the middle of the 1st metatarsal's shaft distally", Evidence::practice});
    a.number(
        "width_mm", s.width_mm, Range{"mm", 10, 45, 0.5},
        {"from the 1st head's border to the middle of the cut-out's side; without: to midway between the "
         "1st and the 2nd head",
         from_practice, Evidence::practice});
    a.number("radius_mm", s.radius_mm, Range{"mm", 3, 20, 0.5},
             {"radius of its corners, in plan", "no sharp inner corner: it is where shells crack",
              Evidence::practice});
}

template <class A>
void describe(A& a, surface::LateralFlange& s) {
    a.number("height_mm", s.height_mm, Range{"mm", 0, 40, 0.5},
             {"height of the raised lateral border above the lowest point of its section; 0: none",
              "8-15 mm above the border", Evidence::practice});
    a.number("from", s.from, Range{"", 0.4, 0.85, 0.01},
             {"place along the border where it begins: 0 back of the heel, 1 distal end"});
    a.number("to", s.to, Range{"", 0.4, 0.85, 0.01}, {"and where it ends"});
}

template <class A>
void describe(A& a, surface::LateralScallop& s) {
    a.number("depth_mm", s.depth_mm, Range{"mm", 0, 20, 0.5},
             {"depth of the scallop in the lateral edge, inward along the surface; 0: none", from_practice,
              Evidence::practice});
    a.number("length_mm", s.length_mm, Range{"mm", 20, 120, 5},
             {"its length along the axis, from nothing to nothing", from_practice, Evidence::practice});
    a.number(
        "station", s.station, Range{"", 0.3, 0.95, 0.01},
        {"place of its middle along the border; without: at the base of the 5th metatarsal where that is "
         "marked, else 0.62"});
}

template <class A>
void describe(A& a, Trim& s) {
    const std::string_view distal = "5-10 mm proximal to the weight-bearing part";
    a.number("distal_first_mm", s.distal_first_mm, Range{"mm", 0, 60, 0.5},
             {"distal edge behind the border point of the 1st metatarsal head", distal, Evidence::practice});
    a.number("distal_fifth_mm", s.distal_fifth_mm, Range{"mm", 0, 60, 0.5},
             {"distal edge behind the border point of the 5th metatarsal head (its plantar point lies "
              "further back)",
              distal, Evidence::practice});
    a.number("distal_bow_mm", s.distal_bow_mm, Range{"mm", 0, 10, 0.5},
             {"forward bow of the distal edge at its middle", "follows the parabola of the metatarsal heads",
              Evidence::practice});
    a.number("distal_height_mm", s.distal_height_mm, Range{"mm", 1, 15, 0.5},
             {"height of both borders where they meet the distal edge", from_practice, Evidence::practice});
    a.number("medial_flange_mm", s.medial_flange_mm, Range{"mm", 2, 50, 0.5},
             {"height of the medial border at the arch, above the lowest point of its section", from_practice,
              Evidence::practice});
    a.number("lateral_border_mm", s.lateral_border_mm, Range{"mm", 2, 40, 0.5},
             {"height of the lateral border at midfoot, above the lowest point of its section", from_practice,
              Evidence::practice});
    const std::string_view cup = "shallow 8-10, standard 12-14, deep 16-20 mm";
    a.number("cup_medial_mm", s.cup_medial_mm, Range{"mm", 4, 40, 0.5},
             {"cup depth, medial at the heel centre: vertical, from the lowest point before any skive to the "
              "foot-side edge of the rim",
              cup, Evidence::practice});
    a.number("cup_posterior_mm", s.cup_posterior_mm, Range{"mm", 4, 40, 0.5},
             {"cup depth behind the heel, on the axis; measured in the same way", cup, Evidence::practice});
    a.number("cup_lateral_mm", s.cup_lateral_mm, Range{"mm", 4, 40, 0.5},
             {"cup depth, lateral at the heel centre; measured in the same way", cup, Evidence::practice});
    a.number("width_allowance_mm", s.width_allowance_mm, Range{"mm", -15, 15, 0.5},
             {"both borders near the distal edge wider (negative: narrower), each side",
              "standard shell: to the medial border of the 1st metatarsal", Evidence::practice});
    a.number("corner_radius_mm", s.corner_radius_mm, Range{"mm", 2, 40, 0.5},
             {"least radius of the distal corners in plan",
              "a corner sharper than the rim is round gives no valid solid"});
    a.object("first_ray_cutout", s.first_ray_cutout, {"the distal edge further back under the 1st ray"});
    a.object("lateral_flange", s.lateral_flange, {"the lateral border raised"});
    a.object("lateral_scallop", s.lateral_scallop, {"a smooth bite out of the lateral edge"});
    a.list("controls", s.controls, Count{0, 100}, {"free control points of the trim line"});
}

inline constexpr Range wall_range{"mm", 0.5, 20, 0.1};
inline constexpr std::string_view wall_source =
    "polypropylene 3.0-4.5 mm by posture and body mass (McCormick 2013, J Foot Ankle Res 6:19)";

template <class A>
void describe(A& a, WallStation& s) {
    a.number("along", s.along, Range{"", 0, 1, 0.01}, {"place along the device: 0 rear edge, 1 distal edge"});
    a.number("wall_mm", s.wall_mm, wall_range, {"wall there", wall_source, Evidence::read});
}

/// Factors of wall and of rigidity: 0.1 to 3 times the wall is 0.001 to 27 times the rigidity.
inline constexpr Range wall_scale_range{"", 0.1, 3, 0.05};
inline constexpr Range rigidity_range{"", 0.05, 20, 0.1};

template <class A>
void describe(A& a, WallZone& s) {
    a.choice("kind", s.kind,
             {"what the zone says of its wall: a wall in mm, a scale of the wall below it, or a bending "
              "rigidity relative to the base"});
    a.number("wall_mm", s.wall_mm, wall_range, {"kind wall: wall inside", wall_source, Evidence::read});
    a.number("scale", s.scale, wall_scale_range,
             {"kind scale: times the wall that lies below it; 1: nothing changes"});
    a.number("rigidity", s.rigidity, rigidity_range,
             {"kind rigidity: times the bending rigidity of the base; the wall is the base times its cube "
              "root, held within the material's least and greatest wall",
              "D = E t^3 / (12 (1 - nu^2)) (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells)",
              Evidence::memory});
    a.number("blend_mm", s.blend_mm, Range{"mm", 0.5, 80, 0.5},
             {"breadth of the transition, half of it on each side of the edge", "no abrupt change of section",
              Evidence::practice});
    a.whole("priority", s.priority, Range{"", -100, 100, 1},
            {"where zones overlap the higher one wins; equal: columns first, then the later in the list"});
}

template <class A>
void describe(A& a, WallRegion& s) {
    describe_outline(a, s);
    describe(a, static_cast<WallZone&>(s));
}

template <class A>
void describe(A& a, WallColumn& s) {
    a.flag("on", s.on, {"a strip along this border has a wall of its own"});
    a.number("from", s.from, Range{"", 0, 1, 0.01},
             {"place along the device where it begins: 0 rear edge (then without a transition), 1 distal "
              "edge"});
    a.number("to", s.to, Range{"", 0, 1, 0.01},
             {"and where it ends; 1: at the distal edge, without a transition"});
    a.number("width_mm", s.width_mm, Range{"mm", 3, 60, 1},
             {"from the border inward, straight across", from_practice, Evidence::practice});
    describe(a, static_cast<WallZone&>(s));
}

template <class A>
void describe(A& a, Wall& s) {
    a.number(
        "base_mm", s.base_mm, wall_range,
        {"wall everywhere, unless stations, columns or regions say otherwise", wall_source, Evidence::read});
    a.list("stations", s.stations, Count{0, 50},
           {"gradient along the foot; replaces the base when there are any; in order"});
    a.list("regions", s.regions, Count{0, 200}, {"closed curves in plan with a wall of their own"});
    a.object("medial_column", s.medial_column, {"strip along the medial border"});
    a.object("lateral_column", s.lateral_column, {"strip along the lateral border"});
}

template <class A>
void describe(A& a, feature::GrooveStation& s) {
    a.number("along", s.along, Range{"", 0, 1, 0.01},
             {"place along the groove: 0 its first point, 1 its last"});
    a.number("width_mm", s.width_mm, Range{"mm", 3, 60, 0.5}, {"width there, at half depth"});
    a.number("depth_mm", s.depth_mm, Range{"mm", 0, 10, 0.1}, {"depth there"});
}

inline constexpr About part_material{
    "what the part is made of: a file of the materials folder, without \".json\"; none: one solid with the "
    "shell"};
inline constexpr About part_glue{"gap between the part and the shell it is stuck to, for the glue"};

template <class A>
void describe(A& a, feature::OwnPart& s) {
    a.text("material", s.material, TextKind::name, Presence::optional, part_material);
    a.number("clearance_mm", s.clearance_mm, Range{"mm", 0, 1, 0.05},
             {"of a plug, between its side and the flank of its seat", from_practice, Evidence::practice});
    a.number("proud_mm", s.proud_mm, Range{"mm", 0, 5, 0.1},
             {"of a plug: its top stands above the undisturbed foot side by this, over the seat's floor; 0: "
              "flush"});
    a.number("glue_mm", s.glue_mm, Range{"mm", 0, 0.5, 0.05}, part_glue);
}

template <class A>
void describe(A& a, feature::PostPart& s) {
    a.text("material", s.material, TextKind::name, Presence::optional, part_material);
    a.number("glue_mm", s.glue_mm, Range{"mm", 0, 0.5, 0.05},
             {"gap between its top and the underside, straight down, for the glue"});
}

template <class A>
void describe(A& a, feature::Feature& s) {
    a.text("name", s.name, TextKind::name, Presence::required, {"unique within the foot"});
    a.choice("kind", s.kind, {"what it is"});
    a.flag("on", s.on, {"no: it stays in the list and is not made"});
    a.text(
        "anchor", s.anchor, TextKind::name, Presence::optional,
        {"the mark or landmark it lies on; else `points` say where, and dome and bar lie behind the heads"});
    a.points(
        "points", s.points, Count{0, most_region_points}, plan_bound_mm,
        {"places of the plan (design frame, mm): one for a spot, two or more along a groove, three or more "
         "round a closed curve"});
    a.number("forward_mm", s.forward_mm, Range{"mm", -100, 100, 0.5},
             {"moves it forward from there, in plan"});
    a.number("medial_mm", s.medial_mm, Range{"mm", -60, 60, 0.5}, {"moves it to medial from there, in plan"});
    a.number(
        "width_mm", s.width_mm, Range{"mm", 3, 120, 0.5},
        {"across; of groove, cavity, pad and bar at half height",
         "fascial groove: the band and 2-3 mm each side; cavity: the lesion and 3-5 mm", Evidence::practice});
    a.number("length_mm", s.length_mm, Range{"mm", 3, 120, 0.5},
             {"along; of cavity, pad and bar at half height"});
    a.number("turn_deg", s.turn_deg, Range{"deg", -180, 180, 1},
             {"of cavity, pad and dome: turns the front end to medial"});
    a.number("depth_mm", s.depth_mm, Range{"mm", 0, 10, 0.1},
             {"of a relief, square to the foot side", "groove 2-4 mm, cavity 2-4 mm", Evidence::practice});
    a.number("height_mm", s.height_mm, Range{"mm", 0, 12, 0.1},
             {"of a pad, dome or bar, square to the foot side", from_practice, Evidence::practice});
    a.number("flank_mm", s.flank_mm, Range{"mm", 1, 40, 0.5},
             {"breadth of the flank, half of it on each side of the edge", "ramped edge; no sharp rim",
              Evidence::practice});
    a.number("fade_start_mm", s.fade_start_mm, Range{"mm", 0, 60, 1},
             {"of a groove: its depth comes over this from its first point"});
    a.number("fade_end_mm", s.fade_end_mm, Range{"mm", 0, 60, 1},
             {"of a groove: its depth goes over this to its last point", "fade distal", Evidence::practice});
    a.list("stations", s.stations, Count{0, 50},
           {"of a groove: width and depth along it, in order; replace width and depth"});
    a.number(
        "behind_mm", s.behind_mm, Range{"mm", -20, 40, 0.5},
        {"of dome and bar: leading edge behind the metatarsal heads; negative: in front of them",
         "domes 10 mm behind to 5 mm in front were tested; position matters more than shape (J Foot Ankle "
         "Res 2014;7:18)",
         Evidence::read});
    a.choice(
        "underside", s.underside,
        {"follows: the wall is kept, a relief bulges below; stays: a pad thickens the wall, a relief thins "
         "it"});
    a.number(
        "least_wall_mm", s.least_wall_mm, wall_range,
        {"of a relief whose underside stays: never thinner than this; without: the material's least wall"});
    a.object("part", s.part,
             {"made as a body of its own: a plug in the cavity, or the pad, dome or bar stuck on"});
}

template <class A, class Post>
void describe_flare(A& a, Post& s) {
    a.number("flare_deg", s.flare_deg, Range{"deg", -30, 30, 1},
             {"of its walls: positive widens to the ground, negative narrows (a bevel)", from_practice,
              Evidence::practice});
}

template <class A>
void describe(A& a, feature::RearfootPost& s) {
    a.flag("on", s.on, {"a post under the heel"});
    a.number("angle_deg", s.angle_deg, Range{"deg", -12, 12, 0.5},
             {"standing on its floor the device is inverted by this (negative: everted)", "0-6 degrees",
              Evidence::practice});
    a.number("motion_deg", s.motion_deg, Range{"deg", 0, 8, 0.5},
             {"a second face medial of the hinge, on which the device is inverted by so much less",
              "4 degrees; 2 where posted over 5", Evidence::practice});
    a.number("hinge_mm", s.hinge_mm, Range{"mm", -20, 20, 1},
             {"where the two faces meet, a line along the axis: medially of the heel centre",
              "under the heel centre", Evidence::practice});
    a.number("height_mm", s.height_mm, Range{"mm", 0.3, 15, 0.5},
             {"between floor and underside where they are nearest: the lift under the heel",
              "in-shoe limit about 6 mm", Evidence::weak});
    a.number("length_mm", s.length_mm, Range{"mm", 25, 110, 1},
             {"along the axis; it begins half its width behind the heel centre", from_practice,
              Evidence::practice});
    a.number("width_mm", s.width_mm, Range{"mm", 20, 70, 1}, {"across", from_practice, Evidence::practice});
    describe_flare(a, s);
    a.object("part", s.part, {"made as a body of its own, stuck under the shell"});
}

template <class A>
void describe(A& a, feature::ForefootPost& s) {
    a.flag("on", s.on, {"a post behind the distal edge, across"});
    a.number("extrinsic_deg", s.extrinsic_deg, Range{"deg", -12, 12, 0.5},
             {"what it takes of the forefoot's inclination that the platform leaves, with its sign",
              "0-6 degrees", Evidence::practice});
    a.number("height_mm", s.height_mm, Range{"mm", 0.3, 10, 0.5},
             {"between floor and underside where they are nearest"});
    a.number("length_mm", s.length_mm, Range{"mm", 8, 40, 1},
             {"along the axis", from_practice, Evidence::practice});
    describe_flare(a, s);
    a.object("part", s.part, {"made as a body of its own, stuck under the shell"});
}

template <class A>
void describe(A& a, feature::FlatContact& s) {
    a.flag("on", s.on, {"a flat built up under the heel's lowest place instead of ground into its wall"});
    a.number("diameter_mm", s.diameter_mm, Range{"mm", 8, 40, 1},
             {"of the flat", "about 20 mm", Evidence::practice});
}

template <class A>
void describe(A& a, feature::Posts& s) {
    a.object("rearfoot", s.rearfoot, {"under the heel"});
    a.object("flat_contact", s.flat_contact, {"under the heel, where there is no rearfoot post"});
    a.object("forefoot", s.forefoot, {"behind the distal edge"});
}

template <class A>
void describe(A& a, surface::Rim& s) {
    a.choice("kind", s.kind, {"shape of the edge between foot side and underside"});
    a.number("bevel_mm", s.bevel_mm, Range{"mm", 0.1, 3, 0.1}, {"breadth of each bevel of a bevelled rim"});
}

template <class A>
void describe(A& a, Cover& s) {
    a.text("name", s.name, TextKind::code, Presence::required,
           {"unique within the foot; it names files: \"top\""});
    a.choice("kind", s.kind,
             {"on the foot side uppermost, under the cover, or in front of the distal edge alone"});
    a.text("material", s.material, TextKind::words, Presence::required,
           {"the sheet, in plain words; it stands on the pattern"});
    a.number("thickness_mm", s.thickness_mm, Range{"mm", 0.3, 25, 0.1},
             {"of the sheet", "covers 1.5-3 (6) mm", Evidence::practice});
    a.choice("length", s.length,
             {"where it ends distally: with the shell, at the sulcus, at the end of the toes"});
    a.number("margin_mm", s.margin_mm, Range{"mm", -15, 15, 0.5},
             {"the outline all round outward (an allowance for grinding) or inward"});
    a.number("distal_mm", s.distal_mm, Range{"mm", -30, 30, 0.5},
             {"length sulcus or full: the end further forward or back"});
    a.number("overlap_mm", s.overlap_mm, Range{"mm", 0, 60, 1},
             {"an extension reaches back over the shell's distal edge by this; 0: it meets the edge"});
    a.points("outline", s.outline, Count{0, most_region_points}, plan_bound_mm,
             {"a closed curve through these points of the plan (design frame, mm), three or more; goes "
              "before length, margin, distal and overlap"});
}

template <class A>
void describe(A& a, Lettering& s) {
    a.flag("on", s.on, {"letters on the underside, in the mesh files (STL, 3MF)"});
    a.flag("case_code", s.case_code, {"write the case code"});
    a.flag("side", s.side, {"write the side: L or R"});
    a.flag("revision", s.revision, {"write the revision's letter"});
    a.text("text", s.text, TextKind::words, Presence::optional,
           {"and this, 24 characters at most of A-Z 0-9 - . / and space: codes only, never a person's name"});
    a.number("forward_mm", s.forward_mm, Range{"mm", -60, 250, 1},
             {"middle of the text in front of the heel centre, in plan; without: where there is most room"});
    a.number("medial_mm", s.medial_mm, Range{"mm", -60, 60, 1},
             {"and medial of the axis; without: where there is most room"});
    a.number("turn_deg", s.turn_deg, Range{"deg", -180, 180, 5},
             {"0: reads from heel to toes, seen from below; turns its end to medial"});
    a.number("height_mm", s.height_mm, Range{"mm", 3, 15, 0.5},
             {"of the letters, over all", "below 3 mm hard to read at arm's length; our choice",
              Evidence::practice});
    a.number("stroke_mm", s.stroke_mm, Range{"mm", 0.5, 3, 0.1},
             {"breadth of the strokes at the underside, up to a fifth of the height and 0.1 mm",
              "two paths of a 0.4 mm nozzle", Evidence::practice});
    a.number("depth_mm", s.depth_mm, Range{"mm", 0.15, 1.2, 0.05},
             {"of engraved letters, height of raised ones, square to the underside",
              "two printed layers or more", Evidence::practice});
    a.choice("style", s.style, {"cut into the underside, or standing out of it"});
}

template <class A>
void describe(A& a, SignOff& s) {
    a.text("check", s.check, TextKind::name, Presence::required, {"the check that answered \"stop\""});
    a.text("by", s.by, TextKind::code, Presence::required, {"code of the person"});
    a.text("reason", s.reason, TextKind::words, Presence::required, {"why, in their own words"});
    a.text("second", s.second, TextKind::code, Presence::optional, {"code of a second person"});
    a.text("fingerprint", s.fingerprint, TextKind::fingerprint, Presence::required,
           {"of the design it was signed for; void when the design changes"});
}

template <class A>
void describe(A& a, Approval& s) {
    a.text("revision", s.revision, TextKind::letter, Presence::required, {"letter of the revision"});
    a.text("by", s.by, TextKind::code, Presence::required, {"code of the person"});
    a.text("date", s.date, TextKind::date, Presence::required, {"day of the approval"});
    a.text("fingerprint", s.fingerprint, TextKind::fingerprint, Presence::required,
           {"of the design that was approved; void when the design changes"});
}

template <class A>
void describe(A& a, PresetValue& s) {
    a.text("name", s.name, TextKind::name, Presence::required, {"the parameter"});
    a.text("value", s.value, TextKind::words, Presence::required,
           {"what the preset set it to; a list as JSON, a long one as its SHA-256"});
}

template <class A>
void describe(A& a, AppliedPreset& s) {
    a.text("code", s.code, TextKind::code, Presence::required, {"code of the preset"});
    a.text("by", s.by, TextKind::code, Presence::required, {"code of the person who applied it"});
    a.list("set", s.set, Count{1, 200}, {"what it set then; the values that hold are the foot's own"});
}

/// What an order decides of a foot, and nothing that belongs to one cast: what a preset may set, and what a
/// second foot starts from.
template <class A>
void describe_asked(A& a, FootDesign& s) {
    a.object("balance", s.balance, {"how the cast stands"});
    a.object("dress", s.dress, {"what is added to the positive and cut from it"});
    a.object("trim", s.trim, {"where the shell ends"});
    a.object("wall", s.wall, {"the wall map"});
    a.list("features", s.features, Count{0, 60}, {"reliefs, pads and apertures"});
    a.object("posts", s.posts, {"blocks under the shell on which it stands"});
    a.object("rim", s.rim, {"the edge"});
    a.text("material", s.material, TextKind::name, Presence::required,
           {"what the shell is made of: a file of the materials folder, without \".json\""});
    a.list("covers", s.covers, Count{0, most_covers},
           {"covers, underlays and extensions cut from sheet, uppermost first"});
    a.object("lettering", s.lettering, {"letters on the underside"});
}

template <class A>
void describe(A& a, FootDesign& s) {
    a.object("side", s.side, {"how surely it is known that the foot is of the side it stands under"});
    a.object("cast", s.cast, {"the cast file"});
    a.object("calipers", s.calipers, {"sizes of the foot measured by the clinic"});
    a.landmarks("landmarks", s.landmarks, {"named places on the cast"});
    a.list("marks", s.marks, Count{0, 200}, {"what is drawn on the cast"});
    a.list("repairs", s.repairs, Count{0, 60}, {"places of the cast that are made anew"});
    a.list("answers", s.answers, Count{0, 200}, {"a person's answers to what the examination found"});
    describe_asked(a, s);
    a.list("presets", s.presets, Count{0, most_presets}, {"presets that were applied, the newest last"});
    a.list("sign_offs", s.sign_offs, Count{0, 500}, {"stops a person took responsibility for"});
    a.list("approvals", s.approvals, Count{0, 500}, {"approvals of revisions"});
}

}  // namespace archwright::design
