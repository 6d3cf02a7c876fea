// The first screen: what to do in three lines, a file, the example, and the cases of before.
#include <algorithm>
#include <chrono>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"

namespace archwright::editor::ui {

/// Unsaved work that the first screen names.
constexpr std::size_t most_left = 4;

void Screen::first_screen(const Box& region) {
    const picture::Theme& t = look_.theme();
    const double w = std::min(470.0, region.w - 32),
                 h = 268 +
                     (left_behind_.empty()
                          ? 0
                          : 10 + 26 * static_cast<double>(std::min(most_left + 1, left_behind_.size())));
    const Box box{std::floor(region.x + 0.5 * (region.w - w)),
                  std::floor(region.y + std::max(20.0, 0.42 * (region.h - h))), w, h};
    look_.dashed({{box.x, box.y}, {box.right(), box.y}, {box.right(), box.bottom()}, {box.x, box.bottom()}},
                 true, t.frame, 1.4, {7, 5});
    const double x = box.x + 34, room = box.w - 60;
    double y = box.y + 52;
    look_.text("Start with a cast", {x, y}, room, Face::heading, t.text);
    y += 42;
    const char* lines[] = {"Drop a scan (STL, OBJ, PLY, 3MF) or a case here.",
                           "Say which foot it is and how the cast was taken.",
                           "Follow the ten stages on the left to the export."};
    for (int i = 0; i < 3; ++i) {
        look_.ring({x + 10, y}, 10, t.frame, 1.2);
        look_.text(std::to_string(i + 1), {x + 10, y}, 16, Face::small_strong, t.soft, Align::centre);
        look_.text(lines[i], {x + 32, y}, room - 32, Face::body, t.text);
        y += 34;
    }
    y += 4;
    if (button("open", "Open a file", {x, y, 120, 32}, true))
        Panel::open_files(*this, FilesState::Purpose::open);
    if (button("example", "Open the example case", {x + 130, y, 188, 32}, false)) say("example");
    y += 52;
    // work that other processes left is newer than its files; the newest first
    for (std::size_t i = 0; i < std::min(most_left, left_behind_.size()); ++i) {
        const model::LeftBehind& left = left_behind_[i];
        const std::string words = "Recover " + left.job.case_code + ", not saved when its session ended";
        const std::string id = i == 0 ? "recover" : "recover" + std::to_string(i);
        const bool fits = look_.measure(words, Face::body) <= room;
        if (link(id.c_str(), fits ? words : "Recover work that was not saved", {x, y}))
            say("recover " + in_quotes(left.file.string()));
        y += 26;
    }
    if (left_behind_.size() > most_left)
        look_.text("and " + std::to_string(left_behind_.size() - most_left) +
                       " more in the state folder (docs/script.md)",
                   {x, y}, room, Face::small, t.soft);
}

namespace {

Sign sign_of_state(exporters::worklist::State state) {
    using exporters::worklist::State;
    return state == State::made || state == State::approved ? Sign::pass
           : state == State::waiting                        ? Sign::look
                                                            : Sign::waiting;
}

/// "left", "both feet", "left approved, right designing".
std::string feet_and_state(const exporters::worklist::WorkItem& item) {
    const std::string apart = exporters::worklist::feet_apart(item);
    if (!apart.empty()) return apart;
    return std::string(item.feet.size() == 2 ? "both feet" : word(item.feet.front().first)) + ", " +
           exporters::worklist::title(item.state);
}

}  // namespace

void Panel::jobs_of_folder() {
    model::Session& session = screen.session_;
    const std::string folder = session.settings().jobs;
    if (folder.empty()) {
        const auto& recent = session.settings().recent;
        if (recent.empty()) return;
        // asked for, never looked through of itself: a folder may be large and far away
        const std::string near = std::filesystem::path(recent.front()).parent_path().string();
        y += 10;
        if (screen.link("list jobs", "List the jobs of this case's folder", {area.x, y + 10}))
            say("setting jobs " + in_quotes(near));
        y += 32;
        return;
    }
    const std::string of = folder + " " + std::to_string(session.edition());
    if (state.jobs_of != of && !state.jobs_reading) {
        state.jobs_of = of;
        state.jobs.reset();
        state.jobs_reading.emplace();
        state.jobs_reading->progress = std::make_shared<Progress>();
        state.jobs_reading->list =
            std::async(std::launch::async, [folder, progress = state.jobs_reading->progress] {
                return exporters::worklist::read_worklist(folder, *progress);
            });
    }
    if (state.jobs_reading &&
        state.jobs_reading->list.wait_for(std::chrono::seconds(0)) == std::future_status::ready) {
        state.jobs.emplace(state.jobs_reading->list.get());
        state.jobs_reading.reset();
    }
    head("Jobs by the day due", std::filesystem::path(folder).filename().string());
    if (!state.jobs) {
        words("Reading the folder ...");
    } else if (!*state.jobs) {
        words(state.jobs->fault().message);
    } else {
        const exporters::worklist::Worklist& list = **state.jobs;
        constexpr std::size_t most_jobs = 200;
        for (std::size_t i = 0; i < std::min(most_jobs, list.items.size()); ++i) {
            const exporters::worklist::WorkItem& item = list.items[i];
            const Screen::Hit h = row("job " + item.path.string(), 44, false);
            look.sign({area.x + 8, y + 14}, sign_of_state(item.state), 0.9);
            const std::string due = item.due.empty() ? "no day" : item.due;
            const double dw = look.measure(due, Face::small) + 8;
            look.name(item.case_code + ", revision " + item.revision, {area.x + 26, y + 14}, area.w - dw - 30,
                      Face::strong, t.text);
            look.name(due, {area.right(), y + 14}, dw, Face::small, t.soft, Align::right);
            look.name(feet_and_state(item), {area.x + 26, y + 31}, area.w - 30, Face::small, t.soft);
            if (h.clicked) say("open " + in_quotes(item.path.string()));
            y += 46;
            look.rule_across(area.x, area.right(), y - 1, t.rule);
        }
        if (list.items.size() > most_jobs)
            words("and " + std::to_string(list.items.size() - most_jobs) +
                  " more: archwright jobs lists them.");
        if (list.items.empty()) words("There is no job in this folder.");
        if (!list.unreadable.empty())
            words(std::to_string(list.unreadable.size()) +
                  (list.unreadable.size() == 1 ? " cannot be read: " : " cannot be read, the first: ") +
                  list.unreadable.front().first);
    }
    y += 8;
    if (screen.link("no jobs", "Do not list them", {area.x, y + 10})) say("setting jobs none");
    y += 32;
}

void Panel::recent() {
    model::Session& session = screen.session_;
    // the files are read on a thread of their own: they may lie far away
    if (!state.recent && !state.recent_reading.valid())
        state.recent_reading = std::async(
            std::launch::async, [settings = session.settings()] { return model::recent_cases(settings); });
    if (state.recent_reading.valid() &&
        state.recent_reading.wait_for(std::chrono::seconds(0)) == std::future_status::ready)
        state.recent = state.recent_reading.get();
    const bool any = !session.settings().recent.empty();
    look.text(any ? "No cast yet. Recent cases:" : "No cast yet.", {area.x, y + 10}, area.w, Face::body,
              t.soft);
    y += 32;
    if (!state.recent) return;
    for (const model::RecentCase& one : *state.recent) {
        const Screen::Hit h = row("recent " + one.path.string(), 44, false);
        look.sign({area.x + 8, y + 14},
                  !one.readable  ? Sign::stop
                  : one.approved ? Sign::pass
                                 : Sign::waiting,
                  0.9);
        const std::string name = one.case_code.empty() ? one.path.stem().string() : one.case_code;
        const std::string folder = one.path.parent_path().filename().string();
        const double fw = std::min(look.measure(folder, Face::small) + 8, 120.0);
        look.name(name, {area.x + 26, y + 14}, area.w - fw - 30, Face::strong,
                  one.readable ? t.text : t.faint);
        look.name(folder, {area.right(), y + 14}, fw, Face::small, t.soft, Align::right);
        look.name(one.state, {area.x + 26, y + 31}, area.w - 30, Face::small,
                  one.readable ? t.soft : t.faint);
        if (h.clicked) say("open " + in_quotes(one.path.string()));
        y += 46;
        look.rule_across(area.x, area.right(), y - 1, t.rule);
    }
    jobs_of_folder();
}

}  // namespace archwright::editor::ui
