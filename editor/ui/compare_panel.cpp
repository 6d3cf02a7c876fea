// What the shell is compared with, or what a command would change: figures, places, settings.
#include <algorithm>
#include <cmath>
#include <map>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

using What = model::CompareWith::What;

namespace {

/// Rows of a list before the rest is asked for.
constexpr std::size_t few_rows = 6;

std::string changed_by(double value, int decimals, const std::string& unit) {
    const std::string text = figure(value, decimals, unit);
    return value > 0 && text != figure(0, decimals, unit) ? "+" + text : text;
}

int decimals_of_figure(const compare::Figure& f) {
    constexpr double long_mm = 100.0;  // hundredths of a long line say nothing
    const double size = std::max(std::abs(f.before.value_or(0)), std::abs(f.after.value_or(0)));
    return f.unit == "mm" && size < long_mm ? 2 : 1;
}

/// A value of a job for reading: figures with their unit, a list by what is in it.
std::string in_brief_words(const std::string& name, const std::string& value) {
    if (value.empty()) return "none";
    if (value == "true" || value == "false") return value == "true" ? "yes" : "no";
    const std::string words = step_words(name + " " + value).second;
    if (!words.empty()) return words;
    return value.front() == '[' || value.front() == '{' ? list_in_words(name, value) : with_minus(value);
}

/// Both values: a unit once, and of a list that keeps its length that its entries are others.
std::pair<std::string, std::string> before_and_after(const compare::Setting& setting) {
    std::string before = in_brief_words(setting.name, setting.before),
                after = in_brief_words(setting.name, setting.after);
    if (before == after && setting.before != setting.after) after = "changed";
    const std::size_t unit = before.rfind(' ');
    if (unit != std::string::npos && parse_number(before.substr(0, unit)) &&
        after.ends_with(before.substr(unit)))
        before.resize(unit);
    return {before, after};
}

/// A setting as the steps of the history name it: "Cup medial", "fascia depth".
std::string setting_words(const std::string& name) {
    if (name.find('.') == std::string::npos && name.ends_with("]"))
        return name.substr(name.find('[') + 1, name.size() - name.find('[') - 2);
    return step_words(name + " ").first;
}

}  // namespace

std::string Panel::compared_words(const Screen& screen) {
    const model::CompareWith& with = screen.session_.compared_with();
    switch (with.what) {
        case What::none:
            return {};
        case What::step: {
            const design::History* history = screen.session_.history();
            return with.step == 0 && history != nullptr ? "the job as opened"
                                                        : "step " + std::to_string(with.step);
        }
        case What::file:
            return with.file.filename().string();
        case What::cast:
            return "its cast";
        case What::other_foot:
            return std::string("the ") + word(other(screen.session_.foot())) + " foot, mirrored";
        case What::proposal:
            return "what is proposed";
    }
    return {};
}

void Panel::compared_surface(const std::string& name, const compare::Difference& difference, bool proposal) {
    const auto row = [&](const std::string& words, const std::string& value, Face face) {
        const double w = std::min(look.measure(value, Face::body) + 8, 0.62 * area.w);
        look.name(words, {area.x, y + 11}, area.w - w, face, t.text);
        look.name(value, {area.right(), y + 11}, w, Face::body, t.text, Align::right);
        y += 24;
    };
    const bool same = difference.most_added_mm < compare::Difference::felt_mm &&
                      difference.most_taken_mm < compare::Difference::felt_mm;
    row(name,
        same ? "the same within 0.05 mm"
             : changed_by(difference.most_added_mm, 2, "") + " and " +
                   changed_by(-difference.most_taken_mm, 2, "mm"),
        Face::strong);
    const double compared = difference.area_mm2 - difference.alone_mm2;
    if (!same && compared > 0)
        row("   on average, in all",
            changed_by(difference.mean_mm, 2, "mm") + ", " +
                changed_by((difference.added_mm3 - difference.taken_mm3) / 1000.0, 1, "cm\u00b3"),
            Face::small);
    if (difference.alone_mm2 > 0.005 * difference.area_mm2)
        row(proposal ? "   not in the proposed" : "   not in the other",
            figure(difference.alone_mm2 / 100.0, 1, "cm\u00b2"), Face::small);
    int number = 0;
    for (const compare::Peak& peak : difference.peaks) {
        const Screen::Hit h = this->row("peak " + name + std::to_string(number++), 22, false);
        look.name("   " + changed_by(peak.mm, 2, "mm"), {area.x, y + 11}, 110, Face::small, t.accent);
        look.name("at " + place_in_words(peak.where), {area.right(), y + 11}, area.w - 110, Face::small,
                  t.accent, Align::right);
        if (h.clicked) go_to(peak.where);
        y += 23;
    }
    y += 4;
}

