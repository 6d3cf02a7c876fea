#include "editor/view/model_view.hpp"

#include <algorithm>
#include <cmath>

#include "editor/view/numbers.hpp"
#include "editor/view/shaders.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::view {

namespace {

using picture::Colour;

constexpr int shadow_cells = 384;
constexpr double ground_reach_mm = 420.0;

std::string key_of(const ModelSetting& s) {
    std::string key;
    const auto add = [&](double v) { key += exact(v) + " "; };
    for (const double v : {static_cast<double>(s.cast), static_cast<double>(s.map), double(s.dark),
                           double(s.faded), double(s.moving), s.bent, double(s.width), double(s.height),
                           s.scale, s.eye.turn_deg, s.eye.lift_deg, s.eye.zoom, s.eye.pan.x(), s.eye.pan.y()})
        add(v);
    for (const picture::SectionCut& cut : s.cuts) {
        add(cut.axis);
        add(cut.at);
        for (const Vec2& p : cut.line) add(p.x()), add(p.y());
    }
    const MapLook& look = s.look;
    for (const double v : {look.scale.low, look.scale.high, look.limit.value_or(0.0),
                           double(look.limit.has_value()), double(look.above)})
        add(v);
    return key;
}

}  // namespace

ModelView::ModelView(Device& device, Skins& skins) : device_(device), skins_(skins), map_(device) {
    mesh_program_ = device.make_program(shaders::mesh_vertex, shaders::mesh_fragment);
    ground_program_ = device.make_program(shaders::ground_vertex, shaders::ground_fragment);
    line_program_ = device.make_program(shaders::line_vertex, shaders::line_fragment);
    shadow_program_ = device.make_program(shaders::shadow_vertex, shaders::shadow_fragment);
    blur_program_ = device.make_program(shaders::blur_vertex, shaders::blur_fragment);
    target_ = device.make_target();
    for (Id& id : shadow_) id = device.make_target();
    quad_ = device.make_buffer();
    ground_quad_ = device.make_buffer();
    line_at_ = device.make_buffer();
    line_colour_ = device.make_buffer();
    device.fill(quad_, bytes_of(std::vector<float>{-1, -1, -1, 1, 1, -1, 1, 1}));
}

ModelView::~ModelView() {
    for (const Id id : {mesh_program_, ground_program_, line_program_, shadow_program_, blur_program_,
                        target_, shadow_[0], shadow_[1], quad_, ground_quad_, line_at_, line_colour_})
        device_.remove(id);
}

Call ModelView::body_call(const Skins::Body& body, const Shown& shown, const ModelSetting& setting,
                          double lift) {
    Call call;
    call.program = mesh_program_;
    call.target = target_;
    call.streams = {{body.points, 3}, {body.normals, 3}, {skins_.nothing(), 1}};
    const bool few = setting.moving && device_.slow() && body.few_count > 0;
    call.indices = few ? body.few : body.corners;
    call.count = few ? body.few_count : body.count;
    call.depth = Call::Depth::nearer;
    Vec3 eye, way;
    camera_.ray(Vec2(0.5 * width_, 0.5 * height_), 0.0, eye, way);
    call.uniforms = {{"clip", numbers(clip_)},
                     {"hand", numbers(picture::handed(shown.side()))},
                     {"lift", numbers(lift)},
                     {"nearer", numbers(0.0)},
                     {"eye", numbers(camera_.turned(eye))},
                     {"right", numbers(camera_.right())},
                     {"up", numbers(camera_.up())},
                     {"forward", numbers(camera_.forward())},
                     {"ground", numbers(shown.ground() + lift)},
                     {"board", numbers(picture::theme(setting.dark).board)},
                     {"faded", numbers(shown.faded(setting.map, setting.faded))},
                     {"orthographic", numbers(0.0)},
                     {"iso", numbers(0.0)},
                     {"by_height", numbers(0.0)},
                     {"limit_side", numbers(0.0)},
                     {"range", {0.0f, 1.0f}}};
    return call;
}

