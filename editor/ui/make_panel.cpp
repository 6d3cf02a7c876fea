// Make: approval, revision, and the files that go out.
#include <algorithm>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

/// What is written, and the word of the command.
constexpr std::pair<const char*, const char*> all_formats[] = {
    {"stl", "STL"}, {"3mf", "3MF"}, {"step", "STEP"}};

}  // namespace

bool Panel::tick(const std::string& id, const std::string& title, const Box& box, bool on) {
    const Screen::Hit h = screen.hit(id, box);
    look.fill(box, on ? look.accent_fill() : look.field(), 3);
    look.frame(box, on || h.hovered ? t.accent : t.frame, 3);
    const Box square{box.x + 9, box.y + 8, 12, 12};
    look.frame(square, on ? t.accent : t.frame, 2);
    if (on)
        look.polyline(
            {{square.x + 2.5, square.y + 6}, {square.x + 5, square.y + 9}, {square.x + 10, square.y + 3}},
            false, t.accent, 1.8);
    look.text(title, {box.x + 30, box.centre().y()}, box.w - 34, Face::body, on ? t.accent : t.soft);
    return h.clicked;
}

void Panel::formats() {
    const double w = (area.w - 16) / 3;
    double x = area.x;
    for (const auto& [word, title] : all_formats) {
        const bool on = state.formats.count(word) > 0;
        if (tick(std::string("format ") + word, title, {x, y, w, 28}, on))
            on ? (void)state.formats.erase(word) : (void)state.formats.insert(word);
        x += w + 8;
    }
    y += 36;
    if (tick("bench in report", "The virtual bench in the report", {area.x, y, area.w, 28},
             state.flex_in_report))
        state.flex_in_report = !state.flex_in_report;
    y += 36;
}

void Panel::approval() {
    const design::Job& job = screen.session_.job();
    head("Approval");
    if (state.approved) {
        look.sign({area.x + 8, y + 10}, Sign::pass, 0.9);
        look.name("Revision " + job.revision() + ", by " + state.approved_by, {area.x + 24, y + 10},
                  area.w - 24, Face::body, t.text);
        y += 28;
        return;
    }
    bool was = false;
    for (const design::Approval& a : foot().approvals) was = was || a.revision == job.revision();
    words(was ? "It was approved, and changed since: the approval is void."
              : "Not approved. An approval holds for the device as it is; any later edit voids it.");
    if (!needs_person("An approval goes on record with your code.")) return;
    if (typed("approve date").empty()) typed("approve date") = today();
    const double bw = look.measure("Approve as " + person(), Face::strong) + 24;
    const bool enter = field("approve date", {area.x, y, std::max(96.0, area.w - bw - 8), 28}, "YYYY-MM-DD");
    if (screen.button("approve", "Approve as " + person(), {area.right() - bw, y, bw, 28}, false) || enter)
        say("approve by=" + person() + " date=" + in_quotes(typed("approve date")) + of_foot());
    y += 40;
}

void Panel::revision() {
    const design::Job& job = screen.session_.job();
    const design::Revision& last = job.revisions.back();
    head("Revision " + last.letter, last.date);
    if (!last.note.empty()) words(last.note, 0, 3);
    if (state.form != "revise") {
        if (buttons("revise", {"Begin the next revision"}) == 0) state.form = "revise";
        return;
    }
    bool enter = field_row("revise note", "Changes", "What changes, and why");
    if (typed("revise date").empty()) typed("revise date") = today();
    enter = field_row("revise date", "Day", "YYYY-MM-DD") || enter;
    const int pressed = buttons("revised", {"Begin it", "Leave it"}, 0, 0);
    if ((pressed == 0 || enter) && !typed("revise note").empty()) {
        say("revise note=" + in_quotes(typed("revise note")) + " date=" + in_quotes(typed("revise date")));
        typed("revise note").clear();
        state.form.clear();
    }
    if (pressed == 1) state.form.clear();
}

