// The plan: one foot, or both side by side.
#include <algorithm>
#include <cmath>
#include <tuple>

#include "editor/model/session_commands.hpp"
#include "editor/ui/brush_tool.hpp"
#include "editor/ui/handle_tool.hpp"
#include "editor/ui/panel.hpp"
#include "editor/ui/screen.hpp"
#include "editor/view/plan_marks.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

constexpr double head_height = 30;
/// While something moves pictures are coarser for so long after, s.
constexpr double settle_seconds = 0.25;

std::string key_of(const std::vector<double>& values) {
    std::string key;
    for (const double v : values) key += exact(v) + " ";
    return key;
}

/// What the plan shows of the order, by what is being done.
picture::PlanParts plan_parts(const std::string& stage, const std::string& selected) {
    picture::PlanParts parts;
    const bool cast = stage == "receive" || stage == "examine";
    parts.regions = stage == "wall" || stage == "prove" || stage == "make" || selected == "region" ||
                    selected == "column";
    parts.reliefs = !cast && stage != "balance" && stage != "dress";
    parts.marks = cast || stage == "reliefs" || selected == "mark";
    return parts;
}

/// The plan as handles see it: a box of the screen, drawn from the corner of another.
HandlePane handle_pane(const Box& drawn, const Box& from, const picture::PlanFrame& frame,
                       const std::shared_ptr<const view::Sole>& sole) {
    const Vec2 corner(from.x, from.y);
    HandlePane pane;
    pane.name = "plan";
    pane.box = drawn;
    pane.pixels_per_mm = frame.axes.scale;
    pane.right = Vec3(0, frame.axes.sign, 0);
    pane.shows = [](const view::Handle& handle) { return handle.upright.isZero(); };
    pane.on_screen = [corner, axes = frame.axes](const Vec3& p) -> Vec2 {
        return corner + axes.at(p.y(), p.x());
    };
    pane.place = [corner, axes = frame.axes, sole](const Vec2& pixel, const view::Handle& handle,
                                                   const Vec3& near) -> std::optional<Vec3> {
        const Vec2 here = pixel - corner, plan(axes.up(here.y()), axes.across(here.x()));
        if (handle.on_cast) return sole ? sole->on_cast(plan, near.z()) : std::nullopt;
        return Vec3(plan.x(), plan.y(), near.z());
    };
    return pane;
}

/// The line of a drawn section, in the same plan.
HandlePane section_line_pane(const HandlePane& plan, const view::Handles& ends) {
    HandlePane pane = plan;
    pane.name = "section line";
    pane.own = &ends;
    pane.lens = {};
    return pane;
}

}  // namespace

picture::SectionCut Screen::first_cut() const {
    const model::Sections& sections = session_.sections();
    const auto line = sections.lines.find(sections.shown);
    if (line == sections.lines.end()) return {0, state_.section_x, "F", "Frontal"};
    return {2, 0.0, sections.shown, "Section", line->second};
}

std::vector<picture::SectionCut> Screen::cuts() const {
    std::vector<picture::SectionCut> all{{0, state_.section_x, "F", "Frontal"},
                                         {1, state_.section_y, "S", "Sagittal"}};
    for (const auto& [letter, line] : session_.sections().lines)
        all.push_back({2, 0.0, letter, "Section", line});
    return all;
}

void Screen::plan(const Box& region) {
    const bool job = session_.has_job();
    if (block_shown()) {
        block(region);
        return;
    }
    const bool both = job && session_.view("feet") == "both" && session_.job().left && session_.job().right;
    if (!both) {
        const Side side = job ? session_.foot() : Side::right;
        plan_pane(region, {shown_, plan_print_, plan_page_, state_.plan, true, side, "Plan"});
        return;
    }
    Box right = region;
    const Box left = right.cut_left(std::floor(0.5 * region.w));
    const bool main_left = session_.foot() == Side::left;
    const auto name_of = [](Side side) { return side == Side::left ? "Left foot" : "Right foot"; };
    const Side here = session_.foot(), there = other(here);
    PlanPane main{shown_, plan_print_, plan_page_, state_.plan, true, here, name_of(here)},
        beside{other_, other_print_, other_page_, state_.other_plan, false, there, name_of(there)};
    plan_pane(left, main_left ? main : beside);
    plan_pane(right, main_left ? beside : main);
    look_.rule_down(right.x, region.y, region.bottom(), look_.theme().frame);
}