void Panel::compared_lists(const model::Comparison& comparison) {
    const auto three = [&](const std::string& name, const std::string& before, const std::string& after,
                           const std::string& by) {
        // what it was stands soft, what it is strong; a long name gives way
        const double by_w = by.empty() ? 0 : look.measure(by, Face::small_strong) + 10;
        const double values_most = 0.52 * area.w - by_w;
        const std::string both = before + " \u2192 " + after;
        const double w = std::min(look.measure(both, Face::small) + 8, values_most);
        look.name(name, {area.x, y + 11}, area.w - w - by_w - 4, Face::small, t.text);
        look.name(both, {area.right() - by_w, y + 11}, w, Face::small, t.soft, Align::right);
        if (!by.empty())
            look.text(by, {area.right(), y + 11}, by_w, Face::small_strong, t.text, Align::right);
        y += 22;
    };
    const auto all_of = [&](const char* id, const std::string& title, std::size_t count, const auto& row) {
        if (count == 0) return;
        head(title, std::to_string(count));
        const bool all = state.listed_whole.count(id) > 0 || count <= few_rows + 1;
        for (std::size_t i = 0; i < (all ? count : few_rows); ++i) row(i);
        if (count > few_rows + 1) {
            const std::string words = all ? "Fewer" : "All " + std::to_string(count);
            if (screen.link((std::string("whole ") + id).c_str(), words, {area.right(), y + 10},
                            Align::right))
                all ? (void)state.listed_whole.erase(id) : (void)state.listed_whole.insert(id);
            y += 26;
        }
        y += 4;
    };
    all_of("settings",
           comparison.with.what == What::proposal ? "Settings it changes" : "Settings that differ",
           comparison.settings.size(), [&](std::size_t i) {
               const compare::Setting& setting = comparison.settings[i];
               const auto [before, after] = before_and_after(setting);
               three(setting_words(setting.name), before, after, {});
           });
    // what no figure shows is no difference to a person
    std::vector<const compare::Figure*> seen;
    for (const compare::Figure& f : comparison.figures) {
        const int decimals = decimals_of_figure(f);
        if (!f.difference() || rounded(*f.difference(), decimals) != rounded(0, decimals)) seen.push_back(&f);
    }
    all_of("figures", "Figures that differ", seen.size(), [&](std::size_t i) {
        const compare::Figure& f = *seen[i];
        const int decimals = decimals_of_figure(f);
        three(f.title, f.before ? figure(*f.before, decimals) : "none",
              f.after ? figure(*f.after, decimals, f.unit == "degrees" ? "degrees" : f.unit) : "none",
              f.difference() ? changed_by(*f.difference(), decimals, "") : "");
    });
}

/// What becomes of the stops, and which there would be.
void Panel::compared_stops(const build::Device& proposed) {
    std::vector<const Check*> then;
    for (const Check& check : proposed.checks)
        if (check.verdict == Verdict::stop) then.push_back(&check);
    std::size_t now = 0;
    for (const Check& check : screen.all_checks()) now += check.verdict == Verdict::stop ? 1 : 0;
    look.sign({area.x + 6, y + 11}, then.empty() ? Sign::pass : Sign::stop);
    look.name(now == 0 && then.empty() ? "No stop, as now"
                                       : "Stops " + std::to_string(now) + " \u2192 " +
                                             std::to_string(then.size()) + (then.empty() ? "" : ":"),
              {area.x + 22, y + 11}, area.w - 22, Face::body, t.text);
    y += 26;
    constexpr std::size_t most_named = 3;
    for (std::size_t i = 0; i < then.size() && i < most_named; ++i) {
        look.name(then[i]->title, {area.x + 22, y + 9}, area.w - 22, Face::small, t.stop);
        y += 21;
    }
    y += 4;
}

