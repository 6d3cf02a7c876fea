// Units at the boundaries. Inside: mm, N, MPa, radians.
#pragma once

#include <numbers>
#include <optional>
#include <string_view>

namespace archwright {

/// Length unit of a cast file.
enum class LengthUnit { millimetre, centimetre, inch, metre };

constexpr double mm_per(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::millimetre:
            return 1.0;
        case LengthUnit::centimetre:
            return 10.0;
        case LengthUnit::inch:
            return 25.4;
        case LengthUnit::metre:
            return 1000.0;
    }
    return 1.0;
}

/// Short word as written in jobs and on the command line: "mm", "cm", "in", "m".
constexpr const char* word(LengthUnit unit) {
    switch (unit) {
        case LengthUnit::millimetre:
            return "mm";
        case LengthUnit::centimetre:
            return "cm";
        case LengthUnit::inch:
            return "in";
        case LengthUnit::metre:
            return "m";
    }
    return "mm";
}

constexpr std::optional<LengthUnit> length_unit(std::string_view text) {
    for (LengthUnit unit :
         {LengthUnit::millimetre, LengthUnit::centimetre, LengthUnit::inch, LengthUnit::metre})
        if (text == word(unit)) return unit;
    return std::nullopt;
}

constexpr double radians(double degrees) {
    return degrees * std::numbers::pi / 180.0;
}
constexpr double degrees(double radians) {
    return radians * 180.0 / std::numbers::pi;
}

}  // namespace archwright
