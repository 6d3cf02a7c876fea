#include "editor/view/handle_values.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "engine/base/text.hpp"
#include "engine/design/command_text.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::view {

namespace {

double to_step(double value, double step) {
    return neat(std::round(value / step) * step);
}

}  // namespace

double neat(double value) {
    constexpr double finest = 1e6;
    return std::round(value * finest) / finest;
}

Vec2 place_of(const Drag& drag) {
    if (drag.exact) return {neat(drag.to.x()), neat(drag.to.y())};
    return {to_step(drag.to.x(), 0.1), to_step(drag.to.y(), 0.1)};
}

Vec2 shift_of(const Drag& drag) {
    const Vec3 d = drag.to - drag.from;
    if (drag.exact) return {neat(d.x()), neat(d.y())};
    return {to_step(d.x(), 0.1), to_step(d.y(), 0.1)};
}

double in_range(double value, const char* parameter) {
    for (const design::Parameter& p : design::foot_parameters())
        if (p.name == std::string_view(parameter)) return std::clamp(value, p.low, p.high);
    return value;
}

double size_of(double value, const Drag& drag, const char* parameter) {
    return in_range(to_step(value, drag.snap ? 1.0 : 0.1), parameter);
}

double angle_of(double degrees, const Drag& drag) {
    return to_step(std::remainder(degrees, 360.0), drag.snap ? 5.0 : 0.5);
}

std::string set_line(const std::string& path, const std::string& value) {
    return "set " + design::as_word(path) + " " + value;
}

std::string set_line(const std::string& path, double value) {
    return set_line(path, exact(value));
}

std::string points_json(const std::vector<Vec2>& points) {
    std::string all = "[";
    for (const Vec2& p : points)
        all += (all.size() > 1 ? ", [" : "[") + exact(p.x()) + ", " + exact(p.y()) + "]";
    return all + "]";
}

std::string points_json(const std::vector<Vec3>& points) {
    std::string all = "[";
    for (const Vec3& p : points)
        all +=
            (all.size() > 1 ? ", [" : "[") + exact(p.x()) + ", " + exact(p.y()) + ", " + exact(p.z()) + "]";
    return all + "]";
}

std::string place_words(const Vec2& place) {
    return "x " + rounded(place.x(), 1) + ", y " + rounded(place.y(), 1);
}

std::string size_words(double now, double was, const char* unit) {
    return rounded(now, 1) + unit + ", was " + rounded(was, 1);
}

}  // namespace archwright::editor::view
