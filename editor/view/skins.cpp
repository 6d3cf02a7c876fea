#include <algorithm>
#include <numbers>

#include "editor/view/model_view.hpp"
#include "editor/view/numbers.hpp"

namespace archwright::editor::view {

CastMode cast_mode(std::string_view word) {
    return word == "on"       ? CastMode::on
           : word == "lifted" ? CastMode::lifted
           : word == "glass"  ? CastMode::glass
                              : CastMode::off;
}

void add_map(Call& call, const MapLook& look, Map map, double scale, bool dark) {
    const auto set = [&](const char* name, std::vector<float> values) {
        for (Uniform& uniform : call.uniforms)
            if (uniform.name == name) {
                uniform.values = std::move(values);
                return;
            }
        call.uniforms.push_back({name, std::move(values)});
    };
    set("range", {static_cast<float>(look.scale.low), static_cast<float>(look.scale.high)});
    set("by_height", numbers(map == Map::height ? 1.0 : 0.0));
    set("limit", numbers(look.limit.value_or(0.0)));
    set("limit_side", numbers(!look.limit ? 0.0 : look.above ? 1.0 : -1.0));
    // lines at 45 degrees, 6 apart
    set("hatch", numbers(6.0 * std::numbers::sqrt2 * scale));
    set("stop", numbers(picture::theme(dark).stop));
    if (map == Map::wall) {
        set("iso", numbers(0.2));
        set("iso_offset", numbers(0.1));
    } else if (kind_by_wall(map)) {
        set("iso", numbers(look.scale.tick));  // on the legend's figures
        set("iso_offset", numbers(0.0));
    }
}

Skins::~Skins() {
    for (Body* body : {&cast_, &foot_side_, &underside_, &rest_}) remove(*body);
    for (Body& body : parts_) remove(body);
    for (Body& body : bent_) remove(body);
    for (auto& [map, held] : values_)
        for (const Id id : {held.foot_side, held.underside, held.cast})
            if (id != 0) device_.remove(id);
    if (nothing_ != 0) device_.remove(nothing_);
}

void Skins::remove(Body& body) {
    for (const Id id : {body.points, body.normals, body.corners, body.few})
        if (id != 0) device_.remove(id);
    body = {};
}

void Skins::fill(Body& body, const Skin& skin) {
    if (body.points == 0) {
        body.points = device_.make_buffer();
        body.normals = device_.make_buffer();
        body.corners = device_.make_buffer();
        body.few = device_.make_buffer();
    }
    if (body.of == &skin) return;
    body.of = &skin;
    device_.fill(body.points, bytes_of(skin.points));
    device_.fill(body.normals, bytes_of(skin.normals));
    if (skin.count() > nothing_count_) {
        if (nothing_ == 0) nothing_ = device_.make_buffer();
        nothing_count_ = skin.count();
        device_.fill(nothing_, bytes_of(std::vector<float>(nothing_count_, 0.0f)));
    }
    if (body.corners_of == skin.corners) return;
    body.corners_of = skin.corners;
    const std::vector<std::uint32_t>& corners = *skin.corners;
    device_.fill(body.corners, bytes_of(corners));
    body.count = corners.size();
    body.few_count = skin.coarse ? skin.coarse->size() : 0;
    if (skin.coarse) device_.fill(body.few, bytes_of(*skin.coarse));
}

void Skins::show(std::shared_ptr<const Shown> shown) {
    if (shown == shown_) return;
    shown_ = std::move(shown);
    if (!shown_) return;
    fill(cast_, shown_->cast());
    fill(foot_side_, shown_->foot_side());
    fill(underside_, shown_->underside());
    fill(rest_, shown_->rest());
    while (parts_.size() > shown_->parts().size()) {
        remove(parts_.back());
        parts_.pop_back();
    }
    parts_.resize(shown_->parts().size());
    for (std::size_t i = 0; i < parts_.size(); ++i) fill(parts_[i], *shown_->parts()[i]);
    held_ = shown_;
}

const std::array<Skins::Body, 3>* Skins::bent(double times) {
    auto bent = shown_ ? shown_->bent(times) : nullptr;
    if (!bent) return nullptr;
    fill(bent_[0], *bent->foot_side);
    fill(bent_[1], *bent->underside);
    fill(bent_[2], *bent->rest);
    bent_of_ = std::move(bent);
    return &bent_;
}

Skins::Values Skins::values(Map map) {
    if (!shown_ || map == Map::none || map == Map::height) return {};
    Held& held = values_[map];
    const std::uint64_t number = shown_->values_number(map);
    const auto values = shown_->values(map);
    if (number == 0 || !values) return {};
    if (held.of != shown_->number() || held.number != number) {
        held.of = shown_->number();
        held.number = number;
        if (held.foot_side == 0) {
            held.foot_side = device_.make_buffer();
            held.underside = device_.make_buffer();
        }
        device_.fill(held.foot_side, bytes_of(values->foot_side));
        device_.fill(held.underside, bytes_of(values->underside));
        if (!values->cast.empty()) {
            if (held.cast == 0) held.cast = device_.make_buffer();
            device_.fill(held.cast, bytes_of(values->cast));
        }
    }
    return {values->foot_side.empty() ? 0 : held.foot_side, values->underside.empty() ? 0 : held.underside,
            values->cast.empty() ? 0 : held.cast};
}

Id MapTexture::of(const picture::ColourMap& map) {
    if (held_ == &map) return texture_;
    if (texture_ == 0) texture_ = device_.make_texture();
    std::vector<std::uint8_t> pixels;
    for (const picture::Colour& c : map.steps()) {
        const std::uint32_t rgb = c.packed();
        for (const int shift : {16, 8, 0}) pixels.push_back(static_cast<std::uint8_t>((rgb >> shift) & 255u));
        pixels.push_back(255);
    }
    device_.fill_texture(texture_, 256, 1, pixels);
    held_ = &map;
    return texture_;
}

}  // namespace archwright::editor::view