void ModelView::draw_shadow(const Shown& shown, CastMode cast) {
    if (shadow_of_.lock().get() == &shown && shadow_cast_ == cast) return;
    shadow_of_ = skins_.shown();
    shadow_cast_ = cast;
    Box3 box = shown.box();
    const double edge = 30.0;
    shadow_box_ = {static_cast<float>(box.low.x() - edge), static_cast<float>(box.low.y() - edge),
                   static_cast<float>(box.high.x() + edge), static_cast<float>(box.high.y() + edge)};
    for (const Id id : shadow_) device_.size_target(id, shadow_cells, shadow_cells, 1);
    device_.clear(shadow_[0], {0, 0, 0, 1}, 1);
    const auto add = [&](const Skins::Body& body, double lift) {
        Call call;
        call.program = shadow_program_;
        call.target = shadow_[0];
        call.streams = {{body.points, 3}};
        // blurred over more than what few triangles are off
        const bool few = body.few_count > 0;
        call.indices = few ? body.few : body.corners;
        call.count = few ? body.few_count : body.count;
        call.blend = Call::Blend::most;
        call.uniforms = {{"box", {shadow_box_[0], shadow_box_[1], shadow_box_[2], shadow_box_[3]}},
                         {"ground", numbers(shown.ground())},
                         {"lift", numbers(lift)}};
        device_.draw(call);
    };
    for (const Skins::Body* body : {&skins_.underside(), &skins_.rest()}) add(*body, 0.0);
    for (const Skins::Body& part : skins_.parts()) add(part, 0.0);
    if (cast != CastMode::off) add(skins_.cast(), cast == CastMode::lifted ? lift_mm : 0.0);
    for (int pass = 0; pass < 4; ++pass) {
        Call call;
        call.program = blur_program_;
        call.target = shadow_[(pass + 1) % 2];
        call.streams = {{quad_, 2}};
        call.count = 4;
        call.strip = true;
        const float step = 1.2f / shadow_cells;
        call.uniforms = {
            {"way", pass % 2 == 0 ? std::vector<float>{step, 0.0f} : std::vector<float>{0.0f, step}}};
        call.textures = {{"picture", device_.resolve(shadow_[pass % 2])}};
        device_.draw(call);
    }
    shadow_picture_ = device_.resolve(shadow_[0]);
}

void ModelView::draw_ground(const Shown& shown, const ModelSetting& setting) {
    const picture::Theme& theme = picture::theme(setting.dark);
    const Vec3 middle = shown.box().centre();
    const auto low_x = static_cast<float>(middle.x() - ground_reach_mm),
               high_x = static_cast<float>(middle.x() + ground_reach_mm),
               low_y = static_cast<float>(middle.y() - ground_reach_mm),
               high_y = static_cast<float>(middle.y() + ground_reach_mm);
    device_.fill(ground_quad_,
                 bytes_of(std::vector<float>{low_x, low_y, low_x, high_y, high_x, low_y, high_x, high_y}));
    Call call;
    call.program = ground_program_;
    call.target = target_;
    call.streams = {{ground_quad_, 2}};
    call.count = 4;
    call.strip = true;
    call.write_depth = false;
    call.uniforms = {{"clip", numbers(clip_)},
                     {"ground", numbers(shown.ground())},
                     {"board", numbers(theme.board)},
                     {"grid_10", numbers(theme.grid_10)},
                     {"grid_50", numbers(theme.grid_50)},
                     {"shadow_colour", numbers(setting.dark ? Colour::hex(0x000000) : Colour::hex(0x3C4A55))},
                     {"amount", numbers(setting.dark ? 0.75 : 0.42)},
                     {"middle", {static_cast<float>(middle.x()), static_cast<float>(middle.y())}},
                     {"box", {shadow_box_[0], shadow_box_[1], shadow_box_[2], shadow_box_[3]}}};
    call.textures = {{"shadow", shadow_picture_}};
    device_.draw(call);
}

void ModelView::line(const std::vector<Vec3>& points, bool closed, double width, const Colour& colour,
                     double alpha) {
    const std::size_t n = points.size();
    if (n < 2) return;
    const auto clipped = [&](const Vec3& p) {
        return Eigen::Vector4d(clip_ * Eigen::Vector4d(p.x(), p.y(), p.z(), 1.0));
    };
    const double half_w = 0.5 * width_, half_h = 0.5 * height_;
    const double nearer = 8e-4;  // of the depth's range: a line on a surface is not buried in it
    for (std::size_t i = 0; i + (closed ? 0 : 1) < n; ++i) {
        const Eigen::Vector4d a = clipped(points[i]), b = clipped(points[(i + 1) % n]);
        if (!(a.w() > 0.05) || !(b.w() > 0.05)) continue;
        const Vec2 pa(a.x() / a.w() * half_w, a.y() / a.w() * half_h);
        const Vec2 pb(b.x() / b.w() * half_w, b.y() / b.w() * half_h);
        const double length = (pb - pa).norm();
        if (!(length > 1e-6)) continue;
        const Vec2 along = 0.5 * width * (pb - pa) / length, square(-along.y(), along.x());
        const double za = a.z() / a.w() - nearer, zb = b.z() / b.w() - nearer;
        const Vec2 corners[4] = {pa - 0.5 * along + square, pa - 0.5 * along - square,
                                 pb + 0.5 * along + square, pb + 0.5 * along - square};
        for (const int k : {0, 1, 2, 2, 1, 3}) {
            line_points_.push_back(static_cast<float>(corners[k].x() / half_w));
            line_points_.push_back(static_cast<float>(corners[k].y() / half_h));
            line_points_.push_back(static_cast<float>(k < 2 ? za : zb));
            line_points_.push_back(1.0f);
            for (const double c : {colour.r, colour.g, colour.b, alpha})
                line_colours_.push_back(static_cast<float>(c));
        }
    }
}

