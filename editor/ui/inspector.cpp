// The inspector: what the chosen stage lets a person set, and its checks.
#include <algorithm>
#include <utility>

#include "editor/ui/panel.hpp"

namespace archwright::editor::ui {

void Screen::inspector(const Box& region) {
    const picture::Theme& t = look_.theme();
    look_.fill(region, t.panel);
    look_.rule_down(region.x, region.y, region.bottom(), t.rule);
    const double margin = 18;
    const Box area{region.x + margin, region.y, region.w - 2 * margin, region.h};
    const bool have = session_.has_job() && foot() != nullptr;
    const std::string stage = have ? session_.stage() : "receive";
    const double title_y = region.y + 28;
    std::vector<Check> here;
    Sign worst = Sign::pass;
    for (const Check& check : all_checks())
        if (stage_of(check.id) == stage || stage == "prove" ||
            (stage == "make" && check.verdict == Verdict::stop)) {
            here.push_back(check);
            const Sign sign = sign_of_check(check);
            if (sign == Sign::stop || worst == Sign::pass ||
                (worst == Sign::looked_signed && sign == Sign::look))
                worst = sign;
        }
    if (const model::FootView view = foot_view();
        have && view.latest && view.latest->fault && stage_of(view.latest->fault->stage) == stage)
        worst = Sign::stop;
    look_.text(stage_title(stage), {area.x, title_y}, area.w - 90, Face::title, t.text);
    // no word on what is not built yet
    const bool told = worst != Sign::pass || (built(stage) && !here.empty());
    if (have && told && settled(stage)) {
        const char* words = worst == Sign::pass            ? "pass"
                            : worst == Sign::look          ? "look"
                            : worst == Sign::looked_signed ? "signed"
                                                           : "stop";
        look_.sign({area.right() - 8, title_y}, worst);
        look_.text(words, {area.right() - 24, title_y}, 60, Face::body, look_.sign_colour(worst),
                   Align::right);
    }
    const double top = title_y + 24;
    places_.emplace_back("inspector top", Box{region.centre().x(), top, 0, 0});
    places_.emplace_back("inspector bottom", Box{region.centre().x(), region.bottom(), 0, 0});
    ImGui::SetCursorScreenPos({look_.px(region.x + 1), look_.px(top)});
    ImGui::BeginChild(
        "inspector", {look_.px(region.w - 1), look_.px(region.bottom() - top)}, false,
        ImGuiWindowFlags_NoNav | (state_.panels.no_scroll ? ImGuiWindowFlags_NoScrollWithMouse : 0));
    ImDrawList* outer = look_.list;
    look_.list = ImGui::GetWindowDrawList();
    // another stage, foot or case, or another check that was chosen, begins at its top
    const std::string subject = stage + " " + session_.job_path().string() +
                                (have ? word(session_.foot()) : "") +
                                (session_.selection().what == "check" ? session_.selection().name : "");
    if (state_.panels.scrolled_of != subject) ImGui::SetScrollY(0);
    state_.panels.scrolled_of = subject;
    double y = static_cast<double>(ImGui::GetCursorScreenPos().y) / look_.scale;
    const double begin = y;
    // a stop is never out of sight: where its card is scrolled away a strip stands for it
    const bool stopped = worst == Sign::stop && have && settled(stage);
    const Box strip{region.x + 1, top, region.w - 1, 30};
    const bool pinned = stopped && top - begin > 24;
    if (pinned && hit("to the stop", strip).clicked) ImGui::SetScrollY(0);
    double grown = 0, least_height = 0;
    Panel panel(*this, area, y);
    if (!have) {
        panel.recent();
    } else {
        const bool proposed = session_.compared_with().what == model::CompareWith::What::proposal;
        if (proposed) panel.compared();  // what a person is about to do
        panel.stops(here);               // on top of everything else
        if (!proposed) panel.compared();
        if (stage == "receive" || stage == "examine" || stage == "make") panel.who();
        const auto rows = [&](const std::vector<std::string>& prefixes) {
            parameter_rows(area, y, prefixes);
        };
        // what wants a look comes first, what passes last
        const bool carded = settled("prove");  // stops have their cards
        bool looks = false;
        std::vector<Check> listed;
        for (const Check& check : here) {
            if (check.verdict == Verdict::stop && carded && stage != "prove") continue;
            looks = looks || check.verdict != Verdict::pass;
            listed.push_back(check);
        }
        const auto counts = [&] {
            std::size_t n[3] = {0, 0, 0};
            for (const Check& check : here) ++n[static_cast<std::size_t>(check.verdict)];
            std::string aside;
            if (n[2] > 0) aside += std::to_string(n[2]) + " stop, ";
            if (n[1] > 0) aside += std::to_string(n[1]) + " look, ";
            return aside + std::to_string(n[0]) + " pass";
        };
        if (looks) {
            small_head(area, y, stage == "prove" ? "All checks" : "Look at this", counts());
            panel.checks(listed, false);
            y += 4;
            panel.rule();
        }
        const model::Selection& selection = session_.selection();
        const std::string shows = stage + (selection.what == "check" ? " " + selection.name : "");
        // what arrives from behind, or goes, leaves the row where it is that a hand is at
        const bool over =
            area.contains(state_.mouse) && state_.mouse.y() > std::max(top, begin + state_.panels.above);
        const bool at_rows =
            state_.panels.above_of == shows && (over || !state_.editing.empty() || !state_.dragging.empty());
        const double before = at_rows ? state_.panels.above : 0;
        if (at_rows) grown = std::max(0.0, y - begin - before);
        y = std::max(y, begin + before);
        state_.panels.above = y - begin;
        state_.panels.above_of = shows;
        least_height =
            at_rows ? static_cast<double>(ImGui::GetScrollY()) / look_.scale + grown + region.bottom() - top
                    : 0;
        panel.chosen_handle();
        if (stage == "receive") panel.receive();
        if (stage == "examine") panel.examine();
        if (stage == "balance") rows({"balance"});
        if (stage == "dress") rows({"dress"}), panel.brush();
        if (stage == "dress")
            for (const surface::SmoothZone& zone : foot()->dress.smooth) {
                panel.zone_row("Smoothed " + zone.name, {"smooth", zone.name}, "dress.smooth");
                for (const char* key : {"name", "strength", "blend_mm"})
                    parameter_row(area, y, std::string("dress.smooth[].") + key,
                                  "dress.smooth[" + zone.name + "]." + key);
            }
        if (stage == "trim") {
            rows({"trim"});
            panel.trim_points();
        }
        if (stage == "reliefs") panel.reliefs();
        if (stage == "wall") {
            rows({"material", "wall.base_mm"});
            if (!foot()->wall.stations.empty())
                panel.words("The stations below say the wall; the base is what rigidities are relative to.");
            panel.wall_graph();  // above what grows and shrinks with the wall
            panel.wall_figures();
            panel.wall_bands();
            panel.brush();
            panel.wall_zones();
            panel.bench();
            panel.calibration();
        }
        if (stage == "post") rows({"posts"}), panel.covers();
        if (stage == "prove") small_head(area, y, "Rim"), rows({"rim"}), panel.compare_choice();
        if (stage == "make") panel.make();
        panel.carry_choice(stage);
        bool passes = false;
        for (const Check& check : here) passes = passes || check.verdict == Verdict::pass;
        if (passes) {
            y += 8;
            panel.rule();
            std::size_t passing = 0;
            for (const Check& check : here) passing += check.verdict == Verdict::pass ? 1 : 0;
            small_head(area, y, "Checks that pass", std::to_string(passing));
            panel.checks(here, true);
        }
    }
    // a row that was pressed stays under the mouse, whatever opened or closed over it
    if (const double moved = std::exchange(state_.panels.pressed_moved, 0.0); moved != 0 && grown == 0) {
        grown = std::max(moved, -static_cast<double>(ImGui::GetScrollY()) / look_.scale);
        least_height = std::max(least_height, static_cast<double>(ImGui::GetScrollY()) / look_.scale + grown +
                                                  region.bottom() - top);
    }
    ImGui::SetCursorScreenPos({look_.px(region.x + 2), look_.px(begin)});
    ImGui::Dummy({1, look_.px(std::max(y - begin + 16, least_height))});
    if (grown != 0) ImGui::SetScrollY(ImGui::GetScrollY() + look_.px(grown));
    if (pinned) {
        look_.fill(strip, t.stop_fill);
        look_.sign({area.x + 6, strip.centre().y()}, Sign::stop, 0.9);
        look_.text("A stop, above", {area.x + 22, strip.centre().y()}, area.w - 80, Face::strong, t.stop);
        look_.text("Show it", {area.right(), strip.centre().y()}, 70, Face::body, t.accent, Align::right);
        look_.rule_across(strip.x, strip.right(), strip.bottom(), t.rule);
    }
    look_.list = outer;
    ImGui::EndChild();
}

}  // namespace archwright::editor::ui
