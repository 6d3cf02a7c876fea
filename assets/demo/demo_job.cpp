#include "assets/demo/demo_job.hpp"

#include "assets/generator/demo.hpp"
#include "engine/design/marks.hpp"
#include "engine/foot/stand.hpp"
#include "engine/mark/find_ink.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive_as.hpp"

namespace archwright::demo {

namespace {

constexpr const char* technician = "TECH-04";
constexpr const char* prescriber = "CLIN-12";

design::Statement stated(const std::string& evidence) {
    design::Statement statement;
    statement.by = design::StatedBy::person;
    statement.code = technician;
    statement.evidence = evidence;
    statement.confidence = 1.0;
    statement.clear = true;
    return statement;
}

design::WallRegion region(const std::string& name, double wall_mm, const std::vector<Vec2>& outline) {
    design::WallRegion r;
    r.name = name;
    r.wall_mm = wall_mm;
    r.blend_mm = 15;
    r.outline = outline;
    return r;
}

// 72 x 11 x 2 mm along the fascia, 16 wide at the nodule, thinned to 1.5 mm at the least.
feature::Feature fascial_groove() {
    feature::Feature groove;
    groove.name = "fascial-groove";
    groove.kind = feature::Feature::Kind::groove;
    groove.anchor = "fascia";
    groove.depth_mm = 2.0;
    groove.flank_mm = 5.0;
    groove.stations = {
        {0.0, 11.0, 2.0}, {0.3, 11.0, 2.0}, {0.5, 16.0, 2.0}, {0.7, 11.0, 2.0}, {1.0, 11.0, 2.0}};
    groove.underside = feature::Feature::Underside::stays;
    groove.least_wall_mm = 1.5;
    return groove;
}

feature::Feature base_relief() {
    feature::Feature relief;
    relief.name = "base-relief";
    relief.kind = feature::Feature::Kind::cavity;
    relief.anchor = "sore-base";
    relief.medial_mm = 6.0;  // from the border onto the shell
    relief.width_mm = relief.length_mm = 18.0;
    relief.depth_mm = 2.5;
    relief.flank_mm = 6.0;
    return relief;
}

feature::Feature lateral_pad() {
    feature::Feature pad;
    pad.name = "lateral-pad";
    pad.kind = feature::Feature::Kind::pad;
    pad.points = {Vec2(96, -24)};
    pad.length_mm = 38.0;
    pad.width_mm = 18.0;
    pad.height_mm = 2.5;
    pad.flank_mm = 8.0;
    return pad;
}

// The examination finds air under the 1st metatarsal head: unrepaired the forefoot reads 1.4 degrees more
// everted than it is.
std::optional<design::Repair> air_void_repair() {
    const auto air = generator::demo_void();
    if (!air) return std::nullopt;
    design::Repair repair;
    repair.name = "air-void";
    repair.what = examine::Finding::Kind::bump;
    repair.points = {air->top};
    repair.reach_mm = air->radius_mm + 0.5;
    repair.by = technician;
    repair.reason = "air left under the plaster at the 1st metatarsal head";
    return repair;
}

/// The truth's landmarks as a person would have set them.
foot::Landmarks set_landmarks(const generator::FootTruth& truth) {
    foot::Landmarks set;
    for (const auto& [name, position] : truth.landmarks) {
        const auto id = foot::landmark_id(name);
        if (!id) continue;  // the truth knows more places than a job
        foot::Landmark landmark;
        landmark.position = position;
        landmark.source = foot::Landmark::Source::set;
        landmark.sd_mm = 1.0;
        landmark.by = technician;
        set[*id] = landmark;
    }
    return set;
}

}  // namespace

Outcome<foot::Standing> demo_standing(const generator::Cast& cast) {
    const TriangleMesh cleaned = scan::clean(cast.mesh).mesh;
    scan::Stated stated;
    stated.unit = LengthUnit::inch;
    stated.side = Side::left;
    stated.inside_out = true;
    const auto reception = scan::receive_as(Side::left, cleaned, std::nullopt, stated, nullptr);
    if (!reception) return reception.fault();
    return foot::stand(cleaned, *reception, Side::left, LengthUnit::inch, set_landmarks(cast.truth));
}

Outcome<std::vector<design::Mark>> demo_marks(const generator::Cast& cast) {
    const auto standing = demo_standing(cast);
    if (!standing) return standing.fault();
    const auto ink = mark::find_ink(*standing);
    if (!ink) return ink.fault();
    design::FootDesign foot;
    design::suggest_marks(foot, *ink, standing->frame);
    struct Known {
        const char* found;  // name under which it is suggested
        const char* name;   // and what the technician calls it
        design::Mark::Meaning meaning;
    };
    for (const Known& known : {Known{"fascia", "fascia", design::Mark::Meaning::plantar_fascia},
                               Known{"lesion", "nodule", design::Mark::Meaning::lesion},
                               Known{"fifth-base", "sore-base", design::Mark::Meaning::pain}}) {
        const auto accepted = design::accept_mark(foot, known.found, known.meaning, technician);
        if (!accepted) return accepted.fault();
        const auto renamed = design::rename_mark(foot, known.found, known.name);
        if (!renamed) return renamed.fault();
    }
    return foot.marks;
}

design::Job demo_job(const generator::FootTruth& truth, const std::string& cast_sha256,
                     const std::vector<design::Mark>& marks, Variant variant) {
    design::Job job;
    job.case_code = generator::demo_case;
    job.laboratory = "LAB-1";
    job.revisions = {{"A", "2026-11-16", "first design"}};

    design::Order& order = job.order;
    order.prescriber = prescriber;
    order.body_mass_kg = 68;
    order.footwear = design::Order::Footwear::boot;
    order.insole_length_mm = 252;
    order.insole_ball_mm = 94;
    order.insole_heel_mm = 72;
    order.insole_clearance_mm = 1.5;
    order.activity = design::Order::Activity::high;
    order.complaint =
        "sore 5th metatarsal base, small firm nodule in the plantar fascia, lateral unsteadiness";
    order.asked = "rigid under the lateral column, flexible under the medial forefoot, deep heel cup";

    design::Capture& capture = job.capture;
    capture.method = design::Capture::Method::prone_non_weight_bearing;
    capture.by = prescriber;
    capture.reference = design::Capture::Reference::subtalar_neutral;
    capture.forefoot = design::Capture::Forefoot::as_found;
    capture.arrived = "2026-11-13";
    capture.received_by = technician;
    capture.dampness = design::Capture::Dampness::dry;

    design::FootDesign foot;
    static_cast<design::Statement&>(foot.side) = stated("label on the cast");
    foot.cast.path = generator::demo_cast_file;
    foot.cast.sha256 = cast_sha256;
    foot.cast.unit.value = LengthUnit::inch;
    static_cast<design::Statement&>(foot.cast.unit) = stated("scanner's delivery note");
    foot.cast.inside_out = true;  // a negative, scanned from inside
    foot.landmarks = set_landmarks(truth);
    foot.marks = marks;
    if (auto repair = air_void_repair()) foot.repairs.push_back(std::move(*repair));
    foot.calipers = {64.5, 93.0};
    foot.balance.method = foot::Balance::Method::heel_bisection;
    foot.balance.forefoot = foot::Balance::Forefoot::platform;
    foot.balance.intrinsic_deg = -3.0;
    foot.dress.arch_fill_mm = 2.0;
    foot.dress.lateral_expansion_mm = 3.0;
    foot.dress.lateral_skive.depth_mm = 3.0;
    foot.trim.cup_medial_mm = foot.trim.cup_posterior_mm = foot.trim.cup_lateral_mm = 16;
    foot.trim.lateral_border_mm = 14;  // room for the relief at the metatarsal base
    foot.trim.distal_first_mm = foot.trim.distal_fifth_mm = 7;
    foot.material = variant == Variant::polypropylene ? "pp_homopolymer" : "pa11";
    foot.wall.base_mm = 3.2;
    foot.wall.regions = {
        region("lateral-column", 4.0, {{6, -52}, {70, -58}, {136, -62}, {136, -14}, {70, -12}, {6, -12}}),
        region("distal-medial", 2.4, {{98, 10}, {190, 4}, {190, 60}, {98, 60}}),
    };
    foot.posts.rearfoot.on = foot.posts.forefoot.on = true;
    foot.posts.rearfoot.height_mm = 3.0;
    foot.posts.forefoot.extrinsic_deg = -2.0;
    foot.features = {fascial_groove(), base_relief(), lateral_pad()};
    foot.lettering.on = true;
    design::Cover& cover = foot.covers.emplace_back();
    cover.name = "top";
    cover.material = "EVA, 25 Shore A";
    cover.thickness_mm = 2.0;
    cover.length = design::Cover::Length::sulcus;
    if (variant == Variant::revision_b) {
        job.revisions.push_back({"B", "2026-11-23", "too stiff under the medial forefoot"});
        foot.wall.regions.back().wall_mm = 2.2;
    }
    job.foot(Side::left) = foot;
    return job;
}

}  // namespace archwright::demo
