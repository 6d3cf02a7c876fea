#pragma once

namespace archwright {

/// Side of the body. All design code sees a right foot; a left one is mirrored on the way in and back on
/// the way out (engine/foot/frame.hpp), nowhere else.
enum class Side { right, left };

inline const char* word(Side side) {
    return side == Side::right ? "right" : "left";
}
inline Side other(Side side) {
    return side == Side::right ? Side::left : Side::right;
}

}  // namespace archwright