void Panel::make() {
    const model::FootView view = screen.foot_view();
    const bool ready = view.proved();
    const std::size_t open = ready ? view.latest->device->open_stops().size() : 0;
    // the gates, in one line each
    const auto gate = [&](Sign sign, const std::string& words) {
        look.sign({area.x + 8, y + 10}, sign, 0.9);
        look.name(words, {area.x + 24, y + 10}, area.w - 24, Face::body, t.text);
        y += 24;
    };
    head("Gates");
    const model::Activity activity = screen.session_.activity();
    const bool stopped = view.latest && view.latest->fault && !view.stale;
    if (ready)
        gate(Sign::pass, "Built and proved");
    else if (stopped)
        gate(Sign::stop, "Not built: " + stage_title(stage_of(view.latest->fault->stage)) + " stops it");
    else
        gate(activity.busy ? Sign::working : Sign::waiting,
             activity.busy ? "Being built and proved" : "No proved device of this design");
    if (ready)
        gate(open == 0 ? Sign::pass : Sign::stop,
             open == 0 ? "Nothing stops it"
                       : std::to_string(open) + (open == 1 ? " check stops it" : " checks stop it"));
    if (ready) {
        std::size_t looks = 0;
        for (const Check& check : view.latest->device->checks)
            looks += screen.sign_of_check(check) == Sign::look ? 1 : 0;
        if (looks > 0)
            gate(Sign::look, std::to_string(looks) + (looks == 1 ? " look is open" : " looks are open") +
                                 ": N shows " + (looks == 1 ? "it" : "them"));
    }
    gate(state.approved ? Sign::pass : Sign::look, state.approved ? "Approved" : "Not approved yet");
    gate(screen.session_.modified() ? Sign::look : Sign::pass,
         screen.session_.modified() ? "The job is not saved" : "The job is saved");
    y += 6;

    head("Files");
    formats();
    const std::filesystem::path beside = screen.session_.job_path().parent_path();
    const std::string folder =
        !state.export_folder.empty() ? state.export_folder : (beside / "made").string();
    look.name("into " + folder, {area.x, y + 8}, area.w - 64, Face::small, t.soft);
    if (screen.link("choose folder", "Choose", {area.right(), y + 8}, Align::right))
        open_files(screen, FilesState::Purpose::export_to);
    y += 24;
    const bool writing = screen.session_.exporting() > 0;
    const bool can = ready && open == 0 && !state.formats.empty() && !writing;
    if (screen.button("export files", "Export", {area.x, y, 110, 30}, can, can)) {
        std::string asked;
        for (const auto& [word, title] : all_formats)
            if (state.formats.count(word) > 0) asked += (asked.empty() ? "" : ",") + std::string(word);
        say("export " + in_quotes(folder) + (state.formats.size() == 3 ? "" : " formats=" + asked) +
            (state.flex_in_report ? " flex=yes" : ""));
    }
    if (writing) {
        look.text(activity.exports ? rounded(100 * activity.fraction, 0) + " %" : "waits",
                  {area.x + 122, y + 15}, 60, Face::body, t.soft);
        if (screen.link("cancel export", "Cancel", {area.right(), y + 15}, Align::right)) say("cancel");
    } else {
        look.name("with its report", {area.x + 122, y + 15}, area.w - 122, Face::small, t.soft);
    }
    y += 40;
    if (const auto& last = screen.session_.last_export()) {
        if (last->fault) {
            // files of another design give way only when a person says so
            const bool others = last->fault->message.find("--replace") != std::string::npos;
            y +=
                look.paragraph(others ? "Files of the same names are there already, made from another design "
                                        "or changed by another program."
                                      : last->fault->message,
                               {area.x, y}, area.w, 8, Face::small, t.stop) +
                6;
            if (others && buttons("replace", {"Write over them"}) == 0)
                say("export " + in_quotes(last->folder.string()) + " replace=yes");
        } else {
            head(last->edition == screen.session_.edition() ? "Written" : "Written of an earlier design");
            const Colour colour = last->edition == screen.session_.edition() ? t.text : t.faint;
            for (const auto& file : last->files) {
                look.name(file.filename().string(), {area.x, y + 9}, area.w, Face::small, colour);
                y += 18;
            }
            words("in " + last->folder.string(), 0, 3, true);
        }
    }
    rule();
    milling();
    rule();
    printing();
    rule();
    approval();
    rule();
    revision();
    rule();
    head("Letters on the underside");
    screen.parameter_rows(area, y, {"lettering"});
}

}  // namespace archwright::editor::ui
