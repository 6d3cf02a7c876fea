// The job: everything a person decided about one case. Geometry is a cache that can be rebuilt from it.
//
// Ranges, defaults, help and sources of every number stand in engine/design/description.hpp, from which the
// reader, the writer, the validator, the schema and docs/job-file.md all come.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/side.hpp"
#include "engine/base/units.hpp"
#include "engine/base/vec.hpp"
#include "engine/examine/finding.hpp"
#include "engine/feature/feature.hpp"
#include "engine/feature/post.hpp"
#include "engine/foot/balance.hpp"
#include "engine/foot/landmarks.hpp"
#include "engine/mark/ink_mark.hpp"
#include "engine/surface/dress.hpp"
#include "engine/surface/shell.hpp"
#include "engine/surface/trim_rule.hpp"

namespace archwright::design {

/// The version of the job format that this program writes. Every older one is read for ever.
inline constexpr int job_version = 1;

/// How surely something is known that must never be guessed silently.
enum class StatedBy {
    nobody,    ///< neither stated nor proposed with a clear margin: work stops and asks
    proposed,  ///< proposed by the program with its evidence: stands as "look" until a person states it
    person,    ///< typed by a person
};

/// Who says so, and on what evidence.
struct Statement {
    StatedBy by = StatedBy::nobody;
    std::string code;      ///< code of the person who stated it
    std::string evidence;  ///< what the proposal rests on, or what the person was shown; one sentence
    /// The contradiction a person typed the value again against: what the shape said, and of which cast
    /// (engine/build/contradiction.hpp). Void when either changes.
    std::string despite;
    double confidence = 0;  ///< 0..1, of a proposal
    bool clear = false;     ///< a proposal whose cues agree by the named margin (engine/scan)
};

template <class T>
struct StatedValue : Statement {
    T value{};
};

/// The cast file and what had to be known to read it. Coordinates of the scan file itself.
struct CastRef {
    std::string path;    ///< relative to the job's folder, with '/'
    std::string sha256;  ///< of the file's bytes, 64 lower-case hexadecimal digits
    StatedValue<LengthUnit> unit;
    std::optional<Vec3> up;          ///< unit vector to the dorsal side, where a person stated it
    std::optional<Vec3> toes;        ///< unit vector from heel to toes, where a person stated it
    std::optional<bool> inside_out;  ///< a negative scanned from inside, where a person stated it
};

/// Something drawn on the cast, or found on it and accepted by a person. Scan coordinates.
struct Mark {
    using Kind = mark::Kind;
    using Meaning = mark::Meaning;

    std::string name;  ///< unique within the foot; reliefs and pads are anchored to it
    Kind kind = Kind::spot;
    Meaning meaning = Meaning::other;
    std::vector<Vec3> points;  ///< one for a spot, 2 or more along a line, 3 or more round an area
    foot::Landmark::Source source = foot::Landmark::Source::set;
    double confidence = 1.0;
    double breadth_mm = 0.0;  ///< of its ink: across a line, diameter of a spot; 0: not known
    bool refused = false;     ///< a person looked at it and it is none; kept, so that it is not found again
    std::string by;
    std::string note;

    /// Found by the program, and no person has said yes or no to it.
    bool open() const { return source == foot::Landmark::Source::suggested && !refused; }
};

/// A small place of the cast that a person had made anew (engine/examine/repair.hpp). Scan coordinates.
struct Repair {
    std::string name;  ///< unique within the foot
    examine::Finding::Kind what = examine::Finding::Kind::dent;
    std::vector<Vec3> points;  ///< one place, or a line
    double reach_mm = 8;       ///< all within this of them is made anew
    std::string by;            ///< code of the person who asked for it
    std::string reason;
};

/// A person's answer to what the examination found. Scan coordinates.
struct Answer {
    enum class Is {
        foot,   ///< the foot's own shape
        fault,  ///< a fault of the cast, left as it is
    };
    examine::Finding::Kind what = examine::Finding::Kind::dent;
    Vec3 place = Vec3::Zero();  ///< of the finding when it was answered
    Is is = Is::foot;
    std::string by;
    std::string note;
};

/// A person takes responsibility for one check that answered "stop".
struct SignOff {
    std::string check;        ///< Check::id
    std::string by;           ///< person's code
    std::string reason;       ///< in their own words
    std::string second;       ///< code of a second person, where the laboratory asks for one
    std::string fingerprint;  ///< of the design it was signed for (engine/design/fingerprint.hpp)
};

/// A person approves one revision; any later edit changes the fingerprint and voids the approval.
struct Approval {
    std::string revision;  ///< its letter
    std::string by;
    std::string date;  ///< YYYY-MM-DD
    std::string fingerprint;

