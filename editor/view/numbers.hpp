// Vectors, colours and matrices as the numbers of a program.
#pragma once

#include <vector>

#include "engine/base/vec.hpp"
#include "engine/picture/colour.hpp"

namespace archwright::editor::view {

inline std::vector<float> numbers(double v) {
    return {static_cast<float>(v)};
}
inline std::vector<float> numbers(const Vec3& v) {
    return {static_cast<float>(v.x()), static_cast<float>(v.y()), static_cast<float>(v.z())};
}
inline std::vector<float> numbers(const picture::Colour& c) {
    return {static_cast<float>(c.r), static_cast<float>(c.g), static_cast<float>(c.b)};
}
/// Column-major.
inline std::vector<float> numbers(const Eigen::Matrix4d& m) {
    std::vector<float> out;
    for (int c = 0; c < 4; ++c)
        for (int r = 0; r < 4; ++r) out.push_back(static_cast<float>(m(r, c)));
    return out;
}

}  // namespace archwright::editor::view
