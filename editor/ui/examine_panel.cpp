// Examine: what was found on the cast, its ink and its landmarks; a person says what they are.
#include <algorithm>
#include <utility>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "editor/view/handle_cast.hpp"
#include "engine/base/text.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/design/answer.hpp"
#include "engine/design/marks.hpp"
#include "engine/design/words.hpp"

namespace archwright::editor::ui {

namespace {

using Call = build::Examined::Call;
using examine::Finding;

std::string json(const std::vector<Vec3>& points) {
    std::string all = "[";
    for (const Vec3& p : points)
        all += (all.size() > 1 ? "," : "") + ("[" + exact(p.x()) + "," + exact(p.y()) + "," + exact(p.z())) +
               "]";
    return all + "]";
}

std::string place_word(const Vec3& p) {
    return exact(p.x()) + "," + exact(p.y()) + "," + exact(p.z());
}

std::string size_of(const Finding& f) {
    std::string size;
    if (f.length_mm > 0) size = figure(f.length_mm, 0);
    if (f.breadth_mm > 0) size += (size.empty() ? "" : " \u00d7 ") + figure(f.breadth_mm, 0);
    if (f.depth_mm != 0) size += (size.empty() ? "" : ", ") + figure(f.depth_mm, 1);
    return size.empty() ? size : size + " mm";
}

Sign sign_of_call(const Call& call) {
    if (call.answered) return *call.answered == design::Answer::Is::foot ? Sign::pass : Sign::looked_signed;
    return Sign::look;
}

std::string upper_first(std::string words) {
    if (!words.empty() && words[0] >= 'a' && words[0] <= 'z')
        words[0] = static_cast<char>(words[0] - 'a' + 'A');
    return words;
}

}  // namespace

void Panel::findings() {
    const build::Examined* found = examined(screen);
    if (found == nullptr) {
        head("Found on the cast");
        words(screen.session_.activity().busy ? "The cast is being examined."
                                              : "The cast is examined once its device is built.");
        return;
    }
    std::size_t open = 0;
    for (const Call& call : found->calls) open += call.answered ? 0 : 1;
    head("Found on the cast",
         found->calls.empty() ? std::string("nothing")
                              : std::to_string(found->calls.size()) + ", " + std::to_string(open) + " open");
    if (found->calls.empty())
        words("No fault found. The scan's points lie " + figure(found->noise_mm, 2, "mm") +
              " about a smooth surface.");
    const model::Selection& selection = screen.session_.selection();
    for (std::size_t i = 0; i < found->calls.size(); ++i) {
        const Call& call = found->calls[i];
        const Finding& f = call.finding;
        const std::string number = std::to_string(i + 1);
        const bool chosen = selection.what == "finding" && selection.name == number;
        const Screen::Hit h = row("finding " + number, 28, chosen);
        look.sign({area.x + 9, y + 14}, sign_of_call(call), 0.9);
        look.text(number, {area.x + 30, y + 14}, 18, Face::small_strong, t.soft, Align::centre);
        const std::string size = size_of(f);
        const double w = size.empty() ? 0 : look.measure(size, Face::small) + 8;
        look.name(upper_first(title(f.kind)), {area.x + 44, y + 14}, area.w - 48 - w, Face::body, t.text);
        if (w > 0) look.text(size, {area.right(), y + 14}, w, Face::small, t.soft, Align::right);
        if (h.clicked) {
            say(chosen ? "select none" : "select finding " + number);
            if (!chosen) go_to(f.place);
        }
        y += 30;
        if (!chosen) continue;
        words(f.sentence, 24, 8);
        std::string sure = (f.certainty == Finding::Certainty::certain ? "Certain" : "A question");
        sure += ": " + rounded(100 * f.confidence, 0) + " of 100 such calls are faults";
        if (f.depth_mm != 0)
            sure += "; " + figure(f.depth_mm, 1) + " \u00b1 " + figure(f.depth_sd_mm, 1, "mm");
        words(sure + ".", 24, 3);
        if (!f.advice_words.empty()) words(f.advice_words, 24, 6, true);
        if (!call.effect.empty()) words(call.effect, 24, 6);
        if (call.answered)
            words(std::string(*call.answered == design::Answer::Is::foot
                                  ? "The foot's own shape, says "
                                  : "A fault that is left as it is, says ") +
                      call.answered_by + ".",
                  24, 2);
        if (!needs_person("Answers go on record with your code.")) continue;
        const double reach = std::max(design::answer_reach_mm, 0.5 * f.length_mm);
        const std::string why = "why " + number;
        const auto reason = [&](const char* argument) {
            const std::string typed_reason = std::exchange(typed(why), {});
            return typed_reason.empty() ? std::string()
                                        : std::string(" ") + argument + "=" + in_quotes(typed_reason);
        };
        const auto answer = [&](const char* is) {
            say(std::string("answer ") + key(f.kind) + " " + place_word(call.in_scan) + " " + is + " by=" +
                person() + " reach_mm=" + rounded(std::min(reach, 300.0), 1) + reason("note") + of_foot());
        };
        std::vector<std::string> choices;
        if (call.answered)
            choices = {"Open again"};
        else
            choices = {"The foot's own", "A fault, leave it"};
        std::optional<design::Repair> repair;
        const model::FootView view = screen.foot_view();
        if (!call.answered && view.latest->received)
            if (auto proposed = build::proposed_repair(call, view.latest->received->standing.frame))
                repair = std::move(*proposed);
        if (repair) choices.push_back("Repair");
        if (!call.answered) (void)field_row(why, "Why", "Goes on record with the answer");
        const int pressed = buttons("answer " + number, choices, 24);
        if (pressed == 0) answer(call.answered ? "open" : "foot");
        if (pressed == 1) answer("fault");
        if (pressed == 2) {
            const std::string name = free_name(key(f.kind), [&](const std::string& taken) {
                return std::any_of(foot().repairs.begin(), foot().repairs.end(),
                                   [&](const design::Repair& r) { return r.name == taken; });
            });
            say("repair add " + name + " " + key(repair->what) + " " + json(repair->points) + " reach_mm=" +
                rounded(repair->reach_mm, 1) + " by=" + person() + reason("reason") + of_foot());
            say("select none");
        }
    }
    y += 4;
}

void Panel::repairs() {
    if (foot().repairs.empty()) return;
    head("Repairs");
    const model::FootView view = screen.foot_view();
    for (const design::Repair& one : foot().repairs) {
        std::string moved;
        if (view.latest && view.latest->received && view.latest->received->repaired && !view.stale)
            for (const examine::RepairFigure& f : view.latest->received->repaired->figures)
                if (f.name == one.name) moved = figure(f.largest_mm, 1, "mm");
        const double back = look.measure("Take back", Face::body) + 4;
        look.name(one.name + ", " + design::title_of(one.what) + ", by " + one.by, {area.x, y + 12},
                  area.w - back - (moved.empty() ? 8 : 66), Face::body, t.text);
        if (!moved.empty())
            look.text(moved, {area.right() - back - 8, y + 12}, 58, Face::small, t.soft, Align::right);
        if (screen.link(("unrepair " + one.name).c_str(), "Take back", {area.right(), y + 12}, Align::right))
            say("repair remove " + in_quotes(one.name) + of_foot());
        y += 26;
    }
    y += 6;
}

void Panel::marks() {
    std::size_t open = 0;
    for (const design::Mark& one : foot().marks) open += one.open() ? 1 : 0;
    head("Marks on the skin",
         foot().marks.empty() ? std::string()
                              : std::to_string(foot().marks.size()) + ", " + std::to_string(open) + " open");
    const model::Selection& selection = screen.session_.selection();
    for (const design::Mark& one : foot().marks) {
        const bool chosen = selection.what == "mark" && selection.name == one.name;
        const Screen::Hit h = row("mark " + one.name, 28, chosen);
        look.sign({area.x + 9, y + 14},
                  one.refused  ? Sign::waiting
                  : one.open() ? Sign::look
                               : Sign::pass,
                  0.9);
        const std::string what =
            one.refused ? "refused" : design::title_of(one.meaning) + std::string(one.open() ? "?" : "");
        const double w = look.measure(what, Face::small) + 8;
        look.name(one.name, {area.x + 24, y + 14}, area.w - 28 - w, Face::body,
                  one.refused ? t.faint : t.text);
        look.text(what, {area.right(), y + 14}, w, Face::small, t.soft, Align::right);
        const model::FootView view = screen.foot_view();
        if (h.clicked) {
            say(chosen ? "select none" : "select mark " + in_quotes(one.name));
            if (!chosen && view.latest && view.latest->received && !one.points.empty())
                go_to(view.latest->received->standing.frame.to_design(one.points[one.points.size() / 2]));
        }
        y += 30;
        if (!chosen) continue;
        if (!one.note.empty()) words(one.note, 24, 6);
        if (one.open()) words("Found by the program, " + rounded(100 * one.confidence, 0) + " % sure.", 24);
        if (!one.by.empty()) words("By " + one.by + ".", 24);
        const std::string name = in_quotes(one.name);
        if (!needs_person("Marks go on record with your code.")) continue;
        std::vector<std::string> titles;
        for (const auto& word : design::words<design::Mark::Meaning>) titles.emplace_back(word.title);
        const int meaning = drop("meaning " + one.name, "It means", titles, design::title_of(one.meaning));
        if (meaning >= 0)
            say("mark accept " + name +
                " meaning=" + design::words<design::Mark::Meaning>[static_cast<std::size_t>(meaning)].key +
                " by=" + person() + of_foot());
        if (state.form == "rename " + one.name) {
            const bool enter = field_row("rename", "Its name", one.name);
            const int pressed = buttons("renamed", {"Rename", "Leave it"}, 0, 0);
            if ((pressed == 0 || enter) && !typed("rename").empty())
                say("mark rename " + name + " " + in_quotes(typed("rename")) + of_foot());
            if (pressed >= 0 || enter) state.form.clear();
            continue;
        }
        std::vector<std::string> choices;
        if (one.open() || one.refused) choices.push_back("Accept");
        if (!one.refused) choices.push_back("Refuse");
        if (!one.refused && design::lying_on(foot(), one.name).empty()) choices.push_back("Lay a relief");
        choices.push_back("Rename");
        const int pressed = buttons("mark does " + one.name, choices, 24);
        const std::string did = pressed < 0 ? "" : choices[static_cast<std::size_t>(pressed)];
        if (did == "Accept") say("mark accept " + name + " by=" + person() + of_foot());
        if (did == "Refuse") say("mark refuse " + name + " by=" + person() + of_foot());
        if (did == "Lay a relief") say("mark relieve " + name + of_foot());
        if (did == "Rename") {
            state.form = "rename " + one.name;
            typed("rename") = one.name;
        }
    }
    if (foot().marks.empty())
        words("Reliefs and pads can lie on what was drawn on the foot: ink is found by its colour.");
    if (buttons("look for ink", {"Look for ink"}) == 0) say("marks find" + of_foot());
}

void Panel::landmarks() {
    bool open = false;
    for (const auto& [id, landmark] : foot().landmarks)
        open = open || landmark.source == foot::Landmark::Source::suggested;
    head("Landmarks");
    bool asked = false;
    const auto chosen_landmark = [&] {
        const model::Selection& selection = screen.session_.selection();
        const auto id = selection.what == "landmark" ? foot::landmark_id(selection.name) : std::nullopt;
        return id ? foot().landmarks.find(*id) : foot().landmarks.end();
    };
    const model::FootView known = screen.foot_view();
    for (const auto& [id, landmark] : foot().landmarks) {
        const bool suggested = landmark.source == foot::Landmark::Source::suggested;
        const std::string key = foot::key(id);
        const bool chosen =
            screen.session_.selection().what == "landmark" && screen.session_.selection().name == key;
        const Screen::Hit h = row("landmark " + key, 28, chosen);
        look.sign({area.x + 9, y + 14}, suggested ? Sign::look : Sign::pass, 0.9);
        const std::string aside = "\u00b1 " + figure(landmark.sd_mm, 1, "mm");
        const double aw = look.measure(aside, Face::small) + 8;
        const double room = area.w - 28 - aw;
        const bool fits = look.measure(foot::title(id), Face::body) <= room;
        look.text(foot::title(id), {area.x + 24, y + 14}, room, fits ? Face::body : Face::small, t.text);
        look.text(aside, {area.right(), y + 14}, aw, Face::small, t.soft, Align::right);
        if (h.clicked) {
            say(chosen ? std::string("select none") : "select landmark " + key);
            if (!chosen && known.latest && known.latest->received) {
                const auto& standing = known.latest->received->standing;
                if (const auto there = standing.landmarks.find(id); there != standing.landmarks.end())
                    go_to(there->second.position);
            }
        }
        y += 30;
    }
    y += 4;
    // under the list, so that no row of it moves when another is chosen
    const auto one = chosen_landmark();
    if (one != foot().landmarks.end()) {
        const auto& [id, landmark] = *one;
        const bool suggested = landmark.source == foot::Landmark::Source::suggested;
        const std::string key = foot::key(id);
        words(std::string(foot::title(id)) + ": " + view::source_words(landmark) + ".", 24);
        asked = person().empty();
        if (needs_person("Landmarks are dragged, set and confirmed with your code.") && suggested &&
            buttons("confirm " + key, {"Confirm it"}, 24) == 0)
            say("landmark confirm " + key + " by=" + person() + of_foot());
    }
    if (open && !asked && needs_person("Landmarks are confirmed with your code.") &&
        buttons("confirm all", {"Confirm all"}) == 0)
        say("landmark confirm all by=" + person() + of_foot());
}

void Panel::examine() {
    findings();
    repairs();
    rule();
    marks();
    rule();
    landmarks();
}

void Panel::findings_on_plan(Screen& screen, const std::function<Vec2(const Vec2&)>& on_screen) {
    const build::Examined* found = examined(screen);
    if (found == nullptr) return;
    Look& look = screen.look_;
    const model::Selection& selection = screen.session_.selection();
    const bool at_work = screen.session_.stage() == "examine" || screen.session_.stage() == "receive";
    for (std::size_t i = 0; i < found->calls.size(); ++i) {
        const Call& call = found->calls[i];
        const std::string number = std::to_string(i + 1);
        const bool chosen = selection.what == "finding" && selection.name == number;
        // elsewhere only what nobody has answered stays in sight
        if (!chosen && !at_work) continue;
        const Vec2 c = on_screen({call.finding.place.x(), call.finding.place.y()});
        const Colour colour = chosen          ? look.theme().accent
                              : call.answered ? look.theme().soft
                                              : look.sign_colour(Sign::look);
        look.disc(c, 9.5, look.theme().board, 0.92);
        look.ring(c, 9, colour, chosen ? 2.4 : 1.4);
        look.text(number, c, 18, Face::small_strong, colour, Align::centre);
    }
}

}  // namespace archwright::editor::ui
