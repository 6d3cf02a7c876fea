#include <cmath>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "engine/build/cast_verdict.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/decisions.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/marks.hpp"
#include "engine/design/preset.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"
#include "exporters/dimensions.hpp"
#include "exporters/marks_told.hpp"
#include "exporters/report.hpp"

namespace archwright::exporters {

namespace {

std::string heading(const std::string& title) {
    return "\n" + title + "\n" + std::string(title.size(), '-') + "\n";
}

std::string padded(std::string text, std::size_t width) {
    text.append(text.size() < width ? width - text.size() : 1, ' ');
    return text;
}

std::string line(const std::string& name, const std::string& value) {
    return "  " + padded(name, 36) + value + "\n";
}

// Angles carry their word; everything else its unit.
std::string value_of(const foot::Measurement& m) {
    const bool angle = m.unit == "degrees";
    std::string text = angle ? inclination(m.value) : rounded(m.value, m.unit.empty() ? 3 : 1);
    if (!angle && !m.unit.empty()) text += " " + m.unit;
    if (m.uncertainty > 0) text += "  +- " + rounded(m.uncertainty, m.unit.empty() ? 3 : 1);
    return text;
}

std::string stated(const design::Statement& statement) {
    switch (statement.by) {
        case design::StatedBy::person:
            return "stated" + (statement.code.empty() ? std::string() : " by " + statement.code);
        case design::StatedBy::proposed:
            return "PROPOSED by the program, not stated by a person";
        case design::StatedBy::nobody:
            break;
    }
    return "not stated";
}

std::string rigidity_text(const build::Shelled& shelled) {
    const build::Rigidity& rigidity = shelled.rigidity;
    const auto plan = [](const Vec2& p) { return rounded(p.x(), 0) + ", " + rounded(p.y(), 0); };
    const auto end = [&](double wall, const Vec2& p) {
        return rounded(rigidity.at(wall), 0) + " N mm (" + rounded(rigidity.over_base(wall), 2) +
               " x the base) at " + plan(p);
    };
    std::string text = line("Bending rigidity of the base",
                            rounded(rigidity.base(), 0) + " N mm at " + exact(rigidity.base_mm) + " mm");
    text += line("Bending rigidity asked", end(rigidity.walls.least_mm, rigidity.walls.least_at) + " to " +
                                               end(rigidity.walls.greatest_mm, rigidity.walls.greatest_at));
    text += line("", "initial stiffness, for comparison only");
    for (const Check& check : shelled.checks)
        if (check.id == "wall.slope" && check.figure && check.where)
            text += line("Steepest change of wall",
                         rounded(*check.figure, 3) + " mm per mm at " + plan(check.where->head<2>()));
    return text;
}

std::string zone_words(const design::WallZone& zone) {
    const std::string what = zone.kind == design::WallZone::Kind::wall ? exact(zone.wall_mm) + " mm"
                             : zone.kind == design::WallZone::Kind::scale
                                 ? exact(zone.scale) + " x the wall"
                                 : exact(zone.rigidity) + " x the base's rigidity";
    return what + ", blended over " + exact(zone.blend_mm) + " mm" +
           (zone.priority == 0 ? "" : ", priority " + std::to_string(zone.priority));
}

std::string checks_text(const std::vector<Check>& checks) {
    std::string text;
    for (const Verdict verdict : {Verdict::stop, Verdict::look, Verdict::pass})
        for (const Check& check : checks)
            if (check.verdict == verdict)
                text += "  [" + std::string(word(verdict)) + "] " + check.title + " (" + check.id +
                        ")\n         " + check.message + "\n";
    return text;
}

std::string file_text(const build::CastFile& cast) {
    std::string text = line("File", cast.name + " (" + cast.format + ")");
    text += line("SHA-256", cast.sha256);
    text += line("Triangles", std::to_string(cast.triangles_read) + " read, " +
                                  std::to_string(cast.cleaning.mesh.triangles.size()) + " used");
    for (const std::string& note : cast.notes) text += line("", note);
    return text;
}

std::string ink_text(const build::Received& received, const std::vector<mark::InkMark>& ink,
                     const design::FootDesign* foot) {
    if (received.standing.mesh.colours.empty())
        return "  The cast has no colours: no ink can be found on it.\n";
    if (ink.empty()) return "  None.\n";
    std::string text;
    for (const mark::InkMark& one : ink) {
        const design::Mark* known =
            foot == nullptr ? nullptr : design::mark_of(*foot, one, received.standing.frame);
        text +=
            line(known != nullptr ? "\"" + known->name + "\" of the job" : guess_words(one.name, one.guess),
                 "confidence " + rounded(one.confidence, 2) + ". " + one.sentence);
    }
    return text;
}

// Every mark of the job: what it means, how large it is and where, and whether a person said yes to it.
std::string marks_text(const design::FootDesign& foot, const foot::Frame& frame) {
    std::string text;
    for (const MarkTold& told : marks_told(foot, frame)) {
        text += line("\"" + told.mark->name + "\", " + design::title_of(told.mark->meaning),
                     size_words(told) + ", at " + place(told.place) + "; " + state_words(told));
        const Vec3 in_file = frame.to_scan(told.place);
        text += line("", "in the cast file at " + rounded(in_file.x(), 3) + ", " + rounded(in_file.y(), 3) +
                             ", " + rounded(in_file.z(), 3));
        for (const std::string& feature : told.carries) text += line("", "carries \"" + feature + "\"");
        if (!told.mark->note.empty()) text += "      " + told.mark->note + "\n";
    }
    return text;
}

std::string received_text(const build::Received& received) {
    const scan::Reception& r = received.reception;
    std::string text;
    text += line("Unit", std::string(word(r.unit.value)) + ": " + r.unit.reason);
    text += line("Side", std::string(word(r.side.value)) + ": " + r.side.reason);
    for (const scan::Cue& cue : r.side_cues)
        text += line("  " + cue.name, cue.applies ? rounded(std::abs(cue.value), 1) +
                                                        (cue.unit.empty() ? "" : " " + cue.unit) +
                                                        ", votes " + (cue.vote > 0 ? "right" : "left") +
                                                        " (" + rounded(std::abs(cue.vote), 2) + ")"
                                                  : "nothing to show for it here");
    text += line("Up", r.up.reason);
    text += line("Heel to toes", r.toes.reason);
    text += line("Faces", (r.inside_out.value ? "inward: " : "outward: ") + r.inside_out.reason);
    text += line("Sole", rounded(100.0 * r.sole.open_share, 1) + " % open, " +
                             std::to_string(r.sole.holes.size()) +
                             (r.sole.holes.size() == 1 ? " hole" : " holes"));
    return text;
}

std::string balance_text(const build::Received& received) {
    const foot::Balanced& balance = received.balance;
    std::string text;
    for (const std::string& sentence : balance.words) text += "  " + sentence + "\n";
    for (int i = 0; i < 3; ++i) {
        std::string row;
        for (int j = 0; j < 3; ++j) row += (j == 0 ? "" : "  ") + rounded(balance.rotation(i, j), 6);
        text += line(i == 0 ? "Matrix, from the cast as it stood" : "", row);
    }
    return text;
}

std::string measurements_text(const build::Received& received) {
    std::string text;
    for (const foot::Measurement& m : received.measurements) {
        text += line(m.title, value_of(m));
        text += "      " + m.definition + (m.source.empty() ? "" : " (" + m.source + ")") + "\n";
    }
    return text;
}

std::string dimensions_text(const std::vector<Dimension>& rows) {
    std::string text;
    for (const Dimension& row : rows)
        text += line(row.name, row.value + (row.unit.empty() ? "" : " " + row.unit) +
                                   (!row.changed           ? "  (default)"
                                    : row.standard.empty() ? ""
                                                           : "  (default " + row.standard + ")"));
    return text;
}

std::string arrival_text(const design::Job& job, Side side) {
    const design::Capture& capture = job.capture;
    const design::Calipers& calipers = job.foot(side)->calipers;
    std::string text;
    if (!capture.arrived.empty() || !capture.received_by.empty())
        text +=
            line("Arrived", (capture.arrived.empty() ? "day not noted" : capture.arrived) +
                                (capture.received_by.empty() ? "" : ", received by " + capture.received_by));
    if (capture.dampness != design::Capture::Dampness::unknown)
        text += line("On arrival", design::title_of(capture.dampness));
    if (!capture.damage.empty()) text += line("Damage seen", capture.damage);
    if (calipers.heel_breadth_mm)
        text += line("Heel by caliper", rounded(*calipers.heel_breadth_mm, 1) + " mm");
    if (calipers.ball_breadth_mm)
        text += line("Ball by caliper", rounded(*calipers.ball_breadth_mm, 1) + " mm");
    return text;
}

// Can the cast be used, and what is to be typed before.
std::string verdict_text(const build::Examined& examined) {
    const build::CastVerdict verdict = build::cast_verdict(examined);
    std::string text = "  " + verdict.sentence + "\n";
    for (const std::string& step : build::next_steps(verdict, "JOB")) text += "      " + step + "\n";
    return text;
}

// "22 x 3.1 mm, 0.62 +- 0.12 mm away from the foot"
std::string size_of(const examine::Finding& f) {
    using enum examine::Finding::Kind;
    std::string size = rounded(f.length_mm, 0);
    const bool round = f.kind == dent || f.kind == bump || f.kind == rough;
    if (f.breadth_mm > 0.0 && !round) size += " x " + rounded(f.breadth_mm, f.breadth_mm < 10.0 ? 1 : 0);
    size += round ? " mm across" : " mm";
    if (f.depth_mm == 0.0) return size;
    size += ", " + rounded(std::abs(f.depth_mm), 2) + " +- " + rounded(1.96 * f.depth_sd_mm, 2) + " mm";
    if (f.kind == rough) return size + " rms";
    if (f.kind == seam) return size + " of step";
    return size + (f.depth_mm < 0.0 ? " into the foot" : " away from the foot");
}

// Every finding with its number, and every repair.
std::string findings_text(const build::Examined& examined, const build::Received& received) {
    std::string text = line("Noise of the scan", rounded(examined.noise_mm, 2) + " mm");
    std::size_t number = 0;
    for (const build::Examined::Call& call : examined.calls) {
        const examine::Finding& f = call.finding;
        text +=
            line(std::to_string(++number) + ". " + title(f.kind) + (call.certain() ? "" : " (a question)"),
                 size_of(f));
        text += "      " + f.sentence + "\n";
        if (const std::string said = build::said_of(call); !said.empty()) text += "      " + said + "\n";
        if (!call.effect.empty()) text += "      " + call.effect + "\n";
        text += "      " + f.advice_words + " Confidence " + rounded(f.confidence, 2) +
                ". In the cast file at " + rounded(call.in_scan.x(), 3) + ", " +
                rounded(call.in_scan.y(), 3) + ", " + rounded(call.in_scan.z(), 3) + ".\n";
    }
    if (examined.calls.empty()) text += "  None found.\n";
    if (received.repaired)
        for (const examine::RepairFigure& figure : received.repaired->figures)
            text +=
                line("Repaired: " + figure.name, rounded(std::abs(figure.largest_mm), 2) + " mm at most " +
                                                     (figure.largest_mm < 0.0 ? "into" : "away from") +
                                                     " the foot, " + rounded(figure.volume_mm3, 0) + " mm3");
    for (const design::Answer& answer : examined.elsewhere)
        text += line(std::string("Answered: ") + title(answer.what),
                     std::string(design::title_of(answer.is)) + ", says " + answer.by +
                         (answer.note.empty() ? "" : ": " + answer.note) + "; nothing is found there now");
    return text;
}

// Which values still stand as a preset set them.
std::string presets_text(const design::Job& job, Side side) {
    std::string text, last;
    for (const design::PresetStand& stand : design::preset_stands(job, side)) {
        if (stand.preset != last) text += "  " + stand.preset + ", applied by " + stand.by + "\n";
        last = stand.preset;
        std::string state = "as set: " + design::in_brief(stand.now);
        if (stand.state == design::PresetStand::State::changed)
            state =
                "CHANGED since: set " + design::in_brief(stand.set) + ", now " + design::in_brief(stand.now);
        if (stand.state == design::PresetStand::State::later)
            state = "set " + design::in_brief(stand.set) + "; then by preset " + stand.later_preset;
        text += line("  " + stand.name, state);
    }
    return text;
}

std::string landmarks_text(const build::Received& received) {
    std::string text;
    for (const auto& [id, landmark] : received.standing.landmarks)
        text += line(foot::title(id),
                     place(landmark.position) + "  " +
                         (landmark.source == foot::Landmark::Source::set
                              ? "set" + (landmark.by.empty() ? std::string() : " by " + landmark.by)
                              : "suggested, confidence " + rounded(landmark.confidence, 2)));
    return text;
}

std::string features_text(const build::Shelled& shelled, const design::FootDesign& foot) {
    std::string text;
    for (const feature::Figure& f : shelled.feature_figures) {
        text += line(
            std::string(design::title_of(f.kind)) + " \"" + f.name + "\"",
            rounded(f.measured_mm, 2) + " mm " + (feature::Feature::is_relief(f.kind) ? "deep" : "high") +
                ", asked " + rounded(f.asked_mm, 2) + " mm, at " + place(f.where) + "; " +
                rounded(f.volume_mm3, 0) + " mm3; steepest flank " + rounded(f.flank_deg, 0) + " degrees");
        for (const std::string& other : f.overlaps) text += line("", "overlaps \"" + other + "\"");
    }
    for (const feature::Feature& one : foot.features)
        if (!one.on) text += line("\"" + one.name + "\"", "switched off");
    return text;
}

std::string parts_text(const build::Shelled& shelled, const build::Proved& proved) {
    std::string text;
    for (std::size_t k = 0; k < proved.parts.size(); ++k) {
        const build::Part& part = shelled.parts[k];
        const build::PartProof& proof = proved.parts[k];
        const auto mm = [](double value) { return rounded(value, 2) + " mm"; };
        text += line("\"" + part.name + "\"", std::string(word(part.kind)) + ", " + part.material.name);
        text += line("", mm(proof.greatest_mm) + " thick at most, " + mm(proof.mean_mm) + " on average, " +
                             mm(proof.least_mm) + " at the least; " +
                             rounded(proof.soundness.volume / 1000.0, 2) + " cm3, " +
                             rounded(proof.mass_g, 1) + " g");
        if (proof.clearance_mm)
            text += line(
                "", mm(*proof.clearance_mm) + " from the flank of its seat, asked " + mm(part.clearance_mm));
        if (part.glue_mm > 0.0) text += line("", mm(part.glue_mm) + " left for the glue");
        if (!proof.solid)
            text +=
                line("", "no STEP file: STEP holds the shell without it (" + proof.solid_report.fault + ")");
    }
    return text;
}

std::string lettering_text(const build::Lettered& letters, const design::Lettering& asked) {
    std::string text;
    for (std::size_t k = 0; k < letters.lines.size(); ++k)
        text += line(k == 0 ? "Text" : "", letters.lines[k]);
    text += line("Place of its middle",
                 place(letters.place) + (letters.found ? ", found by the program" : ", as asked"));
    text +=
        line("Size", rounded(letters.size.x(), 1) + " x " + rounded(letters.size.y(), 1) + " mm, letters " +
                         exact(asked.height_mm) + " mm high, strokes " + exact(asked.stroke_mm) +
                         " mm broad, turned " + exact(asked.turn_deg) + " degrees");
    if (!letters.mesh) return text + line("Made", "no: see the check of their place");
    text += line(std::string("Measured, ") + design::title_of(asked.style),
                 rounded(letters.least_depth_mm, 2) + " to " + rounded(letters.most_depth_mm, 2) +
                     " mm, asked " + exact(asked.depth_mm) + " mm; wall between them and the foot " +
                     rounded(letters.least_wall_mm, 2) + " mm at " + place(letters.least_wall_where));
    text += line("Volume", rounded(letters.volume_mm3, 1) + " mm3");
    return text + line("Files", "STL and 3MF carry the letters; the STEP file is the plain shell");
}

std::string shoe_text(const build::ShoeFit& shoe) {
    std::string text = line("Insole", shoe.source);
    if (!shoe.sha256.empty()) text += line("SHA-256", shoe.sha256);
    for (const std::string& note : shoe.notes) text += line("", note);
    if (!shoe.insole || !shoe.laid) return text;
    const auto mm = [](double value) { return rounded(value, 1) + " mm"; };
    text += line("Length, ball, heel", mm(shoe.insole->length_mm) + ", " + mm(shoe.insole->ball_mm) + ", " +
                                           mm(shoe.insole->heel_mm));
    text += line("Clearance to its edge", mm(shoe.clearance_mm));
    text += line("Laid with the heel centre",
                 mm(shoe.laid->forward_mm) + " in front of its rear, " + mm(std::abs(shoe.laid->shift_mm)) +
                     (shoe.laid->shift_mm < 0 ? " lateral" : " medial") + " of its axis");
    text += line("Turned", rounded(std::abs(shoe.laid->turn_deg), 1) + " degrees, toes " +
                               (shoe.laid->turn_deg < 0 ? "lateral" : "medial"));
    const auto against = [&](const build::ShoeLine& of) {
        return mm(std::abs(of.overlap_mm)) + (of.overlap_mm > 0 ? " past the line" : " inside the line") +
               " at " + place(of.where) + ", " + of.zone;
    };
    text += line("Footprint", against(shoe.laid->footprint));
    text += line("Widest outline", against(shoe.laid->rim));
    return text;
}

}  // namespace

std::string report_text(const design::Job& job, const build::Device& device,
                        const std::vector<DeliveredFile>& files, const std::vector<FlexLoad>& bench) {
    const design::FootDesign& foot = *job.foot(device.side);
    const build::Received& received = *device.received;
    std::string text = "Device report: " + device.case_code + ", " + word(device.side) + " foot, revision " +
                       device.revision + "\nArchwright " + version + "\n";
    text += heading("Verdict: " + std::string(word(device.verdict())));
    text += checks_text(device.checks);
    text += heading("Identity");
    text += line("Side", std::string(word(device.side)) + ", " + stated(foot.side));
    text += line("Unit of the cast", std::string(word(foot.cast.unit.value)) + ", " + stated(foot.cast.unit));
    text += line("Fingerprint of the design", design::fingerprint(job, device.side));
    for (const design::Revision& revision : job.revisions)
        text += line("Revision " + revision.letter,
                     (revision.date.empty() ? "" : revision.date + "  ") + revision.note);
    if (const auto approval = design::approval_state(job, device.side); approval.last)
        text += line("Approval", approval.words);
    const std::vector<Dimension> asked_for = order_and_capture(job);
    text += heading("Order and capture");
    text += asked_for.empty() ? "  The job says nothing of them.\n" : dimensions_text(asked_for);
    text += heading("Dimensions");
    text += dimensions_text(dimensions(foot));
    for (const design::WallStation& station : foot.wall.stations)
        text += line("wall at " + rounded(100.0 * station.along, 0) + " % of the length",
                     exact(station.wall_mm) + " mm");
    for (const design::WallRegion& region : foot.wall.regions)
        text += line("wall region \"" + region.name + "\"", zone_words(region));
    for (const auto& [column, name] : {std::pair{&foot.wall.medial_column, "medial column"},
                                       std::pair{&foot.wall.lateral_column, "lateral column"}})
        if (column->on)
            text += line(name, zone_words(*column) + ", " + exact(column->width_mm) + " mm wide from " +
                                   rounded(100.0 * column->from, 0) + " to " +
                                   rounded(100.0 * column->to, 0) + " % of the length");
    for (const design::Cover& cover : foot.covers)
        text += line(std::string(design::title_of(cover.kind)) + " \"" + cover.name + "\"",
                     design::in_quotes(cover.material, design::longest_words) + ", " +
                         exact(cover.thickness_mm) + " mm, " +
                         (cover.outline.empty() ? design::title_of(cover.length) : "outline drawn by hand"));
    if (!foot.presets.empty()) text += heading("Presets") + presets_text(job, device.side);
    text += heading("Cast");
    text += file_text(*received.cast);
    text += heading("As received");
    text += received_text(received);
    if (device.examined) {
        text += heading("Faults of the cast");
        text += verdict_text(*device.examined) + findings_text(*device.examined, received);
    }
    text += heading("Landmarks (design frame, mm)");
    text += landmarks_text(received);
    if (!foot.marks.empty())
        text += heading("Marks (design frame, mm)") + marks_text(foot, received.standing.frame);
    text += heading("Balance");
    text += balance_text(received);
    text += heading("Measurements (a written +- is 1.96 standard deviations)");
    text += measurements_text(received);
    if (device.surfaced) {
        const surface::TrimLine& trim = device.surfaced->trim;
        const design::Trim& asked = foot.trim;
        text += heading("Trim line");
        const double cover = foot.dress.cover_mm;
        const auto against = [](double got, double wanted) {
            return rounded(got, 1) + " mm, asked " + rounded(wanted, 1) + " mm";
        };
        const auto over_cover = [&](double got, double wanted) {
            return against(got, wanted) +
                   (cover > 0.0 ? " and " + rounded(cover, 1) + " mm for the cover" : "");
        };
        text += line("Cup depth, medial", over_cover(trim.cup_medial_mm, asked.cup_medial_mm));
        text += line("Cup depth, posterior", over_cover(trim.cup_posterior_mm, asked.cup_posterior_mm));
        text += line("Cup depth, lateral", over_cover(trim.cup_lateral_mm, asked.cup_lateral_mm));
        text += line("Medial flange at the arch", over_cover(trim.arch_medial_mm, asked.medial_flange_mm));
        text += line("Medial flange, highest", rounded(trim.flange_mm, 1) + " mm");
        text += line("Lateral border at midfoot", over_cover(trim.arch_lateral_mm, asked.lateral_border_mm));
        if (asked.lateral_flange.height_mm > 0.0)
            text +=
                line("Lateral flange", over_cover(trim.lateral_flange_mm, asked.lateral_flange.height_mm));
        if (asked.lateral_scallop.depth_mm > 0.0)
            text +=
                line("Scallop of the lateral edge", against(trim.scallop_mm, asked.lateral_scallop.depth_mm));
        if (asked.first_ray_cutout.length_mm > 0.0)
            text += line("First-ray cut-out", against(trim.cutout_mm, asked.first_ray_cutout.length_mm) +
                                                  ", corners of " + rounded(trim.cutout_radius_mm, 1) +
                                                  " mm radius");
        text += line("Distal edge asked",
                     rounded(asked.distal_first_mm, 1) + " mm behind the border point of the 1st head, " +
                         rounded(asked.distal_fifth_mm, 1) + " mm behind that of the 5th");
        for (const build::DistalReach& reach : device.surfaced->distal)
            text += line("Distal edge", rounded(std::abs(reach.behind_mm), 1) + " mm " +
                                            (reach.behind_mm < 0 ? "past" : "behind") + " the " +
                                            foot::title(reach.head));
        text += line("Length of the line", rounded(trim.length_mm, 0) + " mm");
        text += line("Distal corners", against(trim.corner_radius_mm, asked.corner_radius_mm) + " radius");
        text +=
            line("Least radius", rounded(trim.least_radius_mm, 1) + " mm at " + place(trim.least_radius_at));
        for (const std::string& note : trim.notes) text += line("", note);
    }
    if (device.shelled && !device.shelled->feature_figures.empty())
        text += heading("Reliefs and pads") + features_text(*device.shelled, foot);
    if (device.lettered) text += heading("Lettering") + lettering_text(*device.lettered, foot.lettering);
    if (device.shelled && device.proved) {
        const build::Proved& proved = *device.proved;
        text += heading("Shell");
        text += line("Material", device.shelled->material.name);
        const auto [least_asked, most_asked] = device.shelled->wall->asked_range();
        text += line("Wall asked", rounded(least_asked, 2) + " to " + rounded(most_asked, 2) + " mm");
        text += line("Wall measured", rounded(proved.walls.least_wall_mm, 2) + " to " +
                                          rounded(proved.walls.most_mm, 2) + " mm, mean " +
                                          rounded(proved.walls.mean_mm, 2) + " mm, at " +
                                          std::to_string(proved.walls.samples) + " places");
        text += rigidity_text(*device.shelled);
        text += line("Rim", std::string(design::title_of(foot.rim.kind)) + ", wall beside it " +
                                rounded(proved.walls.rim_least_mm, 2) + " mm at the least");
        text += line("Volume", rounded(device.made().mesh.volume() / 1000.0, 2) + " cm3, " +
                                   rounded(device.mass_g(), 1) + " g" +
                                   (device.lettered && device.lettered->mesh ? ", with its letters" : ""));
    }
    if (device.proved && !device.proved->parts.empty())
        text += heading("Parts of their own") + parts_text(*device.shelled, *device.proved);
    if (device.shoe) text += heading("Shoe") + shoe_text(*device.shoe);
    if (!bench.empty()) {
        text += heading(device.shelled->material.calibration
                            ? "On the virtual bench"
                            : "On the virtual bench: initial stiffness, for comparison only");
        text += "  " + flex_about(job, device) + "\n";
        for (const FlexLoad& load : bench)
            for (const std::string& told : flex_lines(load)) text += "  " + told + "\n";
        text +=
            "  A share of the strength below 100 % does not say that a device lasts, one above it not that "
            "it\n"
            "  breaks. docs/flex.md: what is computed, and what is not.\n";
    }
    text += heading("Files (mm; +x to the toes, +z up; " + std::string(device.side == Side::left
                                                                           ? "mirrored back to a left device)"
                                                                           : "a right device)"));
    for (const DeliveredFile& file : files)
        text += "  " + padded(file.name, 40) + file.format + ", " + std::to_string(file.bytes) +
                " bytes\n    SHA-256 " + file.sha256 + "\n";
    text += heading("Cautions");
    text +=
        "  The clinician who prescribed decides; this report is no statement of conformity and claims no "
        "effect.\n"
        "  Check side, case code and unit on the device itself before it leaves the laboratory.\n"
        "  On an insensate foot, and near an open wound, a hard edge or a thin rim can injure: follow the\n"
        "  prescriber's explicit order, local rules and licensed practice, and have the foot inspected in "
        "use.\n"
        "  Guard, clamp and dry-run the machine as its maker says before material is cut.\n";
    return text;
}

std::string cast_text(const CastReport& report) {
    const build::Received& received = report.received;
    std::string text = heading("In short") + verdict_text(report.examined);
    if (!report.order.empty()) text += heading("Order") + checks_text(report.order);
    text += heading("Cast");
    text += file_text(*received.cast);
    if (report.job != nullptr) text += arrival_text(*report.job, report.side);
    text += heading("As received");
    text += received_text(received);
    text += heading("Faults of the cast");
    text += findings_text(report.examined, received);
    text += heading("Checks");
    std::vector<Check> checks = received.checks;
    checks.insert(checks.end(), report.examined.checks.begin(), report.examined.checks.end());
    text += checks_text(checks);
    text += heading("Landmarks (design frame, mm)");
    text += landmarks_text(received);
    const design::FootDesign* foot =
        report.job != nullptr && report.job->foot(report.side) ? &*report.job->foot(report.side) : nullptr;
    if (foot != nullptr) {
        text += heading("Marks of the job (design frame, mm)");
        text += foot->marks.empty() ? "  None.\n" : marks_text(*foot, received.standing.frame);
    }
    text += heading("Ink found on the cast");
    text += ink_text(received, report.ink, foot);
    text += heading("Balance");
    text += balance_text(received);
    text += heading("Measurements (a written +- is 1.96 standard deviations)");
    text += measurements_text(received);
    return text;
}

}  // namespace archwright::exporters
