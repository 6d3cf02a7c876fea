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
    std::string key;
    for (const double v :
         {static_cast<double>(s.map), double(s.dark), double(s.faded), double(s.moving), double(s.width),
          double(s.height), s.scale, s.origin.x(), s.origin.y(), s.pixels_per_mm})
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
        call.streams = {{body.points, 3}, {body.normals, 3}, {body.values, 1}};
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
                         {"faded", numbers(s.faded ? 0.8 : 0.0)}};
        return call;
    };
    if (subject.has_cast()) {
        // seen from below as the other foot, which is the print read from above
        const picture::Camera camera = pinned({other(shown->side()), Vec3::UnitZ(), Vec3::UnitX(), 0.0});
        Call sole = base(skins_.cast(), camera);
        sole.program = print_program_;
        const picture::MapScale heights = scale_of(*shown, Map::height);
        sole.uniforms.push_back({"hand", numbers(picture::handed(other(shown->side())))});
        sole.uniforms.push_back({"ground", numbers(subject.cast().box().low.z())});
        sole.uniforms.push_back({"limit", numbers(picture::sole_height_mm)});
        sole.uniforms.push_back({"line_width", numbers(s.scale)});
        sole.uniforms.push_back({"mm_per_pixel", numbers(1.0 / s.pixels_per_mm)});
        sole.uniforms.push_back({"colour", numbers(theme.cast)});
        sole.uniforms.push_back({"by_height", numbers(s.map == Map::height ? 1.0 : 0.0)});
        sole.uniforms.push_back(
            {"range", {static_cast<float>(heights.low), static_cast<float>(heights.high)}});
        sole.textures = {{"map", height_map_.of(*heights.map)}};
        device_.draw(sole);
    }
    if (subject.has_shell() && (s.map == Map::wall || s.map == Map::deviation)) {
        device_.clear_depth(target_, 1.0f);
        const picture::Camera camera = pinned({shown->side(), -Vec3::UnitZ(), Vec3::UnitX(), 0.0});
        const picture::MapScale scale = scale_of(*shown, s.map);
        Call shell = base(skins_.foot_side(), camera);
        shell.program = mesh_program_;
        shell.streams[2].buffer = skins_.values(s.map);
        shell.uniforms.push_back({"hand", numbers(picture::handed(shown->side()))});
        shell.uniforms.push_back({"kind", numbers(2.0)});
        shell.uniforms.push_back({"orthographic", numbers(1.0)});
        shell.uniforms.push_back({"range", {static_cast<float>(scale.low), static_cast<float>(scale.high)}});
        shell.uniforms.push_back({"iso", numbers(s.map == Map::wall ? 0.2 : 0.0)});
        shell.uniforms.push_back({"iso_offset", numbers(0.1)});
        shell.textures = {{"map", map_.of(*scale.map)}};
        device_.draw(shell);
    }
    picture_ = device_.resolve(target_);
    return picture_;
}

}  // namespace archwright::editor::view