void Screen::empty_plan(const Box& box, view::Page& page, Side side) {
    const picture::Theme& t = look_.theme();
    // grid and rulers stand already
    picture::Axes axes(side, {0, 0}, 1.55);
    axes.origin = {std::floor(box.x + 0.53 * box.w), std::floor(box.bottom() - 40)};
    const std::string key = "empty " + key_of({box.w, box.h, look_.scale, double(look_.dark), axes.sign});
    image(page.draw(
              key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale,
              [&](picture::Canvas& canvas) {
                  Box view{0, 0, box.w, box.h};
                  Box top = view.cut_top(picture::ruler_breadth),
                      left = view.cut_left(picture::ruler_breadth);
                  top.cut_left(picture::ruler_breadth);
                  picture::Axes here = axes;
                  here.origin -= Vec2(box.x, box.y);
                  picture::draw_grid(canvas, view, t, here);
                  picture::draw_rulers(canvas, top, left, t, here);
                  picture::draw_scale_bar(canvas, {view.right() - 6, view.bottom() - 4}, 124, t, here.scale);
              }),
          box, false);
    const model::FootView view = session_.has_job() ? session_.view_of(side) : model::FootView{};
    const std::string words = !session_.has_job()                 ? "The sole appears here"
                              : view.latest && view.latest->fault ? "It stops: see its checks"
                                                                  : "The cast is being read";
    const Vec2 middle = box.centre() + Vec2(9, 0);
    const double half = 0.5 * look_.measure(words, Face::body) + 10;
    look_.fill({middle.x() - half, middle.y() - 13, 2 * half, 26}, t.board, 4, 0.94);
    look_.text(words, middle, box.w - 40, Face::body, t.faint, Align::centre);
}

void Screen::plan_input(const Box& box, const Box& drawn, const picture::PlanFrame& frame, PlanPane pane) {
    const ImGuiIO& io = ImGui::GetIO();
    const Hit h = hit(pane.main ? "plan" : "other plan", drawn);
    if (!pane.main && h.clicked && pane.shown) say(std::string("foot ") + word(pane.shown->side()));
    const auto place_of = [&](const Vec2& at) {
        const Vec2 here = at - Vec2(box.x, box.y);
        return Vec2(frame.axes.up(here.y()), frame.axes.across(here.x()));
    };
    if (h.hovered) {
        const Vec2 delta(static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y));
        const bool pans = ImGui::IsMouseDragging(ImGuiMouseButton_Right, 0.0f) ||
                          ImGui::IsMouseDragging(ImGuiMouseButton_Middle, 0.0f);
        Flat& flat = pane.flat;
        if (pans) flat.pan += delta / look_.scale;
        const bool widens = state_.tool == Tool::brush && io.KeyShift;
        if (io.MouseWheel != 0 && widens) BrushTool(*this).widen(static_cast<double>(io.MouseWheel));
        if (io.MouseWheel != 0 && !widens) {
            const double before = flat.zoom;
            flat.zoom = std::clamp(before * std::pow(1.2, static_cast<double>(io.MouseWheel)), 0.3, 20.0);
            // the place under the cursor stays there
            const double grown = flat.zoom / before;
            const Vec2 here = state_.mouse - Vec2(box.x, box.y);
            flat.pan = (1.0 - grown) * (here - frame.view.centre()) + grown * flat.pan;
        }
        if (pans || io.MouseWheel != 0) state_.moved_until = ImGui::GetTime() + settle_seconds;
    }
    if (!pane.main || !pane.shown) return;
    const Vec2 p = place_of(state_.mouse);
    if (h.hovered) {
        state_.hovered = "plan";
        state_.cursor = pane.shown->over(p);
    }
    if (state_.tool == Tool::measure) {
        if (h.activated && state_.cursor)
            measure(*state_.cursor);
        else if (h.activated)
            state_.told = "Beside the sole there is nothing to measure.", state_.told_fault = false;
    } else if (state_.tool == Tool::section) {
        if (h.activated) state_.section_from = p;
        if (h.released && state_.section_from) {
            const Vec2 from = *state_.section_from;
            state_.section_from.reset();
            state_.tool = Tool::none;
            std::string letter = "A";
            while (letter != "E" && session_.sections().lines.count(letter) != 0) ++letter[0];
            say("section " + letter + " [[" + rounded(from.x(), 1) + ", " + rounded(from.y(), 1) + "], [" +
                rounded(p.x(), 1) + ", " + rounded(p.y(), 1) + "]]");
        }
    } else if (state_.tool == Tool::brush) {
        BrushTool(*this).stroke("plan", h, p);
    } else {
        const HandlePane handles = handle_pane(drawn, box, frame, HandleTool(*this).sole());
        const HandlePane lines = section_line_pane(handles, HandleTool(*this).section_line());
        if (HandleTool(*this).drag(lines, h)) return;
        if (HandleTool(*this).drag(handles, h)) return;
        if (h.held) {
            // the sections follow the cursor
            state_.section_x = std::round(p.x());
            state_.section_y = std::round(p.y());
        }
        HandleTool(*this).click(handles, h);
    }
}