void ModelView::flush_lines() {
    if (line_points_.empty()) return;
    device_.fill(line_at_, bytes_of(line_points_));
    device_.fill(line_colour_, bytes_of(line_colours_));
    Call call;
    call.program = line_program_;
    call.target = target_;
    call.streams = {{line_at_, 4}, {line_colour_, 4}};
    call.count = line_points_.size() / 4;
    call.depth = Call::Depth::nearer;
    call.write_depth = false;
    call.blend = Call::Blend::over;
    device_.draw(call);
    line_points_.clear();
    line_colours_.clear();
}

const std::vector<std::vector<Vec3>>& ModelView::cut_of_cast(const std::shared_ptr<const Shown>& shown,
                                                             const picture::SectionCut& cut) {
    constexpr std::size_t most_kept = 16;
    if (cuts_of_.lock() != shown) cuts_.clear();
    cuts_of_ = shown;
    const auto known =
        std::find_if(cuts_.begin(), cuts_.end(), [&](const auto& one) { return one.first.same_plane(cut); });
    if (known != cuts_.end()) {
        std::rotate(known, known + 1, cuts_.end());
        return cuts_.back().second;
    }
    if (cuts_.size() >= most_kept) cuts_.erase(cuts_.begin());
    cuts_.emplace_back(cut, std::vector<std::vector<Vec3>>());
    for (const picture::Chain& chain : picture::cut_section(shown->subject().cast(), cut)) {
        std::vector<Vec3> points;
        for (const Vec3& p : chain.points)
            if (p.z() < shown->box().high.z()) points.push_back(p);
        cuts_.back().second.push_back(std::move(points));
    }
    return cuts_.back().second;
}

void ModelView::draw_lines(const Shown& shown, const ModelSetting& setting, bool after_cast) {
    const picture::Theme& theme = picture::theme(setting.dark);
    const picture::Subject& subject = shown.subject();
    const double s = setting.scale;
    const Colour ink = setting.dark ? Colour::hex(0x0A0D10) : Colour::hex(0x14202A);
    if (!after_cast) {
        line(subject.foot_edge(), true, 1.5 * s, setting.dark ? Colour::hex(0xF2F4F3) : ink, 0.95);
        line(subject.under_edge(), true, 1.1 * s, ink, 0.75);
        for (const auto* edges : {&subject.hole_edges(), &subject.lower_edges()})
            for (const std::vector<Vec3>& edge : *edges) line(edge, true, 1.2 * s, ink, 0.8);
        flush_lines();
        return;
    }
    if (setting.cast == CastMode::lifted && subject.has_cast()) {
        // plumb lines, 4 mm long every 7
        for (const foot::LandmarkId id : {foot::LandmarkId::heel_centre, foot::LandmarkId::first_head_plantar,
                                          foot::LandmarkId::fifth_head_plantar}) {
            const auto found = subject.input().landmarks.find(id);
            if (found == subject.input().landmarks.end()) continue;
            const Vec3& p = found->second.position;
            for (double z = 2.0; z < lift_mm; z += 7.0)
                line({p + Vec3(0, 0, z), p + Vec3(0, 0, std::min(z + 4.0, lift_mm))}, false, 1.3 * s,
                     theme.accent, 0.85);
        }
    } else if (subject.has_cast() && setting.cast != CastMode::off) {
        // where the sections cut
        for (const picture::SectionCut& cut : setting.cuts)
            for (const std::vector<Vec3>& points : cut_of_cast(skins_.shown(), cut))
                line(points, false, 1.4 * s, theme.accent, cut.axis == 0 ? 0.9 : 0.5);
    }
    flush_lines();
}

