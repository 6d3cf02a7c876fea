// The model: cast and shell on the ground, what is under way, and the scale of its map.
#include <algorithm>
#include <cmath>

#include "editor/model/session_commands.hpp"
#include "editor/ui/brush_tool.hpp"
#include "editor/ui/handle_tool.hpp"
#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

constexpr double model_head_height = 30;
/// While something moves pictures are coarser for so long after, s.
constexpr double model_settle_seconds = 0.25;

}  // namespace

void Screen::model_overlay(const Box& box, const view::ModelSetting& setting) {
    const picture::Theme& t = look_.theme();
    // side words on the ground, the cursor's ring
    const Vec2 corner(static_cast<double>(look_.px(box.x)), static_cast<double>(look_.px(box.y)));
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
    for (const auto& [way, name] : {std::pair(Vec3(Vec3::UnitX()), "x"), std::pair(Vec3(Vec3::UnitY()), "y"),
                                    std::pair(Vec3(Vec3::UnitZ()), "z")}) {
        const Vec3 turned = camera.turned(way);
        const Vec2 page(turned.dot(camera.right()), -turned.dot(camera.up()));
        look_.line(foot_of_axes, foot_of_axes + 24 * page, t.soft, 1.5);
        if (page.norm() > 0.2)
            look_.text(name, foot_of_axes + 33 * page, 20, Face::small_strong, t.ink, Align::centre);
    }
    measure_overlay(box, [&](const Vec3& p) { return std::optional<Vec2>(on_screen(p)); });
    look_.unclip();
    legend(box, *shown_, setting.map);
    // the side stands in every view
    const Box letter{box.right() - 36, box.bottom() - 36, 26, 26};
    look_.fill(letter, t.board, 4, 0.92);
    look_.frame(letter, t.ink, 4, 1.6);
    look_.text(shown_->side() == Side::left ? "L" : "R", letter.centre(), 24, Face::title, t.ink,
               Align::centre);
}

void Screen::brush_on_model(const Box& box, const Hit& h, const view::ModelSetting& setting) {
    const Vec2 corner(static_cast<double>(look_.px(box.x)), static_cast<double>(look_.px(box.y)));
    const picture::Camera& camera = model_view_.camera();
    Vec3 from, way;
    camera.ray(state_.mouse * look_.scale - corner, 1000.0, from, way);
    std::optional<Vec2> place;
    // in glass and lifted the shell is painted, else what is met first
    if (const auto met = shown_->meet(from, way, setting.cast == view::CastMode::on))
        place = met->at.head<2>();
    BrushTool brush(*this);
    brush.stroke("model", h, place);
    const auto& sole = HandleTool(*this).sole();
    if (!sole) return;
    look_.clip(box);
    brush.overlay(box, place, [&](const Vec2& plan) {
        return Vec2((corner + camera.project(sole->over(plan)).head<2>()) / look_.scale);
    });
    look_.unclip();
}

