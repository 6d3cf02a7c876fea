// Nodes of a lattice that are marked, and whether a window holds any.
#pragma once

#include <cstdint>
#include <vector>

#include "engine/surface/wall_field.hpp"

namespace archwright::surface {

/// Counts of marked nodes left of and below each node: how many lie in a window costs four look-ups.
class NodeMarks {
  public:
    /// None is marked.
    explicit NodeMarks(const Lattice& lattice)
        : nu_(lattice.nu),
          nv_(lattice.nv),
          sum_(static_cast<std::size_t>(nu_ + 1) * static_cast<std::size_t>(nv_ + 1), 0) {}

    /// One for each node, in the lattice's order.
    void set(const std::vector<char>& marked) {
        const auto row = static_cast<std::size_t>(nv_ + 1);
        for (std::size_t i = 0; i < static_cast<std::size_t>(nu_); ++i) {
            std::uint32_t along = 0;
            for (std::size_t j = 0; j < static_cast<std::size_t>(nv_); ++j) {
                along += marked[i * static_cast<std::size_t>(nv_) + j] != 0 ? 1 : 0;
                sum_[(i + 1) * row + j + 1] = sum_[i * row + j + 1] + along;
            }
        }
    }

    bool any(const BallSheet::Window& w) const {
        const auto at = [&](int i, int j) {
            return sum_[static_cast<std::size_t>(i) * static_cast<std::size_t>(nv_ + 1) +
                        static_cast<std::size_t>(j)];
        };
        return at(w.i1 + 1, w.j1 + 1) + at(w.i0, w.j0) != at(w.i0, w.j1 + 1) + at(w.i1 + 1, w.j0);
    }

  private:
    int nu_, nv_;
    std::vector<std::uint32_t> sum_;
};

}  // namespace archwright::surface
