#include "editor/view/plan_print.hpp"

#include "editor/view/numbers.hpp"
#include "editor/view/shaders.hpp"
#include "engine/base/text.hpp"
#include "engine/picture/plan_print.hpp"

namespace archwright::editor::view {

PlanPrint::PlanPrint(Device& device, Skins& skins)
    : device_(device), skins_(skins), map_(device), height_map_(device) {
    print_program_ = device.make_program(shaders::mesh_vertex, shaders::print_fragment);
    mesh_program_ = device.make_program(shaders::mesh_vertex, shaders::mesh_fragment);
    target_ = device.make_target();
}

PlanPrint::~PlanPrint() {
    for (const Id id : {print_program_, mesh_program_, target_}) device_.remove(id);
}

Id PlanPrint::draw(const PlanSetting& s) {
    const std::shared_ptr<const Shown> shown = skins_.shown();
    if (!shown || s.width < 2 || s.height < 2) return 0;
    std::string key = "v" + std::to_string(shown->values_number(s.map)) + " ";
    for (const double v : {double(s.below), s.look.scale.low, s.look.scale.high, s.look.limit.value_or(0.0),
                           double(s.look.limit.has_value()), static_cast<double>(s.map), double(s.dark),
                           double(s.faded), double(s.moving), double(s.width), double(s.height), s.scale,
                           s.origin.x(), s.origin.y(), s.pixels_per_mm})
        key += exact(v) + " ";
    if (picture_ != 0 && key == key_ && drawn_of_.lock() == shown) return picture_;
    key_ = key;
    drawn_of_ = shown;
    ++drawn_;
    const picture::Theme& theme = picture::theme(s.dark);
    const picture::Subject& subject = shown->subject();
    device_.size_target(target_, s.width, s.height, s.moving && device_.slow() ? 1 : 4);
    device_.clear(target_,
                  {static_cast<float>(theme.board.r), static_cast<float>(theme.board.g),
                   static_cast<float>(theme.board.b), 0.0f},
                  1.0f);
    const double reach = 400.0;
    const auto pinned = [&](picture::Camera camera) {
        camera.pin(Vec3::Zero(), s.origin, s.pixels_per_mm);
        return camera;
    };
    const auto base = [&](const Skins::Body& body, const picture::Camera& camera) {
        Call call;
        call.target = target_;
        call.streams = {{body.points, 3}, {body.normals, 3}, {skins_.nothing(), 1}};
        const bool few = s.moving && device_.slow() && body.few_count > 0;
        call.indices = few ? body.few : body.corners;
        call.count = few ? body.few_count : body.count;
        call.depth = Call::Depth::nearer;
        call.uniforms = {{"clip", numbers(camera.clip(s.width, s.height, reach))},
                         {"lift", numbers(0.0)},
                         {"right", numbers(camera.right())},
                         {"up", numbers(camera.up())},
                         {"forward", numbers(camera.forward())},
                         {"ground", numbers(shown->ground())},
                         {"board", numbers(theme.board)},
                         {"faded", numbers(shown->faded(s.map, s.faded))}};
        return call;
    };
    if (subject.has_cast()) {
        // from above: seen from below as the other foot, which is the print read from above
        const Side hand = s.below ? shown->side() : other(shown->side());
        const picture::Camera camera = pinned({hand, Vec3::UnitZ(), Vec3::UnitX(), 0.0});
        Call sole = base(skins_.cast(), camera);
        sole.program = print_program_;
        const MapLook heights = look_of(*shown, Map::height, 0.0);
        sole.uniforms.push_back({"hand", numbers(picture::handed(hand))});
        sole.uniforms.push_back({"ground", numbers(subject.cast().box().low.z())});
        sole.uniforms.push_back({"limit", numbers(picture::sole_height_mm)});
        sole.uniforms.push_back({"line_width", numbers(s.scale)});
        sole.uniforms.push_back({"mm_per_pixel", numbers(1.0 / s.pixels_per_mm)});
        sole.uniforms.push_back({"colour", numbers(theme.cast)});
        sole.uniforms.push_back({"by_height", numbers(s.map == Map::height ? 1.0 : 0.0)});
        sole.uniforms.push_back(
            {"range", {static_cast<float>(heights.scale.low), static_cast<float>(heights.scale.high)}});
        sole.textures = {{"map", height_map_.of(*heights.scale.map)}};
        device_.draw(sole);
    }
    const Skins::Values values = skins_.values(s.map);
    const Id of = s.below ? values.underside : values.foot_side;
    if (subject.has_shell() && of != 0 && s.look.scale.map != nullptr) {
        device_.clear_depth(target_, 1.0f);
        const picture::Camera camera =
            pinned({shown->side(), s.below ? Vec3(Vec3::UnitZ()) : Vec3(-Vec3::UnitZ()), Vec3::UnitX(), 0.0});
        const auto draw = [&](const Skins::Body& body, Id mapped, const picture::Colour& colour) {
            Call shell = base(body, camera);
            shell.program = mesh_program_;
            shell.uniforms.push_back({"hand", numbers(picture::handed(shown->side()))});
            shell.uniforms.push_back({"kind", numbers(mapped != 0 ? 2.0 : 3.0)});
            shell.uniforms.push_back({"orthographic", numbers(1.0)});
            shell.uniforms.push_back({"iso", numbers(0.0)});
            if (mapped != 0) {
                shell.streams[2].buffer = mapped;
                add_map(shell, s.look, s.map, s.scale, s.dark);
                shell.textures = {{"map", map_.of(*s.look.scale.map)}};
            } else {
                shell.uniforms.push_back({"colour", numbers(colour)});
            }
            device_.draw(shell);
        };
        if (s.below) {
            // posts and parts hide what they stand under
            draw(skins_.rest(), 0, picture::Colour::hex(0x8E979B));
            for (const Skins::Body& part : skins_.parts()) draw(part, 0, theme.foam());
        }
        draw(s.below ? skins_.underside() : skins_.foot_side(), of, {});
    }
    picture_ = device_.resolve(target_);
    return picture_;
}

}  // namespace archwright::editor::view
