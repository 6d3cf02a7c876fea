// Drawings made of known curves, and what is read back from them.
#pragma once

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "engine/base/text.hpp"
#include "engine/shoe/insole.hpp"
#include "engine/shoe/read.hpp"

namespace archwright::tests {

inline constexpr double pi = std::numbers::pi;

/// An SVG page of 300 by 400 mm whose units are mm, with this inside.
inline std::string svg(const std::string& inside,
                       const std::string& page = "width=\"300mm\" height=\"400mm\" viewBox=\"0 0 300 400\"") {
    return "<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" " + page + ">\n" + inside +
           "\n</svg>\n";
}

/// A DXF of these entities; $INSUNITS 4: mm.
inline std::string dxf(const std::string& entities, const std::string& insunits = "4") {
    return "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n" + insunits + "\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n" +
           entities + "0\nENDSEC\n0\nEOF\n";
}

/// Groups of one entity: code and value.
inline std::string entity(const std::string& kind, const std::vector<std::pair<int, double>>& groups) {
    std::string text = "0\n" + kind + "\n8\n0\n";
    for (const auto& [code, value] : groups) text += std::to_string(code) + "\n" + exact(value) + "\n";
    return text;
}

inline Outcome<shoe::Drawing> read(const std::string& text, const std::string& name = "insole.svg") {
    return shoe::read_drawing_bytes(std::as_bytes(std::span(text.data(), text.size())), name);
}

inline shoe::Outline outline_of(const std::string& text) {
    const auto drawing = read(text);
    if (!drawing) FAIL(drawing.fault().message);
    return drawing->outline;
}

inline shoe::Outline polygon(const std::vector<Vec2>& points) {
    auto outline = shoe::Outline::of(points, "polygon");
    if (!outline) FAIL(outline.fault().message);
    return std::move(*outline);
}

/// A disc as a polygon of many corners, on its circle.
inline shoe::Outline disc(const Vec2& centre, double radius, int corners = 4000) {
    std::vector<Vec2> points;
    for (int i = 0; i < corners; ++i) {
        const double angle = 2.0 * pi * i / corners;
        points.push_back(centre + radius * Vec2(std::cos(angle), std::sin(angle)));
    }
    return polygon(points);
}

/// An asymmetric shape like the insole of a right foot seen from above: heel at the origin, toes along +x,
/// medial on +y; in closed form, so that nothing of the engine's own construction is in it.
inline shoe::Outline right_insole(int points = 400) {
    std::vector<Vec2> all;
    for (int i = 0; i < points; ++i) {
        const double angle = 2.0 * pi * i / points;
        const double x = 125.0 - 125.0 * std::cos(angle);
        const double half = (32.0 + 14.0 * x / 250.0) * std::sin(angle);
        const double bent = 9.0 * std::sin(pi * x / 250.0) - 0.06 * x;  // inward curve of the axis
        all.emplace_back(x, -half - bent);
    }
    return polygon(all);
}

inline std::string path_of(const shoe::Outline& outline, double sx, double sy, const Vec2& shift) {
    std::string d = "M";
    for (const Vec2& p : outline.points())
        d += " " + exact(sx * p.x() + shift.x()) + " " + exact(sy * p.y() + shift.y());
    return "<path d=\"" + d + " Z\"/>";
}

}  // namespace archwright::tests
