// The wall map as the surface stages ask for it.
#pragma once

#include <memory>

#include "engine/base/progress.hpp"
#include "engine/design/wall_map.hpp"
#include "engine/surface/wall_field.hpp"

namespace archwright::build {

/// The map's wall at the carpet's point. A map of very many regions is slow to ask: once `progress` is
/// cancelled it answers at once, and the result is to be dropped. `progress` must outlive it.
inline surface::WallFunction asked_wall(std::shared_ptr<const design::WallMap> map,
                                        const Progress& progress) {
    return [map = std::move(map), &progress](const Vec2&, const Vec3& p) {
        return progress.cancelled() ? map->min() : map->at(p.x(), p.y());
    };
}

}  // namespace archwright::build