void Screen::plan_pane(const Box& region, PlanPane pane) {
    Box box = region;
    const Box strip = box.cut_top(head_height);
    const picture::Theme& t = look_.theme();
    look_.fill(box, t.board);
    const std::shared_ptr<const view::Shown>& shown = pane.shown;
    if (!shown) {
        empty_plan(box, pane.page, pane.side);
        view_head(strip, "", pane.name, "");
        return;
    }
    const bool below = session_.view("plan") == "below";
    // the choice of the map lies over the plan: it is asked first and drawn last
    const bool choice = pane.main && shown->subject().has_cast();
    const double choice_width = 96;
    const Box choose{strip.right() - 10 - choice_width, strip.y + 4, choice_width, 22};
    if (choice && map_list_open()) ask_map_list(choose);

    const picture::Subject& subject = shown->subject();
    picture::PlanFrame frame = picture::plan_frame(Box{0, 0, box.w, box.h}, subject, below);
    const Box drawn{box.x + frame.view.x, box.y + frame.view.y, frame.view.w, frame.view.h};
    const auto moved = [&] {
        // nearer about the middle of the view, then moved by hand
        picture::PlanFrame now = frame;
        const Vec2 middle = frame.view.centre();
        now.axes.scale *= pane.flat.zoom;
        now.axes.origin = middle + pane.flat.zoom * (frame.axes.origin - middle) + pane.flat.pan;
        return now;
    };
    plan_input(box, drawn, moved(), pane);
    frame = moved();
    if (pane.main)
        for (const auto& [name, medial, forward] : {std::tuple{"plan origin", 0.0, 0.0},
                                                    {"plan forward", 0.0, 100.0},
                                                    {"plan medial", 100.0, 0.0}}) {
            const Vec2 at = Vec2(box.x, box.y) + frame.axes.at(medial, forward);
            places_.emplace_back(name, Box{at.x(), at.y(), 0, 0});
        }

    view::PlanSetting setting;
    setting.map = map_of(*shown);
    setting.look = map_look(*shown);
    setting.below = below;
    setting.dark = look_.dark;
    setting.moving = restless();
    setting.faded = superseded();
    setting.width = static_cast<int>(std::lround(drawn.w * look_.scale));
    setting.height = static_cast<int>(std::lround(drawn.h * look_.scale));
    setting.scale = look_.scale;
    setting.origin = look_.scale * (frame.axes.origin - Vec2(frame.view.x, frame.view.y));
    setting.pixels_per_mm = look_.scale * frame.axes.scale;

    // the grid lies under the print, everything else over it
    look_.clip(drawn);
    const auto place_of = [&](const Vec2& at) {
        return Vec2(frame.axes.up(at.y() - box.y), frame.axes.across(at.x() - box.x));
    };
    for (const double step : {10.0, 50.0}) {
        const Colour colour = step > 20 ? t.grid_50 : t.grid_10;
        const double low = place_of({drawn.x, drawn.bottom()}).x(), high = place_of({drawn.x, drawn.y}).x();
        for (double k = std::ceil(low / step); k * step <= high; k += 1)
            look_.rule_across(drawn.x, drawn.right(), box.y + frame.axes.at(0, k * step).y(), colour);
        const double a = place_of({drawn.x, drawn.y}).y(), b = place_of({drawn.right(), drawn.y}).y();
        for (double k = std::ceil(std::min(a, b) / step); k * step <= std::max(a, b); k += 1)
            look_.rule_down(box.x + frame.axes.at(k * step, 0).x(), drawn.y, drawn.bottom(), colour);
    }
    look_.unclip();
    image(pane.print.draw(setting), drawn, true);
    std::vector<picture::SectionCut> marks;
    if (pane.main) marks = cuts();
    const bool before = shown != latest_ && pane.main && latest_;
    // a step of the history under the cursor: its lines over those of now
    const std::size_t step = pane.main ? state_.step_hovered.value_or(0) : 0;
    const auto past = step > 0 ? outlines_.find(step) : outlines_.end();
    const picture::PlanParts of_stage = plan_parts(session_.stage(), session_.selection().what);
    std::string key =
        key_of({static_cast<double>(shown->number()), box.w, box.h, look_.scale, double(look_.dark),
                frame.axes.scale, frame.axes.origin.x(), frame.axes.origin.y(), frame.axes.sign,
                double(before), past == outlines_.end() ? 0.0 : static_cast<double>(past->second.edition),
                double(of_stage.regions), double(of_stage.reliefs), double(of_stage.marks),
                pane.main ? static_cast<double>(compared_outline_of_) : 0.0});
    for (const picture::SectionCut& cut : marks) {
        key += cut.letter + key_of({cut.at});
        for (const Vec2& p : cut.line) key += key_of({p.x(), p.y()});
    }
    // names give way to the handles of what is selected; under a hand they stay where they are
    std::vector<Box>& kept_off = state_.handles.kept_off;
    if (pane.main && !state_.handles.grasp) {
        kept_off.clear();
        for (const view::Handle& handle : HandleTool(*this).handles().list) {
            if (!handle.upright.isZero() || handle.on_cast) continue;
            constexpr double reach = 8;
            const Vec2 at = frame.axes.at(handle.at.y(), handle.at.x());
            kept_off.push_back({at.x() - reach, at.y() - reach, 2 * reach, 2 * reach});
        }
    }
    if (pane.main)
        for (const Box& handle : kept_off) key += key_of({handle.x, handle.y});
    image(pane.page.draw(key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale,
                         [&](picture::Canvas& canvas) {
                             view::draw_insole(canvas, frame, t, *shown);
                             if (before) view::draw_other_outline(canvas, frame, t, *latest_);
                             picture::PlanParts parts = of_stage;
                             parts.over = [&](picture::Canvas& over) {
                                 // words over lines: what is past the insole stays to be read
                                 if (past != outlines_.end())
                                     view::draw_step_outline(over, frame, t, past->second);
                                 else if (pane.main && compared_outline_of_ != 0)
                                     view::draw_step_outline(over, frame, t, compared_outline_);
                                 std::vector<Box> taken = view::draw_past_insole(over, frame, t, *shown);
                                 if (pane.main) taken.insert(taken.end(), kept_off.begin(), kept_off.end());
                                 return taken;
                             };
                             picture::draw_plan_lines(canvas, frame, t, subject, marks, parts);
                         }),
          box, false);
    if (pane.main) {
        plan_overlay(box, drawn, frame);
        look_.clip(drawn);
        HandlePane handles = handle_pane(drawn, box, frame, HandleTool(*this).sole());
        handles.lens = [&](const Box& lens, const Vec3& at, double times) {
            view::PlanSetting near = setting;
            near.width = near.height = static_cast<int>(std::lround(lens.w * look_.scale));
            near.pixels_per_mm = times * setting.pixels_per_mm;
            near.origin = 0.5 * Vec2(near.width, near.height) -
                          near.pixels_per_mm * Vec2(frame.axes.sign * at.y(), -at.x());
            image(lens_print_.draw(near), lens, true);
        };
        HandleTool(*this).overlay(handles);
        HandleTool(*this).overlay(section_line_pane(handles, HandleTool(*this).section_line()));
        look_.unclip();
    }

    const std::string from = std::string("from ") + (below ? "below" : "above");
    std::string detail =
        std::string(pane.name) == "Plan" ? std::string(word(shown->side())) + " foot " + from : from;
    if (pane.main && state_.tool == Tool::measure) detail = "measuring: press a place; Esc ends";
    if (pane.main && state_.tool == Tool::brush) detail = BrushTool(*this).words();
    if (before) detail = "before the last step";
    if (pane.main && compared_outline_of_ != 0)
        detail = session_.compared_with().what == model::CompareWith::What::proposal
                     ? "dashed: as proposed"
                     : "dashed: " + Panel::compared_words(*this);
    if (step > 0)
        detail =
            past == outlines_.end() ? "that step was not built yet" : "dashed: step " + std::to_string(step);
    view_head(strip, "", pane.name, detail, choice ? choice_width + 12 : 0);
    if (choice) map_choice(choose);
}

