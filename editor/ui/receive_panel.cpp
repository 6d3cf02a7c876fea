// Receive: what came in, what a person says it is, and what is asked for it.
#include <algorithm>

#include "editor/ui/panel.hpp"
#include "engine/base/text.hpp"
#include "engine/design/material.hpp"
#include "engine/design/words.hpp"

namespace archwright::editor::ui {

namespace {

const char* const on_record =
    "What a cast is, and who says so, goes on record with a code. Give yours once; it is kept on this "
    "machine.";

const std::vector<std::string>& directions() {
    static const std::vector<std::string> all{"+x", "-x", "+y", "-y", "+z", "-z"};
    return all;
}

std::string direction(const Vec3& way) {
    for (int axis = 0; axis < 3; ++axis)
        for (const double sign : {1.0, -1.0})
            if ((way - sign * Vec3::Unit(axis)).norm() < 1e-3)
                return std::string(sign > 0 ? "+" : "\u2212") + "xyz"[axis];
    return figure(way.x(), 1) + ", " + figure(way.y(), 1) + ", " + figure(way.z(), 1);
}

std::string percent(double share) {
    return rounded(100 * share, 0) + " %";
}

}  // namespace

void Panel::statements() {
    const design::FootDesign& f = foot();
    look.text("Cast", {area.x, y + 12}, 60, Face::strong, t.text);
    look.name(f.cast.path, {area.right(), y + 12}, area.w - 70, Face::small, t.soft, Align::right);
    y += 30;
    const bool may = needs_person(on_record);
    const auto said = [](const std::string& value) -> std::string {
        return value == "mm"   ? "in millimetres"
               : value == "cm" ? "in centimetres"
               : value == "in" ? "in inches"
               : value == "m"  ? "in metres"
                               : value;
    };
    const auto stated = [&](const char* name, const std::string& value, const design::Statement& s,
                            const std::vector<std::string>& choices, const std::string& command) {
        const bool by_person = s.by == design::StatedBy::person;
        look.sign({area.x + 8, y + 14},
                  by_person                            ? Sign::pass
                  : s.by == design::StatedBy::proposed ? Sign::look
                                                       : Sign::stop,
                  0.9);
        look.text(name, {area.x + 24, y + 14}, 50, Face::body, t.text);
        const auto at = std::find(choices.begin(), choices.end(), value);
        const int next =
            screen.segments(name, {area.x + 90, y + 1, area.w - 90, 26}, choices,
                            s.by == design::StatedBy::nobody ? -1 : static_cast<int>(at - choices.begin()));
        const auto state_it = [&](const std::string& as) {
            if (may)
                say("state " + command + "=" + as + " by=" + person() + of_foot());
            else
                state.form = "person";
        };
        if (next >= 0) state_it(choices[static_cast<std::size_t>(next)]);
        y += 32;
        const std::string who = by_person                            ? "stated by " + s.code
                                : s.by == design::StatedBy::proposed ? "proposed, " + percent(s.confidence)
                                                                     : "not known";
        words(who + (s.evidence.empty() ? "" : ": " + s.evidence), 24, 6);
        // a proposal is accepted by stating it
        if (s.by == design::StatedBy::proposed)
            if (buttons(std::string("accept ") + name, {"It is " + said(value)}, 24) == 0) state_it(value);
        y += 2;
    };
    stated("Side", word(screen.session_.foot()), f.side, {"left", "right"}, "side");
    stated("Unit", design::key_of(f.cast.unit.value), f.cast.unit, {"mm", "cm", "in", "m"}, "unit");
    const model::FootView view = screen.foot_view();
    if (view.latest && view.latest->received) {
        std::string lengths;
        for (const scan::UnitCandidate& one : view.latest->received->reception.units)
            lengths += (lengths.empty() ? "Length of the foot, were it in " : "; ") +
                       std::string(design::key_of(one.unit)) + ": " +
                       figure(one.foot_length_mm, one.foot_length_mm < 10 ? 1 : 0, "mm");
        if (!lengths.empty()) words(lengths + ".", 24, 3, true);
    }
}

void Panel::axes() {
    const design::CastRef& cast = foot().cast;
    const model::FootView view = screen.foot_view();
    if (!view.latest || !view.latest->received) return;
    const scan::Reception& reception = view.latest->received->reception;
    head("How it lies in its file");
    const auto way = [&](const char* name, const char* key, const std::optional<Vec3>& stated,
                         const scan::Proposal<Vec3>& proposed) {
        const std::string shown =
            direction(stated ? *stated : proposed.value) + (stated ? " (stated)" : " (proposed)");
        const int next = drop(std::string("way ") + key, name, directions(), shown);
        if (next < 0) return;
        if (person().empty())
            state.form = "person";
        else
            say(std::string("state ") + key + "=" + directions()[static_cast<std::size_t>(next)] +
                " by=" + person() + of_foot());
    };
    way("Up", "up", cast.up, reception.up);
    way("To the toes", "toes", cast.toes, reception.toes);
    look.text("Taken from", {area.x, y + 14}, look.narrow ? 78 : 84, Face::body, t.text);
    const double label = look.narrow ? 84 : 90;
    const bool inside = cast.inside_out.value_or(reception.inside_out.value);
    const int next = screen.segments("inside out", {area.x + label, y + 1, area.w - label, 26},
                                     {"outside", "inside"}, inside ? 1 : 0);
    const auto taken_from = [&](bool from_inside) {
        if (person().empty())
            state.form = "person";
        else
            say(std::string("state inside_out=") + (from_inside ? "yes" : "no") + " by=" + person() +
                of_foot());
    };
    if (next >= 0) taken_from(next == 1);
    y += 34;
    // a proposal is accepted by stating it, here too
    if (!cast.inside_out &&
        buttons("accept inside out", {std::string("It is from ") + (inside ? "inside" : "outside")}, label) ==
            0)
        taken_from(inside);
    const scan::RimReport& rim = reception.rim;
    std::string crop = "The cast is closed: it has no rim.";
    if (rim.open) {
        crop = "Rim " + figure(rim.perimeter_mm, 0, "mm") + " round, ragged by " +
               figure(rim.ragged_mm, 1, "mm");
        if (rim.folded) crop += ", folded over " + figure(rim.folded_mm, 0, "mm");
        crop += rim.excluded_mm2 > 0
                    ? "; " + figure(rim.excluded_mm2, 0, "mm\u00b2") + " beside it are cropped."
                    : "; nothing beside it is cropped.";
    }
    words(crop, 0, 3);
    y += 4;
}

void Panel::presets() {
    if (!state.presets) {
        auto all = design::load_presets(design::assets_folder() / "presets");
        state.presets.emplace();
        if (all)
            *state.presets = std::move(*all);
        else
            state.presets_trouble = all.fault().message;
    }
    head("Presets");
    if (!state.presets_trouble.empty()) words(state.presets_trouble);
    // those that were applied, and what became of their values
    for (std::size_t i = 0; i < state.presets_applied.size();) {
        const std::string code = state.presets_applied[i].preset, by = state.presets_applied[i].by;
        int stands = 0, changed = 0, later = 0;
        for (; i < state.presets_applied.size() && state.presets_applied[i].preset == code; ++i)
            switch (state.presets_applied[i].state) {
                case design::PresetStand::State::stands:
                    ++stands;
                    break;
                case design::PresetStand::State::changed:
                    ++changed;
                    break;
                case design::PresetStand::State::later:
                    ++later;
                    break;
            }
        look.sign({area.x + 8, y + 10}, changed == 0 ? Sign::pass : Sign::look, 0.8);
        const std::string how =
            (changed == 0 ? std::to_string(stands) + " stand" : std::to_string(changed) + " changed since") +
            (later > 0 ? ", " + std::to_string(later) + " set later" : "");
        const double w = look.measure(how, Face::small) + 8;
        look.name(code + ", by " + by, {area.x + 24, y + 10}, area.w - 28 - w, Face::small, t.text);
        look.text(how, {area.right(), y + 10}, w, Face::small, t.soft, Align::right);
        y += 22;
    }
    const auto& all = *state.presets;
    std::vector<std::string> codes, titles;
    for (const auto& [code, preset] : all) {
        codes.push_back(code);
        titles.push_back(preset.title);
    }
    std::string& chosen = typed("preset");
    const auto at = all.find(chosen);
    const int next =
        drop("preset", "", titles, at == all.end() ? std::string("Choose a preset") : at->second.title);
    if (next >= 0) chosen = codes[static_cast<std::size_t>(next)];
    if (at == all.end()) {
        y += 4;
        return;
    }
    std::string sets;
    for (const design::PresetValue& value : at->second.set)
        sets += (sets.empty() ? "Sets " : ", ") + value.name + " " + design::in_brief(value.value);
    words(sets + ".", 0, 8);
    if (!at->second.note.empty()) words(at->second.note, 0, 6, true);
    if (needs_person("A preset goes on record with your code.")) {
        const int pressed = buttons("preset", {"Apply it", "Let it go"}, 0, 0);
        if (pressed == 0) say("apply " + chosen + " by=" + person() + of_foot());
        if (pressed >= 0) chosen.clear();
    }
}

void Panel::receive() {
    statements();
    axes();
    rule();
    presets();
    rule();
    screen.parameter_rows(area, y, {"case", "laboratory", "order", "capture", "calipers"});
}

}  // namespace archwright::editor::ui
