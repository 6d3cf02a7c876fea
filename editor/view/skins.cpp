#include <algorithm>

#include "editor/view/model_view.hpp"

namespace archwright::editor::view {

CastMode cast_mode(std::string_view word) {
    return word == "on"       ? CastMode::on
           : word == "lifted" ? CastMode::lifted
           : word == "glass"  ? CastMode::glass
                              : CastMode::off;
}

Map map_of(std::string_view word) {
    return word == "wall"        ? Map::wall
           : word == "height"    ? Map::height
           : word == "deviation" ? Map::deviation
                                 : Map::none;
}

picture::MapScale scale_of(const Shown& shown, Map map) {
    if (map == Map::height) return {&picture::ColourMap::height(), 0.0, 35.0, 5.0, 0, "Height, mm"};
    return map == Map::deviation ? shown.deviation_scale() : shown.wall_scale();
}

Skins::~Skins() {
    for (Body* body : {&cast_, &foot_side_, &outside_}) remove(*body);
    for (Body& body : parts_) remove(body);
    device_.remove(deviations_);
}

void Skins::remove(Body& body) {
    for (const Id id : {body.points, body.normals, body.values, body.corners, body.few})
        if (id != 0) device_.remove(id);
    body = {};
}

void Skins::fill(Body& body, const Skin& skin) {
    if (body.points == 0) {
        body.points = device_.make_buffer();
        body.normals = device_.make_buffer();
        body.values = device_.make_buffer();
        body.corners = device_.make_buffer();
        body.few = device_.make_buffer();
    }
    device_.fill(body.points, bytes_of(skin.points));
    device_.fill(body.normals, bytes_of(skin.normals));
    std::vector<float> values = skin.values;
    values.resize(skin.points.size() / 3, 0.0f);
    device_.fill(body.values, bytes_of(values));
    device_.fill(body.corners, bytes_of(skin.corners));
    body.count = skin.corners.size();
    // while something moves every so-many-th triangle is drawn twice as a strip would: simply all when few
    const std::size_t triangles = body.count / 3;
    body.few_count = 0;
    if (triangles <= Skin::most_moving) return;
    std::vector<std::uint32_t> few;
    const double step = static_cast<double>(triangles) / static_cast<double>(Skin::most_moving);
    for (double k = 0; k < static_cast<double>(triangles); k += step) {
        const auto at = 3 * static_cast<std::size_t>(k);
        few.insert(few.end(), skin.corners.begin() + static_cast<std::ptrdiff_t>(at),
                   skin.corners.begin() + static_cast<std::ptrdiff_t>(at + 3));
    }
    device_.fill(body.few, bytes_of(few));
    body.few_count = few.size();
}

void Skins::show(std::shared_ptr<const Shown> shown) {
    if (shown == shown_) return;
    shown_ = std::move(shown);
    if (!shown_) return;
    fill(cast_, shown_->cast());
    fill(foot_side_, shown_->foot_side());
    fill(outside_, shown_->outside());
    while (parts_.size() > shown_->parts().size()) {
        remove(parts_.back());
        parts_.pop_back();
    }
    parts_.resize(shown_->parts().size());
    for (std::size_t i = 0; i < parts_.size(); ++i) fill(parts_[i], shown_->parts()[i]);
    if (deviations_ == 0) deviations_ = device_.make_buffer();
    device_.fill(deviations_, bytes_of(shown_->deviations()));
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
