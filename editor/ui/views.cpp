// The four views: plan, model and the two sections.
#include <algorithm>
#include <cmath>

#include "editor/model/session_commands.hpp"
#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"
#include "engine/picture/board.hpp"

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

}  // namespace

void Screen::plan(const Box& region) {
    Box box = region;
    const Box strip = box.cut_top(head_height);
    const picture::Theme& t = look_.theme();
    const ImGuiIO& io = ImGui::GetIO();
    const std::string map_word = session_.has_job() ? session_.view("map") : "none";
    look_.fill(box, t.board);

    if (!shown_) {
        // grid and rulers stand already
        picture::Axes axes(session_.has_job() ? session_.foot() : Side::right, {0, 0}, 1.55);
        axes.origin = {std::floor(box.x + 0.53 * box.w), std::floor(box.bottom() - 40)};
        const std::string key = "empty " + key_of({box.w, box.h, look_.scale, double(look_.dark)});
        image(plan_page_.draw(key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale,
                              [&](picture::Canvas& canvas) {
                                  Box view{0, 0, box.w, box.h};
                                  Box top = view.cut_top(picture::ruler_breadth),
                                      left = view.cut_left(picture::ruler_breadth);
                                  top.cut_left(picture::ruler_breadth);
                                  picture::Axes here = axes;
                                  here.origin -= Vec2(box.x, box.y);
                                  picture::draw_grid(canvas, view, t, here);
                                  picture::draw_rulers(canvas, top, left, t, here);
                                  picture::draw_scale_bar(canvas, {view.right() - 6, view.bottom() - 4}, 124,
                                                          t, here.scale);
                              }),
              box, false);
        look_.text(session_.has_job() ? "The cast is being read" : "The sole appears here",
                   box.centre() + Vec2(9, 0), box.w - 40, Face::body, t.faint, Align::centre);
        view_head(strip, "", "Plan", "");
        return;
    }
    const picture::Subject& subject = shown_->subject();
    picture::PlanFrame frame = picture::plan_frame(Box{0, 0, box.w, box.h}, subject);
    // nearer about the middle of the view, then moved by hand
    const Vec2 middle = frame.view.centre();
    frame.axes.scale *= state_.plan_zoom;
    frame.axes.origin = middle + state_.plan_zoom * (frame.axes.origin - middle) + state_.plan_pan;

    const Box drawn{box.x + frame.view.x, box.y + frame.view.y, frame.view.w, frame.view.h};
    const Hit h = hit("plan", drawn);
    const bool right_drag = ImGui::IsMouseDragging(ImGuiMouseButton_Right, 0.0f) ||
                            ImGui::IsMouseDragging(ImGuiMouseButton_Middle, 0.0f);
    const Vec2 mouse(static_cast<double>(io.MousePos.x) / look_.scale,
                     static_cast<double>(io.MousePos.y) / look_.scale);
    if (h.hovered && right_drag) {
        state_.plan_pan +=
            Vec2(static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y)) / look_.scale;
        state_.moved_until = ImGui::GetTime() + settle_seconds;
    }
    if (h.hovered && io.MouseWheel != 0) {
        const double before = state_.plan_zoom;
        state_.plan_zoom = std::clamp(before * std::pow(1.2, static_cast<double>(io.MouseWheel)), 0.3, 20.0);
        // the place under the cursor stays there
        const double grown = state_.plan_zoom / before;
        const Vec2 here = mouse - Vec2(box.x, box.y);
        state_.plan_pan = (1.0 - grown) * (here - middle) + grown * state_.plan_pan;
        state_.moved_until = ImGui::GetTime() + settle_seconds;
    }
    const auto plan_place = [&](const Vec2& at) {
        const Vec2 here = at - Vec2(box.x, box.y);
        return Vec2(frame.axes.up(here.y()), frame.axes.across(here.x()));
    };
    if (h.hovered) state_.cursor = shown_->over(plan_place(mouse));
    if (h.held) {
        // the sections follow the cursor
        const Vec2 p = plan_place(mouse);
        state_.section_x = std::round(p.x());
        state_.section_y = std::round(p.y());
    }

    view::PlanSetting setting;
    setting.map = view::map_of(map_word);
    setting.dark = look_.dark;
    setting.moving = restless();
    setting.faded = superseded();
    setting.width = static_cast<int>(std::lround(drawn.w * look_.scale));
    setting.height = static_cast<int>(std::lround(drawn.h * look_.scale));
    setting.scale = look_.scale;
    setting.origin = look_.scale * (frame.axes.origin - Vec2(frame.view.x, frame.view.y));
    setting.pixels_per_mm = look_.scale * frame.axes.scale;

    const std::vector<picture::SectionCut> cuts{{0, state_.section_x, "F", "Frontal"},
                                                {1, state_.section_y, "S", "Sagittal"}};
    const std::string key = key_of({static_cast<double>(shown_->number()), box.w, box.h, look_.scale,
                                    double(look_.dark), frame.axes.scale, frame.axes.origin.x(),
                                    frame.axes.origin.y(), state_.section_x, state_.section_y});
    // the grid lies under the print, everything else over it
    look_.clip(drawn);
    for (const double step : {10.0, 50.0}) {
        const Colour colour = step > 20 ? t.grid_50 : t.grid_10;
        const double low = plan_place({drawn.x, drawn.bottom()}).x(),
                     high = plan_place({drawn.x, drawn.y}).x();
        for (double k = std::ceil(low / step); k * step <= high; k += 1)
            look_.rule_across(drawn.x, drawn.right(), box.y + frame.axes.at(0, k * step).y(), colour);
        const double a = plan_place({drawn.x, drawn.y}).y(), b = plan_place({drawn.right(), drawn.y}).y();
        for (double k = std::ceil(std::min(a, b) / step); k * step <= std::max(a, b); k += 1)
            look_.rule_down(box.x + frame.axes.at(k * step, 0).x(), drawn.y, drawn.bottom(), colour);
    }
    look_.unclip();
    image(plan_print_.draw(setting), drawn, true);
    image(plan_page_.draw(
              key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale,
              [&](picture::Canvas& canvas) { picture::draw_plan_lines(canvas, frame, t, subject, cuts); }),
          box, false);

    // the selected relief or pad: accent core, plain casing
    look_.clip(drawn);
    const auto on_screen = [&](const Vec2& p) -> Vec2 {
        return Vec2(box.x, box.y) + frame.axes.at(p.y(), p.x());
    };
    const auto& selected = session_.selection();
    for (const picture::PlanOutline& outline : subject.input().outlines) {
        const bool chosen =
            (selected.what == "feature" && !outline.feature.empty() && outline.feature == selected.name) ||
            (selected.what == "region" && outline.kind == picture::PlanOutline::Kind::wall_region &&
             outline.name == selected.name);
        if (!chosen) continue;
        std::vector<Vec2> ring;
        for (const Vec2& p : outline.points) ring.push_back(on_screen(p));
        look_.polyline(ring, true, look_.dark ? Colour::hex(0x0A0D10) : Colour::hex(0xFFFFFF), 4.4, 0.85);
        look_.polyline(ring, true, look_.dark ? Colour::hex(0xA9D6F6) : t.accent, 2.0);
    }
    // the cursor: an open cross
    if (state_.cursor && !h.held) {
        const Vec2 c = on_screen(state_.cursor->at.head<2>());
        for (const bool core : {false, true})
            for (const auto& [dx, dy] :
                 {std::pair(1, 0), std::pair(-1, 0), std::pair(0, 1), std::pair(0, -1)})
                look_.line({c.x() + 5 * dx, c.y() + 5 * dy}, {c.x() + 13 * dx, c.y() + 13 * dy},
                           core ? Colour::hex(0xFFFFFF) : Colour::hex(0x10181E), core ? 1.5 : 3.6,
                           core ? 1.0 : 0.85);
    }
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

    const std::vector<std::string> words{"none", "wall", "height", "to cast"};
    const double w = look_.narrow ? 0 : 196;
    view_head(strip, "", "Plan", std::string(word(shown_->side())) + " foot from above", w + 12);
    if (w > 0) {
        const int now = map_word == "wall" ? 1 : map_word == "height" ? 2 : map_word == "deviation" ? 3 : 0;
        const int next = segments("map", {strip.right() - 12 - w, strip.y + 4, w, 22}, words, now);
        if (next >= 0)
            say("view map " + std::vector<std::string>{"none", "wall", "height",
                                                       "deviation"}[static_cast<std::size_t>(next)]);
    }
}

