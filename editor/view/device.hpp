// What draws: buffers, textures, targets and calls, behind one interface. A graphics card's (gl_device.hpp)
// and one that only counts (null_device.hpp) for tests.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace archwright::editor::view {

/// Names a thing of a device; 0 names none.
using Id = std::uint32_t;

/// A value of a program that stays the same over a call: 1 to 4 numbers, or the 16 of a matrix, column-major.
struct Uniform {
    std::string name;
    std::vector<float> values;
};

/// One call to draw.
struct Call {
    enum class Depth { off, nearer, further };
    enum class Blend { off, over, most };  ///< most: the greater of what is there and what comes
    struct Stream {
        Id buffer = 0;
        int components = 3;  ///< 32-bit numbers a point
    };

    Id program = 0;
    Id target = 0;
    std::vector<Stream> streams;  ///< by location, from 0
    Id indices = 0;               ///< of 32-bit numbers; 0: points in order
    std::size_t first = 0, count = 0;
    bool strip = false;  ///< triangles in a strip
    Depth depth = Depth::off;
    bool write_depth = true, write_colour = true;
    Blend blend = Blend::off;
    std::vector<Uniform> uniforms;
    std::vector<std::pair<std::string, Id>> textures;
};

class Device {
  public:
    virtual ~Device() = default;

    virtual Id make_buffer() = 0;
    /// Puts bytes into a buffer; in place where they are as many as before.
    virtual void fill(Id buffer, std::span<const std::byte> bytes) = 0;
    /// Red, green, blue, opacity, 8 bits each, from the top left; linear between, clamped at the edges.
    virtual Id make_texture() = 0;
    virtual void fill_texture(Id texture, int width, int height, std::span<const std::uint8_t> rgba) = 0;
    /// A picture to draw into, of this size, with depth, `samples` a pixel (1 or 4).
    virtual Id make_target() = 0;
    virtual void size_target(Id target, int width, int height, int samples) = 0;
    virtual void clear(Id target, const std::array<float, 4>& colour, float depth) = 0;
    virtual void clear_depth(Id target, float depth) = 0;
    /// What was drawn, as a texture: its rows stand from below.
    virtual Id resolve(Id target) = 0;
    /// 0 when the shaders are wrong; `trouble` says what.
    virtual Id make_program(std::string_view vertex, std::string_view fragment) = 0;
    virtual void draw(const Call& call) = 0;
    virtual void remove(Id id) = 0;

    /// What the screen's own drawing knows a texture by.
    virtual std::uintptr_t native(Id texture) const = 0;
    /// What went wrong, once; empty when nothing did.
    virtual std::string trouble() = 0;
    /// The card is the processor: less is drawn while something moves.
    virtual bool slow() const = 0;
};

template <class T>
std::span<const std::byte> bytes_of(const std::vector<T>& values) {
    return std::as_bytes(std::span<const T>(values));
}

}  // namespace archwright::editor::view
