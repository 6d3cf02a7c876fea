// The top bar and the status line.
#include <algorithm>
#include <cmath>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

std::string Screen::hint() const {
    if (!session_.has_job()) return {};
    if (state_.tool == Tool::brush) return "Drag to paint, with Alt to cut out; Shift and the wheel: radius.";
    if (state_.tool == Tool::measure) return "Click the places to be measured, Esc ends.";
    if (state_.tool == Tool::section) return "Draw a line in the plan for a section.";
    const std::string& what = session_.selection().what;
    if (what == "none" || what == "check")
        return session_.stage() == "trim"
                   ? "Drag the trim line; Ctrl and a click puts a point on it, Alt takes one out."
                   : "Drag in the plan to move the sections.";
    if (what == "finding") return "Drag in the plan to move the sections.";
    return "Drag what is selected by its handles, with Shift to landmarks; arrows move it by 0.5 mm.";
}

void Screen::top_bar(const Box& bar) {
    const picture::Theme& t = look_.theme();
    look_.fill(bar, t.panel);
    look_.rule_across(bar.x, bar.right(), bar.bottom() - 1, t.frame);
    const double y = bar.centre().y(), rail = look_.narrow ? 196 : 228;
    // the mark: two arches on a base line
    for (const auto& [r, colour] : {std::pair(9.0, t.accent), std::pair(4.6, t.text)}) {
        std::vector<Vec2> arch;
        for (int i = 0; i <= 24; ++i) {
            const double a = 3.14159265358979323846 * i / 24.0;
            arch.push_back({bar.x + 26.0 - r * std::cos(a), y + 4.5 - r * std::sin(a)});
        }
        look_.polyline(arch, false, colour, 2.0);
    }
    look_.text("Archwright", {48, y}, rail - 56, Face::title, t.text);
    look_.rule_down(rail - 1, bar.y, bar.bottom(), t.rule);

    // from the right: what is always there
    double right = bar.right() - 16;
    const bool job = session_.has_job();
    const model::FootView view = foot_view();
    const bool known = job && view.latest && !view.stale;
    const bool stopped =
        known && (view.latest->fault || (view.latest->device && !view.latest->device->open_stops().empty()));
    {
        const Box box{right - 92, y - 14, 92, 28};
        if (button("export", "Export", box, known && !stopped, job)) say("stage make");
        if (stopped) look_.sign({box.x + 16, y}, Sign::stop, 0.8);
        right = box.x - 14;
    }
    if (!look_.narrow && job) {
        const char* words = session_.modified() ? "Not saved" : "Saved";
        look_.text(words, {right, y}, 70, Face::body, session_.modified() ? t.text : t.soft, Align::right);
        right -= 76;
    }
    const auto arrow = [&](const char* id, bool redo, bool can) {
        const Box box{right - 28, y - 14, 28, 28};
        const Hit h = hit(id, box);
        if (h.hovered && can) look_.fill(box, look_.accent_fill(), 3);
        const Vec2 c = box.centre();
        const double d = redo ? -1 : 1;
        const Colour colour = can ? t.text : t.faint;
        std::vector<Vec2> path{c + Vec2(-6 * d, -3), c + Vec2(1.5 * d, -3)};
        for (int i = 1; i <= 10; ++i) {
            const double a = -1.5708 + 3.14159 * i / 10;
            path.push_back(c + Vec2(d * (1.5 + 4.5 * std::cos(a)), 1.5 + 4.5 * std::sin(a)));
        }
        path.push_back(c + Vec2(-2 * d, 6));
        look_.polyline(path, false, colour, 1.5);
        look_.polyline({c + Vec2(-2.5 * d, -6.5), c + Vec2(-6 * d, -3), c + Vec2(-2.5 * d, 0.5)}, false,
                       colour, 1.5);
        right = box.x;
        return h.clicked && can;
    };
    const auto* history = session_.history();
    if (arrow("redo", true, history != nullptr && history->can_redo())) say("redo");
    if (arrow("undo", false, history != nullptr && history->can_undo())) say("undo");
    right -= 12;
    {
        const double w = look_.narrow ? 236 : 320;
        const Box box{right - w, y - 14, w, 28};
        const Hit h = hit("find", box);
        look_.fill(box, look_.field(), 3);
        look_.frame(box, h.hovered ? t.accent : t.frame, 3);
        look_.ring({box.x + 15, y - 1}, 4.5, t.faint, 1.4);
        look_.line({box.x + 18.3, y + 2.3}, {box.x + 21.5, y + 5.5}, t.faint, 1.5);
        look_.text("Find a command", {box.x + 30, y}, w - 90, Face::body, t.faint);
        look_.key_cap(box.right() - 6, y, "Ctrl K");
        if (h.clicked) {
            state_.command_list = true;
            state_.command_text.clear();
        }
        right = box.x - 16;
    }

    double x = rail + 14;
    if (!job) {
        look_.text("No case open", {x, y}, right - x, Face::body, t.soft);
        return;
    }
    const design::Job& j = session_.job();
    x += look_.name(j.case_code, {x, y}, look_.narrow ? 110 : 160, Face::strong, t.text) + 12;
    if (!look_.narrow && j.order.body_mass_kg)
        x += look_.text(figure(*j.order.body_mass_kg, 0, "kg"), {x, y}, 60, Face::body, t.soft) + 14;
    // the feet, each with its state
    const double foot_width = look_.narrow ? 64 : 84;
    const std::pair<Side, const char*> feet[] = {{Side::left, "Left"}, {Side::right, "Right"}};
    const Box both{x, y - 13, 2 * foot_width, 26};
    look_.fill(both, look_.field(), 3);
    look_.frame(both, t.frame, 3);
    for (int i = 0; i < 2; ++i) {
        const Side side = feet[i].first;
        const Box box{both.x + i * foot_width, both.y, foot_width, 26};
        const bool there = j.foot(side).has_value(), now = there && side == session_.foot();
        const Hit h = hit(std::string("foot") + feet[i].second, box);
        if (now) {
            look_.fill(box, look_.accent_fill(), 3);
            look_.frame(box, t.accent, 3);
        }
        Sign sign = Sign::waiting;
        if (there) {
            const model::FootView v = session_.view_of(side);
            if (v.stale && session_.idle())
                sign = Sign::waiting;  // of an older design, and nobody builds it
            else if (v.latest && v.latest->fault)
                sign = Sign::stop;
            else if (v.proved())
                sign = sign_of(v.latest->device->verdict());
            else if (session_.activity().busy)
                sign = Sign::working;
        }
        look_.sign({box.x + 15, y}, sign, 0.8);
        look_.text(feet[i].second, {box.x + 27, y}, foot_width - 30, now ? Face::strong : Face::body,
                   now     ? t.accent
                   : there ? t.soft
                           : t.faint);
        if (h.clicked && there && !now) say(std::string("foot ") + word(side));
        if (h.clicked && !there) {
            Panel::open_files(*this, FilesState::Purpose::open);
            state_.told = "Choose the cast of the " + std::string(word(side)) + " foot.";
            state_.told_fault = false;
        }
    }
    x = both.right() + 16;
    const std::string revision = "Revision " + j.revisions.back().letter;
    if (look_.measure(revision, Face::strong) < right - x)
        x += look_.text(revision, {x, y}, right - x, Face::strong, t.text) + 10;
    if (!look_.narrow && foot() != nullptr) {
        const bool approved = state_.panels.approved;
        const std::string words = approved ? "approved" : "not approved";
        if (look_.measure(words, Face::body) < right - x)
            look_.text(words, {x, y}, right - x, Face::body, t.soft);
    }
}