void Screen::model_panel(const Box& region) {
    Box box = region;
    const Box strip = box.cut_top(head_height);
    const picture::Theme& t = look_.theme();
    const ImGuiIO& io = ImGui::GetIO();
    look_.fill(box, t.board);
    if (!session_.has_job()) {
        first_screen(box);
        view_head(strip, "", "Model", "");
        return;
    }
    view::ModelSetting setting;
    setting.cast = view::cast_mode(session_.view("cast"));
    setting.map = view::map_of(session_.view("map"));
    setting.dark = look_.dark;
    setting.faded = superseded();
    setting.width = static_cast<int>(std::lround(box.w * look_.scale));
    setting.height = static_cast<int>(std::lround(box.h * look_.scale));
    setting.scale = look_.scale;
    setting.cuts = {{0, state_.section_x, "F", ""}, {1, state_.section_y, "S", ""}};

    const Hit h = hit("model", box);
    const Vec2 delta(static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y));
    const Vec2 mouse(static_cast<double>(io.MousePos.x), static_cast<double>(io.MousePos.y));
    const Vec2 corner(static_cast<double>(look_.px(box.x)), static_cast<double>(look_.px(box.y)));
    bool moved = false;
    if (h.hovered && (ImGui::IsMouseDragging(ImGuiMouseButton_Right, 0.0f) || h.held) && delta.norm() > 0) {
        state_.eye.drag(delta / look_.scale);
        moved = true;
    }
    if (h.hovered && ImGui::IsMouseDragging(ImGuiMouseButton_Middle, 0.0f) && delta.norm() > 0) {
        state_.eye.pan += delta;
        moved = true;
    }
    if (h.hovered && io.MouseWheel != 0) {
        state_.eye.nearer(std::pow(1.2, static_cast<double>(io.MouseWheel)), mouse - corner,
                          Vec2(setting.width, setting.height));
        moved = true;
    }
    if (moved) state_.moved_until = ImGui::GetTime() + settle_seconds;
    setting.eye = state_.eye;
    setting.moving = restless();
    if (shown_) {
        image(model_view_.draw(setting), box, true);
        if (h.hovered && !h.held && shown_) {
            Vec3 from, way;
            model_view_.camera().ray(mouse - corner, 1000.0, from, way);
            state_.cursor = shown_->meet(from, way, setting.cast == view::CastMode::on);
        }
        // side words on the ground, the cursor's ring
        look_.clip(box);
        const picture::Camera& camera = model_view_.camera();
        const auto on_screen = [&](const Vec3& p) {
            return Vec2((corner + camera.project(p).head<2>()) / look_.scale);
        };
        const Box3& extent = shown_->box();
        const Vec3 middle = extent.centre();
        const std::pair<const char*, Vec3> places[] = {
            {"toes", {extent.high.x() + 16, middle.y(), shown_->ground()}},
            {"heel", {extent.low.x() - 16, middle.y(), shown_->ground()}},
            {"medial", {middle.x(), extent.high.y() + 18, shown_->ground()}},
            {"lateral", {middle.x(), extent.low.y() - 18, shown_->ground()}}};
        for (const auto& [name, place] : places) {
            const Vec2 p = on_screen(place);
            const double half = 0.5 * look_.measure(name, Face::small) + 4;
            const Box plate{p.x() - half, p.y() - 9, 2 * half, 18};
            if (!box.inset(4).contains({plate.x, plate.y}) ||
                !box.inset(4).contains({plate.right(), plate.bottom()}))
                continue;
            // what stands before it hides it
            Vec3 from, way;
            camera.ray(Vec2(p * look_.scale - corner), 1000.0, from, way);
            const auto first = shown_->meet(from, way, setting.cast == view::CastMode::on);
            if (first) continue;
            look_.fill(plate, t.board, 3, 0.7);
            look_.text(name, p, 2 * half, Face::small, t.soft, Align::centre);
        }
        if (state_.cursor) {
            const Vec2 p = on_screen(state_.cursor->at);
            look_.ring(p, 5.5, Colour::hex(0x10181E), 3.4, 0.85);
            look_.ring(p, 5.5, Colour::hex(0xFFFFFF), 1.6);
        }
        // the axes
        const Vec2 foot_of_axes(box.x + 44, box.bottom() - 44);
        for (const auto& [way, name] :
             {std::pair(Vec3(Vec3::UnitX()), "x"), std::pair(Vec3(Vec3::UnitY()), "y"),
              std::pair(Vec3(Vec3::UnitZ()), "z")}) {
            const Vec3 turned = camera.turned(way);
            const Vec2 page(turned.dot(camera.right()), -turned.dot(camera.up()));
            look_.line(foot_of_axes, foot_of_axes + 24 * page, t.soft, 1.5);
            if (page.norm() > 0.2)
                look_.text(name, foot_of_axes + 33 * page, 20, Face::small_strong, t.ink, Align::centre);
        }
        // the scale of the map
        if (shown_->subject().has_shell() && setting.map != view::Map::none) {
            const picture::MapScale scale = view::scale_of(*shown_, setting.map);
            const double length = look_.narrow ? 120 : 176, wide = 96, high = length + 44;
            const Box plate{box.right() - wide - 12, box.y + 12, wide, high};
            const std::string key = "legend " + std::string(scale.title) +
                                    key_of({scale.low, scale.high, look_.scale, double(look_.dark), length});
            image(legend_page_.draw(key, static_cast<int>(wide), static_cast<int>(high), look_.scale,
                                    [&](picture::Canvas& canvas) {
                                        canvas.fill(Box{0, 0, wide, high}, t.board, 0.88, 4);
                                        picture::draw_legend(canvas, {14, 4}, length, t, scale);
                                    }),
                  plate, false);
        }
        look_.unclip();
        if (setting.faded) {
            const std::string tag = "Last sound shape";
            const double tw = look_.measure(tag, Face::small_strong) + 16;
            look_.fill({box.x + 12, box.y + 12, tw, 22}, t.stop_fill, 4);
            look_.text(tag, {box.x + 20, box.y + 23}, tw, Face::small_strong, t.stop);
        }
    }
    // what is under way, once it takes its time
    const model::Activity activity = session_.activity();
    const std::string busy = session_.busy_with();
    if ((activity.busy && activity.seconds > 0.4) || !busy.empty()) {
        const double cw = std::min(320.0, box.w - 24);
        const Box chip{box.x + 12, box.y + 12, cw, 46};
        look_.fill(chip, t.panel, 4, 0.96);
        look_.frame(chip, t.frame, 4);
        look_.sign({chip.x + 18, chip.y + 17}, Sign::working);
        const std::string percent = rounded(100 * activity.fraction, 0) + " %";
        const double cap = look_.key_cap(chip.right() - 10, chip.y + 17, "Esc");
        const double right = chip.right() - 18 - cap;
        look_.text(percent, {right, chip.y + 17}, 44, Face::small, t.soft, Align::right);
        look_.name(busy.empty() ? activity.what : busy, {chip.x + 34, chip.y + 17}, right - 48 - chip.x - 34,
                   Face::small, t.text);
        look_.fill({chip.x + 12, chip.bottom() - 11, chip.w - 24, 3}, t.rule, 1.5);
        look_.fill(
            {chip.x + 12, chip.bottom() - 11, (chip.w - 24) * std::clamp(activity.fraction, 0.0, 1.0), 3},
            t.accent, 1.5);
    }
    const std::vector<std::string> words = model::view_settings().front().words;
    const double w = look_.narrow ? 196 : 212;
    const Box choice{strip.right() - 12 - w, strip.y + 4, w, 22};
    const std::string from = session_.view("from");
    view_head(strip, "", "Model", from == "free" ? "from medial, turn with the mouse" : "from " + from,
              w + 60);
    look_.text("Cast", {choice.x - 10, strip.centre().y()}, 40, Face::body, t.soft, Align::right);
    const auto now = std::find(words.begin(), words.end(), session_.view("cast"));
    const int next = segments("cast", choice, words, static_cast<int>(now - words.begin()));
    if (next >= 0) say("view cast " + words[static_cast<std::size_t>(next)]);
}

void Screen::section(const Box& region, const picture::SectionCut& cut, view::Page& page) {
    Box box = region;
    const Box strip = box.cut_top(head_height);
    const picture::Theme& t = look_.theme();
    look_.fill(box, t.board);
    std::string detail;
    if (shown_) {
        detail = cut.axis == 0 ? "x " + figure(cut.at, 0, "mm") + ", seen from behind"
                               : "y " + figure(cut.at, 0, "mm") + ", seen from medial";
        const std::string key = key_of(
            {static_cast<double>(shown_->number()), box.w, box.h, look_.scale, double(look_.dark), cut.at});
        const view::Id drawing = page.draw(
            key, static_cast<int>(box.w), static_cast<int>(box.h), look_.scale, [&](picture::Canvas& canvas) {
                const Box all{0, 0, box.w, box.h};
                const double scale = picture::section_scale(all, shown_->subject(), {cut});
                picture::draw_section(canvas, all, t, shown_->subject(), cut, scale);
            });
        image(drawing, box, false);
    } else if (session_.has_job()) {
        look_.text("No shape yet", box.centre(), box.w - 20, Face::body, t.faint, Align::centre);
    }
    view_head(strip, cut.letter, cut.title, detail);
}

}  // namespace archwright::editor::ui
