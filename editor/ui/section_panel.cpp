// Sections: one across the foot or along a drawn line, and the sagittal one, in true scale.
#include <algorithm>
#include <cmath>

#include "editor/ui/handle_tool.hpp"
#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

constexpr double section_head_height = 30;
/// How far from a curve the cursor still means it, logical pixels.
constexpr double pick_radius = 24;

}  // namespace

void Screen::section(const Box& region, const picture::SectionCut& cut, view::Page& page, Flat& flat) {
    Box box = region;
    const Box strip = box.cut_top(section_head_height);
    const picture::Theme& t = look_.theme();
    look_.fill(box, t.board);
    std::string detail;
    if (shown_) {
        detail = cut.axis == 0   ? "x " + figure(cut.at, 0, "mm")
                 : cut.axis == 1 ? "y " + figure(cut.at, 0, "mm")
                                 : "";
        if (superseded())
            detail += (detail.empty() ? "L" : ", l") + sound_words().substr(1);
        else
            detail += cut.axis == 0   ? ", seen from behind"
                      : cut.axis == 1 ? ", seen from medial"
                                      : "along the line drawn in the plan";
        const ImGuiIO& io = ImGui::GetIO();
        const Hit h = hit("section " + cut.letter, box);
        const Box all{0, 0, box.w, box.h};
        const picture::Subject& subject = shown_->subject();
        const auto frame_now = [&] {
            picture::SectionFrame frame =
                picture::section_frame(all, subject, cut, picture::section_scale(all, subject, {cut}));
            const Vec2 middle = all.centre();
            frame.axes.scale *= flat.zoom;
            frame.axes.origin = middle + flat.zoom * (frame.axes.origin - middle) + flat.pan;
            frame.ground_y = std::floor(frame.axes.at(0, subject.ground()).y() + 1e-6);
            return frame;
        };
        if (h.hovered) {
            state_.hovered = cut.letter;
            if (ImGui::IsMouseDragging(ImGuiMouseButton_Right, 0.0f) ||
                ImGui::IsMouseDragging(ImGuiMouseButton_Middle, 0.0f))
                flat.pan += Vec2(static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y)) /
                            look_.scale;
            if (io.MouseWheel != 0) {
                const double before = flat.zoom;
                flat.zoom = std::clamp(before * std::pow(1.2, static_cast<double>(io.MouseWheel)), 0.5, 30.0);
                const double grown = flat.zoom / before;
                const Vec2 here = state_.mouse - Vec2(box.x, box.y);
                flat.pan = (1.0 - grown) * (here - all.centre()) + grown * flat.pan;
            }
        }
        const picture::SectionFrame frame = frame_now();
        if (h.hovered) {
            const Vec2 here = state_.mouse - Vec2(box.x, box.y);
            const Vec3 at = cut.place(frame.axes.across(here.x()), frame.axes.up(here.y()));
            state_.cursor = shown_->near(at, pick_radius / frame.axes.scale);
            if (h.activated && state_.tool == Tool::measure && state_.cursor) measure(*state_.cursor);
        }
        // sizes that lie in the plane
        HandlePane handles;
        handles.name = "section " + cut.letter;
        handles.box = box;
        handles.pixels_per_mm = frame.axes.scale;
        handles.shows = [&](const view::Handle& handle) {
            constexpr double through_mm = 2.0;
            return handle.glyph == view::Handle::Glyph::size && !handle.part.starts_with("fade") &&
                   std::abs(cut.off(handle.upright.isZero() ? handle.at : handle.stem)) < through_mm &&
                   session_.selection().what == "feature";
        };
        if (const view::Handles* own = HandleTool(*this).of_section(cut)) {
            handles.own = own;
            handles.named = true;
            handles.title = session_.selection().name == "rearfoot" ? "Rearfoot post" : "Forefoot post";
            handles.shows = {};
        }
        handles.on_screen = [&](const Vec3& p) -> Vec2 {
            return Vec2(box.x, box.y) + frame.axes.at(cut.across(p), p.z());
        };
        handles.place = [&](const Vec2& pixel, const view::Handle& handle,
                            const Vec3&) -> std::optional<Vec3> {
            const Vec2 here = pixel - Vec2(box.x, box.y);
            const Vec2 drawn(frame.axes.across(here.x()), frame.axes.up(here.y()));
            if (handle.upright.isZero()) return cut.place(drawn.x(), drawn.y());
            // on its own way, as it is drawn
            const Vec2 foot_of(cut.across(handle.stem), handle.stem.z());
            const Vec2 way =
                Vec2(cut.across(handle.stem + handle.upright), (handle.stem + handle.upright).z()) - foot_of;
            if (way.norm() < 0.1) return std::nullopt;
            return handle.stem + handle.upright * ((drawn - foot_of).dot(way) / way.squaredNorm());
        };
        if (state_.tool == Tool::none) HandleTool(*this).drag(handles, h);
        std::string key = cut.letter;
        for (const double v :
             {static_cast<double>(shown_->number()), box.w, box.h, look_.scale, double(look_.dark), cut.at,
              frame.axes.scale, frame.axes.origin.x(), frame.axes.origin.y()})
            key += " " + exact(v);
        for (const Vec2& p : cut.line) key += " " + exact(p.x()) + " " + exact(p.y());
        const view::Id drawing = page.draw(
            key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale,
            [&](picture::Canvas& canvas) { picture::draw_section(canvas, all, t, subject, cut, frame); });
        image(drawing, box, false);
        // of an older design: no figure in full ink
        constexpr double being_built = 0.45, left_behind = 0.62;
        if (stale()) look_.fill(box, t.board, 0, superseded() ? left_behind : being_built);
        section_overlay(box, cut, frame);
        look_.clip(box);
        HandleTool(*this).overlay(handles);
        look_.unclip();
    } else if (session_.has_job()) {
        look_.text("No shape yet", box.centre(), box.w - 20, Face::body, t.faint, Align::centre);
    }
    // which of the sections stands here
    const auto& lines = session_.sections().lines;
    std::vector<std::string> letters{"F"};
    for (const auto& [letter, line] : lines) letters.push_back(letter);
    const bool choice = cut.axis != 1 && shown_ && !lines.empty();
    const double used = choice ? 26.0 * static_cast<double>(letters.size()) : 0.0;
    view_head(strip, cut.letter, cut.title, detail, choice ? used + 10 : 0.0);
    if (!choice) return;
    const auto now = std::find(letters.begin(), letters.end(), cut.letter);
    const int next = segments("section", {strip.right() - 10 - used, strip.y + 4, used, 22}, letters,
                              static_cast<int>(now - letters.begin()));
    if (next >= 0) say("section " + letters[static_cast<std::size_t>(next)]);
}