    bool operator==(const Approval&) const = default;
};

/// Where the shell ends (engine/design/trim.hpp gives the surface rule).
struct Trim {
    double distal_first_mm = 7;     ///< distal edge behind the 1st metatarsal head
    double distal_fifth_mm = 7;     ///< and behind the 5th
    double distal_bow_mm = 3;       ///< forward bow of the distal edge at its middle
    double distal_height_mm = 3;    ///< height of both borders where they meet the distal edge
    double medial_flange_mm = 20;   ///< edge above the lowest point of its section, at the medial arch
    double lateral_border_mm = 9;   ///< the same at the lateral border
    double cup_medial_mm = 14;      ///< cup depth at the heel centre's x, medial
    double cup_posterior_mm = 14;   ///< on the axis, posterior
    double cup_lateral_mm = 14;     ///< at the heel centre's x, lateral
    double width_allowance_mm = 0;  ///< both borders near the distal edge wider (+) or narrower (-)
    double corner_radius_mm = 10;   ///< least radius of the distal corners, in plan
    surface::FirstRayCutout first_ray_cutout;
    surface::LateralFlange lateral_flange;
    surface::LateralScallop lateral_scallop;
    std::vector<surface::TrimControl> controls;  ///< free control points along the line
};

/// Wall at one place along the device: 0 at the rear edge, 1 at the distal edge.
struct WallStation {
    double along = 0;
    double wall_mm = 3;
};

/// What a zone of the wall map says of the wall inside it (engine/design/wall_map.hpp).
struct WallZone {
    enum class Kind {
        wall,      ///< so many mm
        scale,     ///< so many times the wall that lies below it in the order of priorities
        rigidity,  ///< so many times the bending rigidity of the base, D / D(base): base times its cube root
    };
    Kind kind = Kind::wall;
    double wall_mm = 3;
    double scale = 1;
    double rigidity = 1;
    double blend_mm = 15;  ///< breadth of the transition, half of it on each side of the edge
    int priority = 0;      ///< where zones overlap the higher one wins; equal: columns first, then the list
};

/// A closed curve in plan through `outline`, with a wall of its own.
struct WallRegion : WallZone {
    std::string name;
    std::vector<Vec2> outline;  ///< three points or more, plan, design frame, mm
};

/// A strip along the medial or the lateral border, between two places along the device.
struct WallColumn : WallZone {
    bool on = false;
    double from = 0.15, to = 0.85;  ///< 0 rear edge, 1 distal edge
    double width_mm = 20;           ///< straight across, from the border inward
};

struct Wall {
    double base_mm = 3.2;
    std::vector<WallStation> stations;  ///< none: the base everywhere
    std::vector<WallRegion> regions;
    WallColumn medial_column{}, lateral_column{};
};

/// A part cut from sheet that goes with the shell: engine/pattern draws its outline, docs/covers.md defines
/// it.
struct Cover {
    enum class Kind {
        cover,      ///< on the foot side, uppermost
        underlay,   ///< on the foot side, between shell and cover
        extension,  ///< in front of the shell's distal edge alone
    };
    enum class Length {
        shell,   ///< ends with the shell
        sulcus,  ///< at the crease between ball and toes
        full,    ///< at the end of the toes
    };

    std::string name;  ///< unique within the foot; it names files
    Kind kind = Kind::cover;
    std::string material;  ///< in plain words
    double thickness_mm = 3;
    Length length = Length::shell;
    double margin_mm = 0;       ///< the outline all round outward (+) or inward (-)
    double distal_mm = 0;       ///< the end at sulcus or toes further forward (+) or back (-)
    double overlap_mm = 0;      ///< an extension reaches back over the shell's distal edge by this
    std::vector<Vec2> outline;  ///< closed curve in plan (design frame, mm): goes before length and margins
};

/// Letters on the underside: engine/lettering draws them, docs/lettering.md defines them. Codes only.
struct Lettering {
    enum class Style {
        engraved,  ///< cut into the underside
        raised,    ///< standing out of it
    };

