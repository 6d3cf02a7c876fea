// The keys of the case: order, capture, revisions, and the job as a whole (see description.hpp).
#pragma once

#include "engine/design/description.hpp"

namespace archwright::design {

template <class A>
void describe(A& a, Order& s) {
    a.text("prescriber", s.prescriber, TextKind::code, Presence::optional, {"code of the prescriber"});
    a.number("body_mass_kg", s.body_mass_kg, Range{"kg", 5, 300, 1}, {"body mass"});
    a.choice("footwear", s.footwear, {"what the device is worn in"});
    a.number("insole_length_mm", s.insole_length_mm, Range{"mm", 80, 380, 1},
             {"length of the shoe's insole; docs/shoe.md says how it is measured"});
    a.number("insole_ball_mm", s.insole_ball_mm, Range{"mm", 30, 160, 0.5}, {"its width at the ball"});
    a.number("insole_heel_mm", s.insole_heel_mm, Range{"mm", 20, 130, 0.5}, {"its width at the heel"});
    a.text("insole_outline", s.insole_outline, TextKind::path, Presence::optional,
           {"file with the insole's outline (SVG or DXF); goes before the three sizes"});
    a.choice("insole_side", s.insole_side,
             {"the file shows the insole of this foot, seen from above; it is mirrored for the other foot"});
    a.number(
        "insole_clearance_mm", s.insole_clearance_mm, Range{"mm", 0, 5, 0.5},
        {"clearance between the device and the insole's edge, each side", from_practice, Evidence::practice});
    a.choice("activity", s.activity, {"what the device has to bear"});
    a.flag("insensate_foot", s.insensate_foot,
           {"the foot has lost feeling: no thin rim, no hard edge or plug; the prescriber confirms"});
    a.flag("open_wound", s.open_wound,
           {"a device is no treatment of an open wound; the prescriber confirms"});
    a.flag("growing_child", s.growing_child,
           {"a child who still grows: state the unit of the cast with care"});
    a.text("complaint", s.complaint, TextKind::words, Presence::optional, {"what brings the person here"});
    a.text("asked", s.asked, TextKind::words, Presence::optional,
           {"what is asked, in the prescriber's words"});
    a.text("due", s.due, TextKind::date, Presence::optional, {"day the device is wanted"});
}

template <class A>
void describe(A& a, Capture& s) {
    a.choice("method", s.method, {"how the cast was taken"});
    a.text("by", s.by, TextKind::code, Presence::optional, {"code of the person who took it"});
    a.choice("reference", s.reference, {"position the foot was held in"});
    a.choice("forefoot", s.forefoot,
             {"whether the forefoot was corrected while the cast set; a correction is never made twice"});
    a.text("arrived", s.arrived, TextKind::date, Presence::optional, {"day the cast arrived"});
    a.text("received_by", s.received_by, TextKind::code, Presence::optional,
           {"code of the person who received it"});
    a.choice("dampness", s.dampness, {"the cast on arrival"});
    a.text("damage", s.damage, TextKind::words, Presence::optional, {"damage seen on arrival"});
}

template <class A>
void describe(A& a, Revision& s) {
    a.text("letter", s.letter, TextKind::letter, Presence::required, {"A, B, ... in order"});
    a.text("date", s.date, TextKind::date, Presence::optional, {"day of the revision"});
    a.text("note", s.note, TextKind::words, Presence::optional, {"what changed and why"});
}

template <class A>
void describe(A& a, PastDesign& s) {
    a.choice("side", s.side, {"the foot"});
    a.text("revision", s.revision, TextKind::letter, Presence::required, {"letter of the revision"});
    a.text("fingerprint", s.fingerprint, TextKind::fingerprint, Presence::required, {"of that design"});
    a.text("job", s.job, TextKind::job, Presence::required, {"the design, as a job of that foot alone"});
}

template <class A>
void describe(A& a, Job& s) {
    a.text(
        "case", s.case_code, TextKind::code, Presence::required,
        {"code of the case; it names files, so letters, digits and dashes only, and never a person's name"});
    a.text("laboratory", s.laboratory, TextKind::code, Presence::optional, {"code of the laboratory"});
    a.object("order", s.order, {"what is asked, and for whom"});
    a.object("capture", s.capture, {"how the cast was taken and how it arrived"});
    a.list("revisions", s.revisions, Count{1, 700}, {"the newest is the last"});
    a.optional_object("left", s.left, {"the left foot"});
    a.optional_object("right", s.right, {"the right foot"});
    a.list("past", s.past, Count{0, 2000},
           {"designs as they were approved, or as they stood when the next revision began"});
}

}  // namespace archwright::design