bool Screen::busy_chip(const Box& box) {
    const picture::Theme& t = look_.theme();
    // what is under way, once it takes its time
    const model::Activity activity = session_.activity();
    const std::string busy = session_.busy_with();
    const bool shows = (activity.busy && activity.seconds > 0.4) || !busy.empty();
    if (shows) {
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
    return shows;
}

void Screen::model_panel(const Box& region) {
    Box box = region;
    const Box strip = box.cut_top(model_head_height);
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
    if (shown_) {
        setting.map = map_of(*shown_);
        setting.look = map_look(*shown_);
    }
    if (session_.flex() && session_.view("deflected") != "off")
        setting.bent = *parse_number(session_.view("deflected"));
    setting.dark = look_.dark;
    setting.faded = superseded();
    setting.width = static_cast<int>(std::lround(box.w * look_.scale));
    setting.height = static_cast<int>(std::lround(box.h * look_.scale));
    setting.scale = look_.scale;
    setting.cuts = cuts();

    const Hit h = hit("model", box);
    const Vec2 delta(static_cast<double>(io.MouseDelta.x), static_cast<double>(io.MouseDelta.y));
    const Vec2 mouse(static_cast<double>(io.MousePos.x), static_cast<double>(io.MousePos.y));
    const Vec2 corner(static_cast<double>(look_.px(box.x)), static_cast<double>(look_.px(box.y)));
    bool moved = false;
    // landmarks and marks are dragged on the cast; elsewhere the model turns
    const bool on_cast = shown_ && setting.cast != view::CastMode::off;
    const double lift = setting.cast == view::CastMode::lifted && shown_ && shown_->subject().has_shell()
                            ? view::lift_mm
                            : 0.0;
    HandlePane handles;
    handles.name = "model";
    handles.box = box;
    handles.cast_only = true;
    const auto pane_now = [&] {
        const picture::Camera& camera = model_view_.camera();
        handles.pixels_per_mm = camera.pixels_per_mm() / look_.scale;
        const auto in_design = [&](const Vec3& way) {
            return Vec3(camera.turned(Vec3::UnitX()).dot(way), camera.turned(Vec3::UnitY()).dot(way),
                        camera.turned(Vec3::UnitZ()).dot(way));
        };
        handles.up = in_design(camera.up());
        handles.right = in_design(camera.right());
        handles.on_screen = [this, camera, corner, lift](const Vec3& p) {
            return Vec2((corner + camera.project(p + Vec3(0, 0, lift)).head<2>()) / look_.scale);
        };
        const auto meet = [this, camera, corner, lift](const Vec2& pixel) -> std::optional<Vec3> {
            Vec3 from, way;
            camera.ray(pixel * look_.scale - corner, 1000.0, from, way);
            const auto& sole = HandleTool(*this).sole();
            return sole ? sole->meet_cast(from - Vec3(0, 0, lift), way) : std::nullopt;
        };
        handles.place = [meet](const Vec2& pixel, const view::Handle&, const Vec3&) { return meet(pixel); };
        handles.visible = [meet, seen = handles.on_screen,
                           through = setting.cast == view::CastMode::glass](const Vec3& p) {
            constexpr double covered_mm = 4.0;  // a landmark may lie a little off the scan
            const auto first = meet(seen(p));
            return through || !first || (*first - p).norm() < covered_mm;
        };
    };
    pane_now();
    const bool taken = on_cast && state_.tool == Tool::none && HandleTool(*this).drag(handles, h);
    if (!taken && h.hovered &&
        (ImGui::IsMouseDragging(ImGuiMouseButton_Right, 0.0f) ||
         (h.held && state_.tool != Tool::measure && state_.tool != Tool::brush)) &&
        delta.norm() > 0) {
        state_.eye.drag(delta / look_.scale);
        moved = true;
    }
    if (h.hovered && ImGui::IsMouseDragging(ImGuiMouseButton_Middle, 0.0f) && delta.norm() > 0) {
        state_.eye.pan += delta;
        moved = true;
    }
    const bool widens = state_.tool == Tool::brush && io.KeyShift;
    if (h.hovered && io.MouseWheel != 0 && widens) BrushTool(*this).widen(static_cast<double>(io.MouseWheel));
    if (h.hovered && io.MouseWheel != 0 && !widens) {
        state_.eye.nearer(std::pow(1.2, static_cast<double>(io.MouseWheel)), mouse - corner,
                          Vec2(setting.width, setting.height));
        moved = true;
    }
    if (h.hovered) state_.hovered = "model";
    if (h.activated && state_.tool == Tool::measure && state_.cursor) measure(*state_.cursor);
    if (moved) state_.moved_until = ImGui::GetTime() + model_settle_seconds;
    setting.eye = state_.eye;
    setting.moving = restless();
    if (shown_) {
        image(model_view_.draw(setting), box, true);
        if (h.hovered && !h.held && shown_) {
            Vec3 from, way;
            model_view_.camera().ray(mouse - corner, 1000.0, from, way);
            state_.cursor = shown_->meet(from, way, setting.cast == view::CastMode::on);
        }
        model_overlay(box, setting);
        if (state_.tool == Tool::brush) brush_on_model(box, h, setting);
        if (on_cast) {
            pane_now();
            if (!taken && state_.tool == Tool::none) HandleTool(*this).click(handles, h);
            handles.lens = [&](const Box& lens, const Vec3& at, double times) {
                // the picture itself, nearer; its rows stand from below
                const Vec2 middle = handles.on_screen(at), size(box.w, box.h);
                const Vec2 half = 0.5 / times * Vec2(lens.w, lens.h);
                const Vec2 low = (middle - half - Vec2(box.x, box.y)).cwiseQuotient(size),
                           high = (middle + half - Vec2(box.x, box.y)).cwiseQuotient(size);
                const auto number = [](double v) { return static_cast<float>(v); };
                // NOLINTNEXTLINE(performance-no-int-to-ptr): ImGui names textures by pointers
                const auto name = reinterpret_cast<ImTextureID>(device_.native(model_view_.draw(setting)));
                look_.list->AddImage(name, {look_.px(lens.x), look_.px(lens.y)},
                                     {look_.px(lens.right()), look_.px(lens.bottom())},
                                     {number(low.x()), number(1.0 - low.y())},
                                     {number(high.x()), number(1.0 - high.y())});
            };
            look_.clip(box);
            HandleTool(*this).overlay(handles);
            look_.unclip();
        }
        if (setting.faded) {
            const std::string tag = sound_words();
            const double tw = look_.measure(tag, Face::strong) + 42;
            // under what is going on
            const Box plate{box.x + 12, box.y + (busy_chip(box) ? 66 : 12), tw, 28};
            look_.fill(plate, t.panel, 4, 0.96);
            look_.frame(plate, t.stop, 4);
            look_.sign({plate.x + 16, plate.centre().y()}, Sign::stop, 0.9);
            look_.text(tag, {plate.x + 30, plate.centre().y()}, tw, Face::strong, t.text);
        }
    }
    if (!setting.faded) {
        const bool chip = busy_chip(box);
        if (shown_ && shown_->result().reach == model::FootResult::Reach::preview) {
            // what follows the hand is told from what is exact
            const std::string tag = "Preview, the exact shape follows";
            const double tw = look_.measure(tag, Face::small) + 20;
            const Box plate{box.x + 12, box.y + (chip ? 66 : 12), tw, 24};
            look_.fill(plate, t.panel, 4, 0.96);
            look_.frame(plate, t.rule, 4);
            look_.text(tag, {plate.x + 10, plate.centre().y()}, tw - 18, Face::small, t.soft);
        }
    }
    const std::vector<std::string> words = model::view_settings().front().words;
    const double w = look_.narrow ? 196 : 212;
    const Box choice{strip.right() - 12 - w, strip.y + 4, w, 22};
    const std::string from = session_.view("from");
    std::string seen = from == "free" ? "from medial, turn with the mouse" : "from " + from;
    if (shown_ && latest_ && shown_ != latest_) seen = "before the last step";
    if (setting.bent > 0 && shown_ && shown_->flexed())
        seen = "as it gives" + (setting.bent == 1 ? std::string() : ", \u00d7 " + exact(setting.bent));
    view_head(strip, "", "Model", seen, w + 60);
    look_.text("Cast", {choice.x - 10, strip.centre().y()}, 40, Face::body, t.soft, Align::right);
    const auto now = std::find(words.begin(), words.end(), session_.view("cast"));
    const int next = segments("cast", choice, words, static_cast<int>(now - words.begin()));
    if (next >= 0) say("view cast " + words[static_cast<std::size_t>(next)]);
}

}  // namespace archwright::editor::ui
