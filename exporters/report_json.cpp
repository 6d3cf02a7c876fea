#include <nlohmann/json.hpp>

#include "engine/base/version.hpp"
#include "engine/build/cast_verdict.hpp"
#include "engine/design/decisions.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/marks.hpp"
#include "engine/design/preset.hpp"
#include "engine/design/words.hpp"
#include "exporters/dimensions.hpp"
#include "exporters/marks_told.hpp"
#include "exporters/report.hpp"

namespace archwright::exporters {

namespace {

using Json = nlohmann::ordered_json;

Json json(const Vec3& p) {
    return Json::array({p.x(), p.y(), p.z()});
}

Json json(const Check& check) {
    Json out;
    out["id"] = check.id;
    out["title"] = check.title;
    out["verdict"] = word(check.verdict);
    out["message"] = check.message;
    if (check.figure) out["figure"] = *check.figure;
    if (check.limit) out["limit"] = *check.limit;
    if (!check.unit.empty()) out["unit"] = check.unit;
    if (check.where) out["where_mm"] = json(*check.where);
    return out;
}

template <class T, class Value>
Json proposal(const scan::Proposal<T>& proposal, Value value) {
    Json out;
    out["value"] = value;
    out["confidence"] = proposal.confidence;
    out["clear"] = proposal.clear;
    out["reason"] = proposal.reason;
    return out;
}

Json statement(const design::Statement& statement) {
    Json out;
    out["by"] = design::key_of(statement.by);
    if (!statement.code.empty()) out["code"] = statement.code;
    if (!statement.evidence.empty()) out["evidence"] = statement.evidence;
    if (!statement.despite.empty()) out["despite"] = statement.despite;
    return out;
}

Json file_json(const build::CastFile& cast) {
    Json out;
    out["file"] = cast.name;
    out["format"] = cast.format;
    out["sha256"] = cast.sha256;
    out["triangles_read"] = cast.triangles_read;
    out["triangles_used"] = cast.cleaning.mesh.triangles.size();
    out["debris_parts"] = cast.cleaning.debris_parts;
    out["notes"] = cast.notes;
    return out;
}

Json ink_json(const build::Received& received, const std::vector<mark::InkMark>& ink,
              const design::FootDesign* foot) {
    Json out = Json::array();
    for (const mark::InkMark& one : ink) {
        Json points = Json::array();
        for (const Vec3& p : one.points) points.push_back(json(p));
        Json told{{"name", one.name},
                  {"kind", design::key_of(one.kind)},
                  {"meaning", design::key_of(one.guess)},
                  {"confidence", one.confidence},
                  {"contrast", one.contrast},
                  {"breadth_mm", one.breadth_mm},
                  {"points_mm", points},
                  {"evidence", one.sentence}};
        if (foot != nullptr)
            if (const design::Mark* known = design::mark_of(*foot, one, received.standing.frame))
                told["mark"] = known->name;
        out.push_back(std::move(told));
    }
    return out;
}

Json marks_json(const design::FootDesign& foot, const foot::Frame& frame) {
    Json out = Json::array();
    for (const MarkTold& told : marks_told(foot, frame)) {
        const design::Mark& mark = *told.mark;
        Json points = Json::array();
        for (const Vec3& p : mark.points) points.push_back(json(frame.to_design(p)));
        Json one{{"name", mark.name},
                 {"kind", design::key_of(mark.kind)},
                 {"meaning", design::key_of(mark.meaning)},
                 {"state", word(told.state)},
                 {"confidence", mark.confidence},
                 {"place_mm", json(told.place)},
                 {"scan", json(frame.to_scan(told.place))},
                 {"length_mm", told.length_mm},
                 {"breadth_mm", mark.breadth_mm},
                 {"across_mm", told.across_mm},
                 {"points_mm", points},
                 {"carries", told.carries}};
        if (!mark.by.empty()) one["by"] = mark.by;
        if (!mark.note.empty()) one["note"] = mark.note;
        out.push_back(std::move(one));
    }
    return out;
}

Json received_json(const build::Received& received) {
    const scan::Reception& reception = received.reception;
    Json out;
    out["unit"] = proposal(reception.unit, word(reception.unit.value));
    for (const scan::UnitCandidate& candidate : reception.units)
        out["unit"]["candidates"].push_back({{"unit", word(candidate.unit)},
                                             {"foot_length_mm", candidate.foot_length_mm},
                                             {"plausible_adult", candidate.plausible_adult},
                                             {"plausible_child", candidate.plausible_child}});
    out["side"] = proposal(reception.side, word(reception.side.value));
    for (const scan::Cue& cue : reception.side_cues)
        out["side"]["cues"].push_back({{"name", cue.name},
                                       {"applies", cue.applies},
                                       {"value", cue.value},
                                       {"unit", cue.unit},
                                       {"vote", cue.vote}});
    out["up"] = proposal(reception.up, json(reception.up.value));
    out["toes"] = proposal(reception.toes, json(reception.toes.value));
    out["inside_out"] = proposal(reception.inside_out, reception.inside_out.value);
    out["toes_cut"] = reception.toes_cut;
    out["sole_open_share"] = reception.sole.open_share;
    out["sole_holes"] = Json::array();
    for (const scan::Hole& hole : reception.sole.holes)
        out["sole_holes"].push_back({{"centre_scan", json(hole.centre)},
                                     {"diameter_mm", hole.diameter_mm},
                                     {"perimeter_mm", hole.perimeter_mm}});
    out["rim"] = {{"open", reception.rim.open},
                  {"ragged_mm", reception.rim.ragged_mm},
                  {"folded", reception.rim.folded},
                  {"excluded_mm2", reception.rim.excluded_mm2}};
    return out;
}

Json dimensions_json(const std::vector<Dimension>& rows) {
    Json out = Json::array();
    for (const Dimension& row : rows)
        out.push_back({{"name", row.name},
                       {"value", row.value},
                       {"unit", row.unit},
                       {"default", row.standard},
                       {"changed", row.changed},
                       {"meaning", row.help},
                       {"source", row.source}});
    return out;
}

Json presets_json(const design::Job& job, Side side) {
    Json out = Json::array();
    for (const design::PresetStand& stand : design::preset_stands(job, side)) {
        Json one{{"preset", stand.preset}, {"by", stand.by},   {"name", stand.name},
                 {"set", stand.set},       {"now", stand.now}, {"state", design::word(stand.state)}};
        if (!stand.later_preset.empty()) one["later_preset"] = stand.later_preset;
        out.push_back(std::move(one));
    }
    return out;
}

Json landmarks_json(const build::Received& received) {
    Json out = Json::object();
    for (const auto& [id, landmark] : received.standing.landmarks) {
        Json& one = out[foot::key(id)];
        one["design_mm"] = json(landmark.position);
        one["source"] = design::key_of(landmark.source);
        one["confidence"] = landmark.confidence;
        one["sd_mm"] = landmark.sd_mm;
        if (!landmark.by.empty()) one["by"] = landmark.by;
    }
    return out;
}

Json measurements_json(const build::Received& received) {
    Json out = Json::array();
    for (const foot::Measurement& m : received.measurements)
        out.push_back({{"id", m.id},
                       {"title", m.title},
                       {"value", m.value},
                       {"uncertainty", m.uncertainty},
                       {"unit", m.unit},
                       {"definition", m.definition},
                       {"source", m.source}});
    return out;
}

Json frame_json(const foot::Frame& frame) {
    Json out;
    out["side"] = word(frame.side);
    out["mm_per_unit"] = frame.mm_per_unit;
    out["mirrored"] = frame.side == Side::left;
    for (int i = 0; i < 3; ++i) out["rotation"].push_back(json(Vec3(frame.rotation.row(i).transpose())));
    out["translation_mm"] = json(frame.translation);
    out["meaning"] =
        "design = rotation * M * (mm_per_unit * scan) + translation; M = diag(1,-1,1) for a left foot";
    return out;
}

Json findings_json(const build::Examined& examined) {
    using examine::Finding;
    Json out = Json::array();
    for (const build::Examined::Call& call : examined.calls) {
        const Finding& f = call.finding;
        Json& one = out.emplace_back();
        one["number"] = out.size();
        one["kind"] = key(f.kind);
        one["certain"] = f.certainty == Finding::Certainty::certain;
        one["confidence"] = f.confidence;
        one["design_mm"] = json(f.place);
        one["scan"] = json(call.in_scan);
        one["line_mm"] = Json::array();
        for (const Vec3& p : f.line) one["line_mm"].push_back(json(p));
        one["length_mm"] = f.length_mm;
        one["breadth_mm"] = f.breadth_mm;
        one["depth_mm"] = f.depth_mm;
        one["depth_sd_mm"] = f.depth_sd_mm;
        one["why"] = f.sentence;
        one["advice"] = f.advice == Finding::Advice::repair         ? "repair"
                        : f.advice == Finding::Advice::design_round ? "design_round"
                                                                    : "take_again";
        one["advice_words"] = f.advice_words;
        if (call.answered)
            one["answer"] = {
                {"is", design::key_of(*call.answered)}, {"by", call.answered_by}, {"note", call.note}};
        if (!call.on_mark.empty()) one["on_mark"] = call.on_mark;
        if (!call.effect.empty()) one["effect"] = call.effect;
    }
    return out;
}

Json verdict_json(const build::Examined& examined) {
    const build::CastVerdict verdict = build::cast_verdict(examined);
    return {{"word", key(verdict.word)},
            {"sentence", verdict.sentence},
            {"take_again", verdict.again},
            {"certain", verdict.certain},
            {"questions", verdict.questions}};
}

Json answers_json(const std::vector<design::Answer>& answers) {
    Json out = Json::array();
    for (const design::Answer& a : answers)
        out.push_back({{"what", key(a.what)},
                       {"scan", json(a.place)},
                       {"is", design::key_of(a.is)},
                       {"by", a.by},
                       {"note", a.note}});
    return out;
}

// `foot` is the one the repairs were asked for.
Json repairs_json(const build::Received& received, const std::optional<design::FootDesign>& foot) {
    Json out = Json::array();
    if (!received.repaired || !foot) return out;
    for (std::size_t i = 0; i < received.repaired->figures.size(); ++i) {
        const examine::RepairFigure& figure = received.repaired->figures[i];
        const design::Repair& asked = foot->repairs[i];
        out.push_back({{"name", figure.name},
                       {"what", key(asked.what)},
                       {"by", asked.by},
                       {"reason", asked.reason},
                       {"left_mm", figure.left_mm},
                       {"reach_mm", figure.reach_mm},
                       {"scan", json(figure.place)},
                       {"largest_mm", figure.largest_mm},
                       {"volume_mm3", figure.volume_mm3},
                       {"around_rms_mm", figure.around_mm}});
    }
    return out;
}

Json balance_json(const foot::Balanced& balance) {
    const auto figure = [](const std::optional<foot::Figure>& f) {
        return f ? Json{{"value", f->value}, {"uncertainty", f->uncertainty}} : Json();
    };
    const auto posture = [&](const foot::Posture& p) {
        return Json{{"heel_bisection_deg", figure(p.heel_bisection)},
                    {"metatarsal_plane_deg", figure(p.metatarsal_plane)},
                    {"malleolar_deg", figure(p.malleolar)},
                    {"forefoot_deg", figure(p.forefoot)}};
    };
    Json out;
    out["words"] = balance.words;
    out["inversion_deg"] = balance.inversion_deg;
    out["pitch_deg"] = balance.pitch_deg;
    for (int i = 0; i < 3; ++i) out["rotation"].push_back(json(Vec3(balance.rotation.row(i).transpose())));
    out["before"] = posture(balance.before);
    out["after"] = posture(balance.after);
    if (balance.platform_deg) out["platform_deg"] = *balance.platform_deg;
    if (balance.heel_effect_deg) out["expected_heel_effect_deg"] = *balance.heel_effect_deg;
    out["rocking_deg"] = balance.rocking_deg;
    return out;
}

Json dressing_json(const build::Surfaced& surfaced) {
    Json out;
    out["steps"] = Json::array();
    for (const surface::DressFigure& figure : surfaced.figures)
        out["steps"].push_back({{"id", figure.id},
                                {"title", figure.title},
                                {"volume_mm3", figure.volume_mm3},
                                {"largest_mm", figure.largest_mm},
                                {"largest_at_mm", json(figure.where)},
                                {"fit_mm", figure.fit_mm}});
    out["arch_captured_mm"] = surfaced.arch_captured_mm;
    out["arch_delivered_mm"] = surfaced.arch_delivered_mm;
    return out;
}

Json features_json(const std::vector<feature::Figure>& figures) {
    Json out = Json::array();
    for (const feature::Figure& f : figures)
        out.push_back({{"name", f.name},
                       {"kind", design::key_of(f.kind)},
                       {"asked_mm", f.asked_mm},
                       {"measured_mm", f.measured_mm},
                       {"measured_at_mm", json(f.where)},
                       {"volume_mm3", f.volume_mm3},
                       {"steepest_flank_deg", f.flank_deg},
                       {"fit_mm", f.fit_mm},
                       {"inside_share", f.inside_share},
                       {"overlaps", f.overlaps}});
    return out;
}

Json parts_json(const build::Shelled& shelled, const build::Proved& proved) {
    Json out = Json::array();
    for (std::size_t k = 0; k < proved.parts.size(); ++k) {
        const build::Part& part = shelled.parts[k];
        const build::PartProof& proof = proved.parts[k];
        Json one{{"name", part.name},
                 {"kind", word(part.kind)},
                 {"material", {{"key", part.material.key}, {"name", part.material.name}}},
                 {"volume_mm3", proof.soundness.volume},
                 {"mass_g", proof.mass_g},
                 {"least_mm", proof.least_mm},
                 {"mean_mm", proof.mean_mm},
                 {"greatest_mm", proof.greatest_mm},
                 {"glue_mm", part.glue_mm},
                 {"lost_share", part.lost_share},
                 {"fit_mm", part.fit_mm},
                 {"triangles", part.mesh.mesh.triangles.size()},
                 {"solid", proof.solid.has_value()}};
        if (proof.clearance_mm) {
            one["clearance_asked_mm"] = part.clearance_mm;
            one["clearance_mm"] = *proof.clearance_mm;
        }
        if (proof.solid) one["solid_volume_mm3"] = proof.solid_report.volume_mm3;
        out.push_back(std::move(one));
    }
    return out;
}

Json lettering_json(const build::Lettered& letters, const design::Lettering& asked) {
    Json out = {{"lines", letters.lines},           {"style", design::key_of(asked.style)},
                {"place_mm", json(letters.place)},  {"place_found", letters.found},
                {"turn_deg", asked.turn_deg},       {"size_mm", {letters.size.x(), letters.size.y()}},
                {"height_mm", asked.height_mm},     {"stroke_mm", asked.stroke_mm},
                {"depth_asked_mm", asked.depth_mm}, {"clearance_mm", letters.clearance_mm},
                {"made", letters.mesh.has_value()}};
    if (!letters.mesh) return out;
    out["depth_least_mm"] = letters.least_depth_mm;
    out["depth_greatest_mm"] = letters.most_depth_mm;
    out["wall_least_mm"] = letters.least_wall_mm;
    out["wall_least_at_mm"] = json(letters.least_wall_where);
    out["volume_mm3"] = letters.volume_mm3;
    out["in_files"] = {"STL", "3MF"};
    return out;
}

Json shoe_json(const build::ShoeFit& shoe) {
    const auto against = [](const build::ShoeLine& line) {
        return Json{{"overlap_mm", line.overlap_mm}, {"where_mm", json(line.where)}, {"zone", line.zone}};
    };
    Json out;
    out["source"] = shoe.source;
    if (!shoe.file.empty()) out["file"] = shoe.file;
    if (!shoe.sha256.empty()) out["sha256"] = shoe.sha256;
    out["notes"] = shoe.notes;
    out["clearance_mm"] = shoe.clearance_mm;
    if (shoe.insole) {
        out["length_mm"] = shoe.insole->length_mm;
        out["ball_mm"] = shoe.insole->ball_mm;
        out["heel_mm"] = shoe.insole->heel_mm;
        out["drawing_turned_deg"] = shoe.insole->turned_deg;
    }
    if (shoe.laid) {
        out["forward_mm"] = shoe.laid->forward_mm;
        out["shift_mm"] = shoe.laid->shift_mm;
        out["turn_deg"] = shoe.laid->turn_deg;
        out["footprint"] = against(shoe.laid->footprint);
        out["rim"] = against(shoe.laid->rim);
    }
    return out;
}

Json checks_json(const std::vector<Check>& checks) {
    Json out = Json::array();
    for (const Check& check : checks) out.push_back(json(check));
    return out;
}

std::string text_of(const Json& out) {
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace

std::string report_json(const design::Job& job, const build::Device& device,
                        const std::vector<DeliveredFile>& files, const std::vector<FlexLoad>& bench) {
    const design::FootDesign& foot = *job.foot(device.side);
    const build::Received& received = *device.received;
    Json out;
    out["archwright"] = version;
    out["case"] = device.case_code;
    out["revision"] = device.revision;
    out["side"] = word(device.side);
    out["side_statement"] = statement(foot.side);
    out["unit_statement"] = statement(foot.cast.unit);
    out["fingerprint"] = design::fingerprint(job, device.side);
    out["verdict"] = word(device.verdict());
    out["checks"] = checks_json(device.checks);
    for (const design::Revision& revision : job.revisions)
        out["revisions"].push_back(
            {{"letter", revision.letter}, {"date", revision.date}, {"note", revision.note}});
    if (const auto approval = design::approval_state(job, device.side); approval.last)
        out["approval"] = {{"holds", approval.holds}, {"words", approval.words}};
    out["order_and_capture"] = dimensions_json(order_and_capture(job));
    out["dimensions"] = dimensions_json(dimensions(foot));
    for (const design::Cover& cover : foot.covers)
        out["covers"].push_back(
            {{"name", cover.name},
             {"kind", design::key_of(cover.kind)},
             {"material", cover.material},
             {"thickness_mm", cover.thickness_mm},
             {"length", cover.outline.empty() ? design::key_of(cover.length) : "outline"}});
    out["presets"] = presets_json(job, device.side);
    out["cast"] = file_json(*received.cast);
    if (device.examined) {
        out["verdict"] = verdict_json(*device.examined);
        out["findings"] = findings_json(*device.examined);
        out["answers_elsewhere"] = answers_json(device.examined->elsewhere);
        out["noise_mm"] = device.examined->noise_mm;
    }
    out["repairs"] = repairs_json(received, job.foot(device.side));
    out["received"] = received_json(received);
    out["frame"] = frame_json(received.standing.frame);
    out["landmarks"] = landmarks_json(received);
    out["marks"] = marks_json(foot, received.standing.frame);
    out["measurements"] = measurements_json(received);
    out["balance"] = balance_json(received.balance);
    if (device.surfaced) {
        out["dressing"] = dressing_json(*device.surfaced);
        const surface::CarpetReport& report = device.surfaced->report;
        const surface::TrimLine& trim = device.surfaced->trim;
        out["surface"] = {{"method", report.method},
                          {"fit_rms_mm", report.fit_rms_mm},
                          {"fit_max_mm", report.fit_max_mm},
                          {"stretch_low", report.stretch_low},
                          {"stretch_high", report.stretch_high},
                          {"curvature_max_per_mm", report.curvature_max},
                          {"notes", report.notes}};
        out["surface"]["holes_bridged"] = Json::array();
        for (const surface::HoleFilled& hole : report.holes)
            out["surface"]["holes_bridged"].push_back(
                {{"centre_mm", json(hole.centre)}, {"diameter_mm", hole.diameter_mm}});
        out["trim"] = {{"length_mm", trim.length_mm},
                       {"least_radius_mm", trim.least_radius_mm},
                       {"least_radius_at", json(trim.least_radius_at)},
                       {"cup_medial_mm", trim.cup_medial_mm},
                       {"cup_posterior_mm", trim.cup_posterior_mm},
                       {"cup_lateral_mm", trim.cup_lateral_mm},
                       {"arch_medial_mm", trim.arch_medial_mm},
                       {"arch_lateral_mm", trim.arch_lateral_mm},
                       {"medial_flange_highest_mm", trim.flange_mm},
                       {"corner_radius_mm", trim.corner_radius_mm},
                       {"margin_mm", device.surfaced->report.margin_mm},
                       {"notes", trim.notes}};
        const surface::TrimRule& rule = device.surfaced->rule;
        if (rule.lateral_flange.height_mm > 0.0) out["trim"]["lateral_flange_mm"] = trim.lateral_flange_mm;
        if (rule.lateral_scallop.depth_mm > 0.0) out["trim"]["lateral_scallop_mm"] = trim.scallop_mm;
        if (rule.first_ray_cutout.length_mm > 0.0)
            out["trim"]["first_ray_cutout"] = {{"length_mm", trim.cutout_mm},
                                               {"corner_radius_mm", trim.cutout_radius_mm}};
        for (const build::DistalReach& reach : device.surfaced->distal)
            out["trim"]["distal_edge_behind_mm"][foot::key(reach.head)] = reach.behind_mm;
    }
    if (device.shelled) {
        out["material"] = {{"key", device.shelled->material.key},
                           {"name", device.shelled->material.name},
                           {"wall_min_mm", device.shelled->material.wall_min_mm.value},
                           {"wall_max_mm", device.shelled->material.wall_max_mm.value}};
        const auto [least_asked, most_asked] = device.shelled->wall->asked_range();
        out["wall_map"] = {{"least_mm", least_asked}, {"greatest_mm", most_asked}};
        for (const Check& check : device.shelled->checks)
            if (check.id == "wall.slope" && check.figure && check.where) {
                out["wall_map"]["steepest_mm_per_mm"] = *check.figure;
                out["wall_map"]["steepest_at_mm"] = {check.where->x(), check.where->y()};
            }
        const build::Rigidity& rigidity = device.shelled->rigidity;
        const auto end = [&](double wall, const Vec2& p) {
            return Json{{"n_mm", rigidity.at(wall)},
                        {"over_base", rigidity.over_base(wall)},
                        {"at_mm", {p.x(), p.y()}}};
        };
        out["bending_rigidity"] = {{"base_mm", rigidity.base_mm},
                                   {"base_n_mm", rigidity.base()},
                                   {"least", end(rigidity.walls.least_mm, rigidity.walls.least_at)},
                                   {"greatest", end(rigidity.walls.greatest_mm, rigidity.walls.greatest_at)},
                                   {"note", "initial stiffness, for comparison only"}};
    }
    if (device.shelled && !device.shelled->feature_figures.empty())
        out["features"] = features_json(device.shelled->feature_figures);
    if (device.lettered) out["lettering"] = lettering_json(*device.lettered, foot.lettering);
    if (device.proved) {
        const build::Proved& proved = *device.proved;
        out["shell"] = {{"least_wall_mm", proved.walls.least_wall_mm},
                        {"mean_wall_mm", proved.walls.mean_mm},
                        {"greatest_wall_mm", proved.walls.most_mm},
                        {"rim_least_mm", proved.walls.rim_least_mm},
                        {"wall_samples", proved.walls.samples},
                        {"triangles", device.made().mesh.triangles.size()},
                        {"mesh_volume_mm3", device.made().mesh.volume()},
                        {"solid_volume_mm3", proved.solid_report.volume_mm3},
                        {"area_mm2", proved.soundness.area},
                        {"mass_g", device.mass_g()}};
    }
    if (device.proved && !device.proved->parts.empty())
        out["parts"] = parts_json(*device.shelled, *device.proved);
    if (device.shoe) out["shoe"] = shoe_json(*device.shoe);
    if (!bench.empty()) {
        out["flex_about"] = flex_about_json(job, device);
        out["flex"] = Json::array();
        for (const FlexLoad& load : bench) out["flex"].push_back(flex_json(load));
    }
    out["export_frame"] =
        device.side == Side::left
            ? "mm; +x heel to toes, +y lateral, +z up, origin under the heel centre: the design frame "
              "mirrored back"
            : "mm; +x heel to toes, +y medial, +z up, origin under the heel centre: the design frame";
    out["files"] = Json::array();
    for (const DeliveredFile& file : files)
        out["files"].push_back(
            {{"name", file.name}, {"format", file.format}, {"bytes", file.bytes}, {"sha256", file.sha256}});
    return text_of(out);
}

std::string cast_json(const CastReport& report) {
    const build::Received& received = report.received;
    Json out;
    out["archwright"] = version;
    out["cast"] = file_json(*received.cast);
    if (!report.order.empty()) out["order_checks"] = checks_json(report.order);
    out["received"] = received_json(received);
    out["verdict"] = verdict_json(report.examined);
    out["findings"] = findings_json(report.examined);
    out["answers_elsewhere"] = answers_json(report.examined.elsewhere);
    out["noise_mm"] = report.examined.noise_mm;
    out["repairs"] =
        report.job == nullptr ? Json::array() : repairs_json(received, report.job->foot(report.side));
    std::vector<Check> checks = received.checks;
    checks.insert(checks.end(), report.examined.checks.begin(), report.examined.checks.end());
    out["checks"] = checks_json(checks);
    out["frame"] = frame_json(received.standing.frame);
    out["landmarks"] = landmarks_json(received);
    out["cast_has_colours"] = !received.standing.mesh.colours.empty();
    const design::FootDesign* foot =
        report.job != nullptr && report.job->foot(report.side) ? &*report.job->foot(report.side) : nullptr;
    if (foot != nullptr) out["marks"] = marks_json(*foot, received.standing.frame);
    out["ink"] = ink_json(received, report.ink, foot);
    out["measurements"] = measurements_json(received);
    return text_of(out);
}

}  // namespace archwright::exporters