void ModelView::draw_shell(const Shown& shown, const ModelSetting& setting) {
    const Skins::Values values = skins_.values(setting.map);
    const Colour plain = setting.dark ? Colour::hex(0x5E93BC) : Colour::hex(0x4F86AE);
    const auto draw = [&](const Skins::Body& body, Id of, const Colour& colour) {
        Call call = body_call(body, shown, setting, 0.0);
        const bool mapped = setting.look.scale.map != nullptr && (of != 0 || setting.map == Map::height);
        call.uniforms.push_back({"kind", numbers(mapped ? 2.0 : 3.0)});
        if (of != 0) call.streams[2].buffer = of;
        if (mapped) {
            add_map(call, setting.look, setting.map, setting.scale, setting.dark);
            call.textures = {{"map", map_.of(*setting.look.scale.map)}};
        } else {
            call.uniforms.push_back({"colour", numbers(colour)});
        }
        device_.draw(call);
    };
    const std::array<Skins::Body, 3>* bent = skins_.bent(setting.bent);
    draw(bent ? (*bent)[0] : skins_.foot_side(), values.foot_side, plain);
    draw(bent ? (*bent)[1] : skins_.underside(), values.underside, plain);
    draw(bent ? (*bent)[2] : skins_.rest(), 0, plain);
    for (const Skins::Body& body : skins_.parts()) draw(body, 0, picture::theme(setting.dark).foam());
}

void ModelView::draw_cast(const Shown& shown, const ModelSetting& setting, double lift) {
    const picture::Subject& subject = shown.subject();
    // without a shell there is nothing to look at through the cast
    const CastMode mode = subject.has_shell() ? setting.cast : CastMode::on;
    if (!subject.has_cast() || mode == CastMode::off) return;
    Call cast = body_call(skins_.cast(), shown, setting, lift);
    if (mode == CastMode::glass) {
        cast.uniforms.push_back({"kind", numbers(1.0)});
        cast.uniforms.push_back(
            {"colour", numbers(setting.dark ? Colour::hex(0xD3DADD) : Colour::hex(0x4E5A62))});
        Call depth = cast;
        depth.write_colour = false;
        device_.draw(depth);
        cast.blend = Call::Blend::over;
    } else if (const Id of = skins_.values(setting.map).cast;
               (setting.map == Map::height || of != 0) && setting.look.scale.map != nullptr) {
        if (of != 0) cast.streams[2].buffer = of;
        cast.uniforms.push_back({"kind", numbers(2.0)});
        add_map(cast, setting.look, setting.map, setting.scale, setting.dark);
        cast.textures = {{"map", map_.of(*setting.look.scale.map)}};
    } else {
        cast.uniforms.push_back({"kind", numbers(0.0)});
        cast.uniforms.push_back({"colour", numbers(picture::theme(setting.dark).cast)});
    }
    // where the shell lies on the cast the cast is seen, not a sprinkle of both; less than lines have
    constexpr double before_the_shell = 5e-4;
    if (mode == CastMode::on) cast.uniforms.push_back({"nearer", numbers(before_the_shell)});
    device_.draw(cast);
}

Id ModelView::draw(const ModelSetting& setting) {
    const std::shared_ptr<const Shown> shown = skins_.shown();
    if (!shown || setting.width < 2 || setting.height < 2) return 0;
    const std::string key = key_of(setting) + "v" + std::to_string(shown->values_number(setting.map)) +
                            (shown->flexed() ? "b" + std::to_string(shown->flexed()->number) : "");
    if (picture_ != 0 && key == key_ && drawn_of_.lock() == shown) return picture_;
    key_ = key;
    drawn_of_ = shown;
    ++drawn_;
    const picture::Theme& theme = picture::theme(setting.dark);
    const picture::Subject& subject = shown->subject();
    const double lift = setting.cast == CastMode::lifted && subject.has_shell() ? lift_mm : 0.0;
    width_ = setting.width;
    height_ = setting.height;
    camera_ = camera_of(setting.eye, *shown, Vec2(width_, height_), 44.0 * setting.scale,
                        subject.has_cast() ? lift : 0.0);
    clip_ = camera_.clip(width_, height_, 2.0 * shown->box().size().norm() + ground_reach_mm);
    device_.size_target(target_, width_, height_, setting.moving && device_.slow() ? 1 : 4);
    draw_shadow(*shown, setting.cast);
    device_.clear(target_,
                  {static_cast<float>(theme.board.r), static_cast<float>(theme.board.g),
                   static_cast<float>(theme.board.b), 1.0f},
                  1.0f);
    if (setting.eye.lift_deg > 1.0) draw_ground(*shown, setting);

    if (subject.has_shell()) {
        draw_shell(*shown, setting);
        draw_lines(*shown, setting, false);
    }
    draw_cast(*shown, setting, lift);
    draw_lines(*shown, setting, true);
    picture_ = device_.resolve(target_);
    return picture_;
}

}  // namespace archwright::editor::view