    bool on = false;
    bool case_code = true;                        ///< the job's case code
    bool side = true;                             ///< "L" or "R"
    bool revision = true;                         ///< letter of the newest revision
    std::string text;                             ///< and this: lettering::characters alone, never a name
    std::optional<double> forward_mm, medial_mm;  ///< middle of the text in plan; without: found
    double turn_deg = 0;  ///< the text reads from heel to toes, its end turned to medial by this
    double height_mm = 5;
    double stroke_mm = 0.9;  ///< breadth of the strokes where they meet the underside
    double depth_mm = 0.4;   ///< of engraved letters; height of raised ones
    Style style = Style::engraved;
};

/// The clinic's two caliper sizes of the foot, compared with the scan: they catch a wrong unit, shrinkage,
/// crush.
struct Calipers {
    std::optional<double> heel_breadth_mm;
    std::optional<double> ball_breadth_mm;
};

/// One value a preset set, as text: as `archwright set` takes it, a list as JSON in one line, "none" for an
/// optional value that was cleared.
struct PresetValue {
    std::string name;  ///< dotted: "trim.cup_medial_mm"; "order.footwear" for what is of the case
    std::string value;
};

/// A preset that was applied to a foot, with what it set then (engine/design/preset.hpp).
struct AppliedPreset {
    std::string code;  ///< of the preset
    std::string by;    ///< code of the person who applied it
    std::vector<PresetValue> set;
};

/// One foot of a case. The key it stands under in the job ("left" or "right") IS its side.
struct FootDesign {
    Statement side;  ///< how surely the side it stands under is known
    CastRef cast;
    Calipers calipers;
    foot::Landmarks landmarks;  ///< scan coordinates
    std::vector<Mark> marks;
    std::vector<Repair> repairs;  ///< of the cast, on request
    std::vector<Answer> answers;  ///< to what the examination found
    foot::Balance balance;        ///< how the cast stands, and the platform
    surface::Dress dress;         ///< what plaster would be added, and cut
    Trim trim;
    Wall wall;
    std::vector<feature::Feature> features;  ///< reliefs, pads and apertures, in order
    feature::Posts posts;
    surface::Rim rim;
    std::string material = "pp_homopolymer";  ///< key in assets/materials
    std::vector<Cover> covers;                ///< cut from sheet, uppermost first
    Lettering lettering;                      ///< on the underside
    std::vector<AppliedPreset> presets;       ///< a record: it decides nothing
    std::vector<SignOff> sign_offs;
    std::vector<Approval> approvals;
};

/// What is asked, and for whom; persons by code only.
struct Order {
    enum class Footwear { unknown, athletic, walking, work, dress, sandal, boot, other };
    enum class Activity { unknown, low, moderate, high };

    std::string prescriber;  ///< code
    std::optional<double> body_mass_kg;
    Footwear footwear = Footwear::unknown;
    std::optional<double> insole_length_mm;
    std::optional<double> insole_ball_mm;  ///< width at the ball
    std::optional<double> insole_heel_mm;  ///< width at the heel
    std::string insole_outline;            ///< file with the outline, relative to the job's folder
    Side insole_side = Side::right;        ///< the foot whose insole the file shows, seen from above
    double insole_clearance_mm = 1.0;      ///< between the device and the insole's edge, all round
    Activity activity = Activity::unknown;
    bool insensate_foot = false;
    bool open_wound = false;
    bool growing_child = false;
    std::string complaint;
    std::string asked;
    std::string due;  ///< YYYY-MM-DD, or empty
};

/// How the cast was taken and how it arrived.
struct Capture {
    enum class Method {
        unknown,
        supine_non_weight_bearing,
        prone_non_weight_bearing,
        suspended,
        semi_weight_bearing,
        foam,
        direct_scan,
    };
    enum class Reference { unknown, subtalar_neutral, malleolar, other };
    enum class Forefoot { unknown, as_found, corrected, pronated_on_purpose };
    enum class Dampness { unknown, dry, damp };

    Method method = Method::unknown;
    std::string by;  ///< code
    Reference reference = Reference::unknown;
    Forefoot forefoot = Forefoot::unknown;
    std::string arrived;      ///< YYYY-MM-DD, or empty
    std::string received_by;  ///< code
    Dampness dampness = Dampness::unknown;
    std::string damage;
};

struct Revision {
    std::string letter = "A";
    std::string date;  ///< YYYY-MM-DD, or empty
    std::string note;
};

/// The design of one foot as it was approved, or as it stood when the next revision began
/// (engine/design/decisions.hpp).
struct PastDesign {
    Side side = Side::right;
    std::string revision;     ///< its letter
    std::string fingerprint;  ///< of the design
    std::string job;          ///< a job file in one line, with this foot alone and what decides its device
};

/// One case.
struct Job {
    int version = job_version;
    std::string case_code;
    std::string laboratory;  ///< code
    Order order;
    Capture capture;
    std::vector<Revision> revisions{Revision{}};
    std::optional<FootDesign> left, right;
    std::vector<PastDesign> past;  ///< a record: it decides nothing

    std::optional<FootDesign>& foot(Side side) { return side == Side::left ? left : right; }
    const std::optional<FootDesign>& foot(Side side) const { return side == Side::left ? left : right; }
    /// Letter of the newest revision.
    const std::string& revision() const { return revisions.back().letter; }
};

}  // namespace archwright::design
