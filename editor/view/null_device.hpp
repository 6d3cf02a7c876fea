// A device that draws nothing and counts everything, for tests.
#pragma once

#include <map>

#include "editor/view/device.hpp"

namespace archwright::editor::view {

class NullDevice : public Device {
  public:
    struct Counts {
        std::size_t things = 0;    ///< that are there now
        std::size_t programs = 0;  ///< ever made
        std::size_t fills = 0;     ///< of buffers
        std::size_t grown = 0;     ///< of those, not in place
        std::size_t texture_fills = 0;
        std::size_t draws = 0, clears = 0, resolves = 0;
        std::size_t points = 0;  ///< drawn
    };
    const Counts& counts() const { return counts_; }

    Id make_buffer() override { return add(); }
    void fill(Id buffer, std::span<const std::byte> bytes) override {
        ++counts_.fills;
        if (sizes_[buffer] != bytes.size()) ++counts_.grown;
        sizes_[buffer] = bytes.size();
    }
    Id make_texture() override { return add(); }
    void fill_texture(Id, int, int, std::span<const std::uint8_t>) override { ++counts_.texture_fills; }
    Id make_target() override { return add(); }
    void size_target(Id, int, int, int) override {}
    void clear(Id, const std::array<float, 4>&, float) override { ++counts_.clears; }
    void clear_depth(Id, float) override {}
    Id resolve(Id target) override {
        ++counts_.resolves;
        return target;
    }
    Id make_program(std::string_view, std::string_view) override {
        ++counts_.programs;
        return add();
    }
    void draw(const Call& call) override {
        ++counts_.draws;
        counts_.points += call.count;
    }
    void remove(Id id) override { counts_.things -= sizes_.erase(id); }
    std::uintptr_t native(Id texture) const override { return texture; }
    std::string trouble() override { return {}; }
    bool slow() const override { return false; }

  private:
    Id add() {
        ++counts_.things;
        sizes_[++last_] = 0;
        return last_;
    }

    Counts counts_;
    Id last_ = 0;
    std::map<Id, std::size_t> sizes_;
};

}  // namespace archwright::editor::view
