// Points of identical coordinates become one point.
#pragma once

#include <bit>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <type_traits>
#include <vector>

#include "engine/mesh/triangle_mesh.hpp"

namespace archwright::scan {

/// A hash table from exact coordinates to the index of a point; numbers points in the order they come.
/// -0 equals 0. Scalar is float (STL) or double (the others): the coordinates lie in the table itself, so
/// that a look-up touches memory once, and prefetch() hides even that.
template <class Scalar>
class Welder {
  public:
    explicit Welder(std::vector<Vec3>& points, std::size_t expected) : points_(points) {
        std::size_t size = 64;
        while (size * 3 < expected * 5) size *= 2;  // at most 60 % full
        slots_.resize(size);
    }

    std::uint64_t hash(Scalar x, Scalar y, Scalar z) const {
        using Bits = std::conditional_t<sizeof(Scalar) == 4, std::uint32_t, std::uint64_t>;
        // odd constants from the golden ratio's bits; the last mixing brings high bits down
        std::uint64_t h = std::bit_cast<Bits>(x) * 0x9E3779B97F4A7C15ull;
        h = (std::rotl(h, 25) ^ std::bit_cast<Bits>(y)) * 0xD1B54A32D192ED03ull;
        h = (std::rotl(h, 25) ^ std::bit_cast<Bits>(z)) * 0x8CB92BA72F3D8DD7ull;
        return h ^ (h >> 29);
    }
    void prefetch(std::uint64_t hash) const { __builtin_prefetch(&slots_[hash & (slots_.size() - 1)], 1); }

    /// Index of the point; a new one is appended to the points. `x` and so on without -0.
    std::int32_t add(Scalar x, Scalar y, Scalar z, std::uint64_t hash) {
        const std::size_t mask = slots_.size() - 1;
        std::size_t i = hash & mask;
        while (slots_[i].index != none) {
            if (slots_[i].x == x && slots_[i].y == y && slots_[i].z == z)
                return static_cast<std::int32_t>(slots_[i].index);
            i = (i + 1) & mask;
        }
        const auto index = static_cast<std::uint32_t>(points_.size());
        slots_[i] = {x, y, z, index};
        points_.emplace_back(static_cast<double>(x), static_cast<double>(y), static_cast<double>(z));
        if (points_.size() * 5 > slots_.size() * 3) grow();
        return static_cast<std::int32_t>(index);
    }

  private:
    static constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();
    struct Slot {
        Scalar x{}, y{}, z{};
        std::uint32_t index = none;
    };

    void grow() {
        std::vector<Slot> old(2 * slots_.size());
        old.swap(slots_);
        const std::size_t mask = slots_.size() - 1;
        for (const Slot& slot : old) {
            if (slot.index == none) continue;
            std::size_t i = hash(slot.x, slot.y, slot.z) & mask;
            while (slots_[i].index != none) i = (i + 1) & mask;
            slots_[i] = slot;
        }
    }

    std::vector<Vec3>& points_;
    std::vector<Slot> slots_;
};

/// Welds the points of an indexed mesh and drops those no triangle uses. Order, and of two colours the first,
/// are kept. `dropped` counts unused points.
struct Welding {
    std::size_t welded = 0;
    std::size_t dropped = 0;
};
Welding weld(TriangleMesh& mesh);

}  // namespace archwright::scan