void Screen::plan_overlay(const Box& box, const Box& drawn, const picture::PlanFrame& frame) {
    const picture::Theme& t = look_.theme();
    // the selected relief or pad: accent core, plain casing
    look_.clip(drawn);
    const auto on_screen = [&](const Vec2& p) -> Vec2 {
        return Vec2(box.x, box.y) + frame.axes.at(p.y(), p.x());
    };
    HandleTool(*this).draw_order_where_it_stops(on_screen);
    const auto& selected = session_.selection();
    for (const picture::PlanOutline& outline : shown_->subject().input().outlines) {
        const bool chosen =
            (selected.what == "feature" && !outline.feature.empty() && outline.feature == selected.name);
        if (!chosen) continue;
        std::vector<Vec2> ring;
        for (const Vec2& p : outline.points) ring.push_back(on_screen(p));
        look_.polyline(ring, true, look_.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF), 4.4, 0.85);
        look_.polyline(ring, true, look_.dark ? Colour::hex(0xA9D6F6) : t.accent, 2.0);
    }
    // the selected mark or landmark
    const auto chosen_ring = [&](const Vec2& at, double radius) {
        look_.ring(at, radius, look_.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF), 4.4, 0.85);
        look_.ring(at, radius, look_.dark ? Colour::hex(0xA9D6F6) : t.accent, 2.0);
    };
    for (const picture::PlanMark& mark : shown_->subject().input().marks) {
        if (selected.what != "mark" || mark.name != selected.name) continue;
        std::vector<Vec2> line;
        for (const Vec2& p : mark.points) line.push_back(on_screen(p));
        if (line.size() == 1)
            chosen_ring(line.front(), std::max(9.0, 0.5 * mark.across_mm * frame.axes.scale + 4));
        if (line.size() < 2) continue;
        look_.polyline(line, mark.area, look_.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF), 4.4,
                       0.85);
        look_.polyline(line, mark.area, look_.dark ? Colour::hex(0xA9D6F6) : t.accent, 2.0);
    }
    Panel::findings_on_plan(*this, on_screen);
    // the cursor: an open cross
    if (state_.cursor) {
        const Vec2 c = on_screen(state_.cursor->at.head<2>());
        for (const bool core : {false, true})
            for (const auto& [dx, dy] :
                 {std::pair(1, 0), std::pair(-1, 0), std::pair(0, 1), std::pair(0, -1)})
                look_.line({c.x() + 5 * dx, c.y() + 5 * dy}, {c.x() + 13 * dx, c.y() + 13 * dy},
                           core ? Colour::hex(0xFFFFFF) : Colour::hex(0x10181E), core ? 1.5 : 3.6,
                           core ? 1.0 : 0.85);
    }
    if (state_.section_from) {
        const Vec2 from = on_screen(*state_.section_from);
        look_.dashed({from, state_.mouse}, false, t.accent, 1.4, {12, 3, 2, 3});
        words_beside(drawn, state_.mouse, {figure((state_.mouse - from).norm() / frame.axes.scale, 1, "mm")});
    }
    measure_overlay(drawn, [&](const Vec3& p) { return std::optional<Vec2>(on_screen(p.head<2>())); });
    const Vec2 under(frame.axes.up(state_.mouse.y() - box.y), frame.axes.across(state_.mouse.x() - box.x));
    BrushTool(*this).overlay(drawn, under, on_screen);
    look_.unclip();
    // a mark at the cursor on both rulers
    if (state_.cursor) {
        const Vec2 c = on_screen(state_.cursor->at.head<2>());
        const double x = std::clamp(c.x(), drawn.x, drawn.right()),
                     y = std::clamp(c.y(), drawn.y, drawn.bottom());
        const float s = static_cast<float>(look_.scale);
        const auto triangle = [&](const Vec2& tip, const Vec2& along) {
            const Vec2 square(-along.y(), along.x());
            const Vec2 a = tip - 7 * along + 4 * square, b = tip - 7 * along - 4 * square;
            look_.list->AddTriangleFilled({static_cast<float>(tip.x()) * s, static_cast<float>(tip.y()) * s},
                                          {static_cast<float>(a.x()) * s, static_cast<float>(a.y()) * s},
                                          {static_cast<float>(b.x()) * s, static_cast<float>(b.y()) * s},
                                          look_.ink(t.accent));
        };
        triangle({x, drawn.y}, {0, 1});
        triangle({drawn.x, y}, {1, 0});
    }
}

}  // namespace archwright::editor::ui