void Screen::status(const Box& bar) {
    const picture::Theme& t = look_.theme();
    look_.fill(bar, t.head);
    look_.rule_across(bar.x, bar.right(), bar.y, t.frame);
    const double y = bar.centre().y();
    if (!session_.has_job()) {
        const bool told = !state_.told.empty();
        look_.name(told ? state_.told : "Nothing leaves this machine.", {16, y}, bar.w - 32, Face::small,
                   told && state_.told_fault ? t.stop : t.soft);
        return;
    }
    // fixed columns, so that figures stand still
    double x = 16;
    const auto column = [&](const char* name, const std::string& value, double name_width,
                            double value_width) {
        look_.text(name, {x, y}, name_width, Face::small, t.soft);
        look_.text(value, {x + name_width + value_width, y}, value_width, Face::small_strong,
                   stale() ? t.faint : t.text, Align::right);
        x += name_width + value_width + 16;
    };
    const auto& c = state_.cursor;
    const auto of = [](const std::optional<double>& v, int decimals, const char* unit) {
        return v ? figure(*v, decimals, unit) : std::string("\u2013");
    };
    column("x", c ? figure(c->at.x(), 1) : "\u2013", 10, 40);
    column("y", c ? figure(c->at.y(), 1) : "\u2013", 10, 40);
    column("height", c ? figure(c->height_mm, 1, "mm") : "\u2013", 42, 56);
    column("wall", c ? of(c->wall_mm, 1, "mm") : "\u2013", 28, 52);
    column("to cast", c ? of(c->to_cast_mm, 1, "mm") : "\u2013", 46, 56);
    if (!look_.narrow) column("slope", c ? of(c->slope_deg, 0, "deg") : "\u2013", 36, 32);
    std::string words = state_.told;
    // what came in since the last command; older words are no news
    if (!session_.notices().empty() && session_.notices().back().number > state_.notice_seen)
        words = session_.notices().back().text;
    // one line: the rest of a longer answer follows behind blanks
    std::replace(words.begin(), words.end(), '\n', ' ');
    words = without_keys(words);
    const bool fault = !state_.told.empty() && state_.told_fault;
    const double room = bar.right() - 16 - x - 12;
    if (words.empty()) words = look_.narrow ? "Ctrl K finds commands" : hint() + " Ctrl K finds commands.";
    look_.name(words, {bar.right() - 16, y}, room, Face::small, fault ? t.stop : t.soft, Align::right);
}

}  // namespace archwright::editor::ui