void Panel::compared() {
    const model::CompareWith& with = screen.session_.compared_with();
    if (with.what == What::none) state.compare_seen.clear();
    if (with.what == What::none) return;
    const bool proposal = with.what == What::proposal;
    y += 6;
    const double top = y;
    // one that was just asked for is brought into sight
    const std::string subject = std::to_string(static_cast<int>(with.what)) + " " +
                                std::to_string(with.step) + with.file.string() + with.command;
    if (state.compare_seen != subject) {
        state.compare_seen = subject;
        const double shown = static_cast<double>(ImGui::GetWindowPos().y) / look.scale,
                     high = static_cast<double>(ImGui::GetWindowHeight()) / look.scale;
        if (top < shown || top > shown + 0.6 * high)
            ImGui::SetScrollFromPosY(look.px(top - 8) - ImGui::GetWindowPos().y, 0.0f);
    }
    y += 2;
    const double end_w = look.measure("End", Face::body) + 8;
    look.name(proposal ? "Proposed, not done" : "Compared with " + compared_words(screen), {area.x, y + 11},
              area.w - (proposal ? 0 : end_w), Face::strong, t.accent);
    if (!proposal && screen.link("end compare", "End", {area.right(), y + 11}, Align::right))
        say("compare off");
    y += 28;
    if (proposal) {
        y += look.paragraph(command_in_words(with.command), {area.x, y}, area.w, 3, Face::small, t.soft) + 6;
        // what would stop is not pressed on anybody
        const auto known = screen.session_.comparison();
        const bool stops = known && known->edition == screen.session_.edition() && known->fault;
        const int pressed = buttons("proposal", {"Do it", "Leave it"}, 0, stops ? 1 : 0);
        if (pressed == 0) say(with.command);
        if (pressed == 1) say("propose off");
    }
    const auto comparison = screen.session_.comparison();
    const bool stale = comparison && comparison->edition != screen.session_.edition();
    if (!comparison || stale) {
        look.sign({area.x + 6, y + 11}, Sign::working);
        look.name(screen.foot_view().latest && screen.foot_view().latest->fault && !proposal
                      ? "There is no shell to compare: it stops"
                      : "Working it out",
                  {area.x + 22, y + 11}, area.w - 22, Face::body, t.soft);
        y += 30;
    } else if (comparison->fault) {
        look.sign({area.x + 6, y + 10}, Sign::stop);
        look.text(proposal ? "It would stop" : "The other cannot be built", {area.x + 22, y + 10},
                  area.w - 22, Face::strong, t.stop);
        y += 22;
        y += look.paragraph(without_keys(comparison->fault->message), {area.x + 22, y}, area.w - 22, 8,
                            Face::small, t.text) +
             8;
        compared_lists(*comparison);
    } else {
        if (proposal && comparison->other) {
            compared_stops(*comparison->other);
        }
        if (comparison->foot_side) compared_surface("Foot side", *comparison->foot_side, proposal);
        if (comparison->underside) compared_surface("Underside", *comparison->underside, proposal);
        if (comparison->cast) compared_surface("Cast", *comparison->cast, proposal);
        compared_lists(*comparison);
    }
    look.frame({area.x - 8, top - 4, area.w + 16, y - top + 4}, t.accent, 4);
    y += 12;
}

void Panel::carry_choice(const std::string& stage) {
    const design::Job& job = screen.session_.job();
    if (!job.left || !job.right) return;
    static const std::map<std::string, std::pair<std::string, std::string>> of_stages{
        {"receive", {"whole order", ""}},
        {"balance", {"balance", "balance"}},
        {"dress", {"dressing", "dress"}},
        {"trim", {"trim line", "trim"}},
        {"reliefs", {"reliefs and pads", "features"}},
        {"wall", {"wall", "wall,material"}},
        {"post", {"posts", "posts"}}};
    const auto found = of_stages.find(stage);
    if (found == of_stages.end()) return;
    const auto& [words, parts] = found->second;
    const Side here = screen.session_.foot(), there = other(here);
    const std::string line = std::string("carry ") + word(there) + (parts.empty() ? "" : " parts=" + parts);
    const bool proposed = screen.session_.compared_with().command == line;
    y += 6;
    if (proposed)
        look.name("Shown above: the " + std::string(word(there)) + " foot's " + words, {area.x, y + 11},
                  area.w, Face::small, t.soft);
    else if (screen.link("carry", "Take over the " + std::string(word(there)) + " foot's " + words,
                         {area.x, y + 11}))
        say("propose " + in_quotes(line));
    y += 30;
}

void Panel::compare_choice() {
    if (screen.session_.compared_with().what != What::none) return;
    head("Compare the shell with");
    std::vector<std::string> words{"Its cast"}, commands{"compare cast"};
    const design::Job& job = screen.session_.job();
    if (job.left && job.right) {
        words.emplace_back("The other foot");
        commands.emplace_back("compare other_foot");
    }
    const std::size_t steps = screen.session_.history()->position();
    if (steps > 0) {
        words.emplace_back("Before the last step");
        commands.push_back("compare step " + std::to_string(steps - 1));
    }
    if (steps > 1) {
        words.emplace_back("As it was opened");
        commands.emplace_back("compare step 0");
    }
    words.emplace_back("A job file ...");
    const int pressed = buttons("compare", words);
    if (pressed >= 0 && pressed < static_cast<int>(commands.size()))
        say(commands[static_cast<std::size_t>(pressed)]);
    else if (pressed >= 0)
        state.form = state.form == "compare file" ? "" : "compare file";
    if (state.form != "compare file") return;
    const bool enter = field_row("compare file", "Job file", "Its path, ending in .json");
    if (enter && !typed("compare file").empty()) {
        say("compare file " + in_quotes(typed("compare file")));
        state.form.clear();
    }
}

}  // namespace archwright::editor::ui
