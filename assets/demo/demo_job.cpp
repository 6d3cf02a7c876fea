#include "assets/demo/demo_job.hpp"

#include "assets/generator/demo.hpp"

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

}  // namespace

design::Job demo_job(const generator::FootTruth& truth, const std::string& cast_sha256) {
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
    order.activity = design::Order::Activity::high;
    order.complaint =
        "sore 5th metatarsal base, small firm nodule in the plantar fascia, lateral unsteadiness";
    order.asked = "rigid under the lateral column, flexible under the medial forefoot, deep heel cup";

    design::Capture& capture = job.capture;
    capture.method = design::Capture::Method::prone_non_weight_bearing;
    capture.by = prescriber;
    capture.reference = design::Capture::Reference::subtalar_neutral;
    capture.forefoot = design::Capture::Forefoot::as_found;
    capture.dampness = design::Capture::Dampness::dry;

    design::FootDesign foot;
    static_cast<design::Statement&>(foot.side) = stated("label on the cast");
    foot.cast.path = generator::demo_cast_file;
    foot.cast.sha256 = cast_sha256;
    foot.cast.unit.value = LengthUnit::inch;
    static_cast<design::Statement&>(foot.cast.unit) = stated("scanner's delivery note");
    foot.cast.inside_out = true;  // a negative, scanned from inside
    for (const auto& [name, position] : truth.landmarks) {
        const auto id = foot::landmark_id(name);
        if (!id) continue;  // the truth knows more places than a job
        foot::Landmark landmark;
        landmark.position = position;
        landmark.source = foot::Landmark::Source::set;
        landmark.sd_mm = 1.0;
        landmark.by = technician;
        foot.landmarks[*id] = landmark;
    }
    foot.trim.cup_medial_mm = foot.trim.cup_posterior_mm = foot.trim.cup_lateral_mm = 16;
    foot.trim.distal_first_mm = foot.trim.distal_fifth_mm = 7;
    foot.material = "pa11";
    foot.wall.base_mm = 3.2;
    foot.wall.regions = {
        region("lateral-column", 4.0, {{6, -52}, {70, -58}, {136, -62}, {136, -14}, {70, -12}, {6, -12}}),
        region("distal-medial", 2.4, {{98, 10}, {190, 4}, {190, 60}, {98, 60}}),
    };
    job.foot(Side::left) = foot;
    return job;
}

}  // namespace archwright::demo