void Screen::section_overlay(const Box& box, const picture::SectionCut& cut,
                             const picture::SectionFrame& frame) {
    const picture::Theme& t = look_.theme();
    const auto on_screen = [&](const Vec3& p) -> Vec2 {
        return Vec2(box.x, box.y) + frame.axes.at(cut.across(p), p.z());
    };
    look_.clip(box);
    // the side stands in every view
    const Box letter{box.x + 8, box.y + 30, 22, 22};
    look_.fill(letter, t.board, 4, 0.92);
    look_.frame(letter, t.ink, 4, 1.4);
    look_.text(shown_->side() == Side::left ? "L" : "R", letter.centre(), 20, Face::strong, t.ink,
               Align::centre);
    if (state_.cursor) {
        // the cursor's place: a line down the view, a ring where it lies in the plane
        const Vec2 p = on_screen(state_.cursor->at);
        if (p.x() > box.x && p.x() < box.right()) {
            look_.dashed({{p.x(), box.y + 7}, {p.x(), box.bottom() - 28}}, false, t.accent, 1.2, {3, 3});
            const auto s = static_cast<float>(look_.scale);
            const auto at = [&](double dx, double dy) {
                return ImVec2{static_cast<float>(p.x() + dx) * s, static_cast<float>(box.y + dy) * s};
            };
            look_.list->AddTriangleFilled(at(-4, 0), at(4, 0), at(0, 7), look_.ink(t.accent));
        }
        if (std::abs(cut.off(state_.cursor->at)) < 0.6) {
            look_.ring(p, 5.0, Colour::hex(0x10181E), 3.2, 0.85);
            look_.ring(p, 5.0, Colour::hex(0xFFFFFF), 1.5);
        }
    }
    if (state_.tool == Tool::measure) {
        measure_overlay(box, [&](const Vec3& p) { return std::optional<Vec2>(on_screen(p)); });
    } else if (state_.hovered == cut.letter && state_.cursor && !state_.handles.grasp) {
        const view::Place& c = *state_.cursor;
        std::vector<std::string> lines{"height " + figure(c.height_mm, 1, "mm")};
        if (c.wall_mm) {
            const picture::WallFigure wall = shown_->subject().wall_at(c.at);
            lines.push_back("wall " + figure(wall.wall_mm, 1, "mm"));
            // where the cut is oblique the drawing shows less than the wall
            const Vec2 across = on_screen(wall.foot_side) - on_screen(wall.underside);
            const double drawn = across.norm() / frame.axes.scale;
            if (wall.wall_mm - drawn > 0.05) lines.push_back("drawn " + figure(drawn, 1, "mm"));
        }
        words_beside(box, state_.mouse, lines);
    }
    look_.unclip();
}

}  // namespace archwright::editor::ui
