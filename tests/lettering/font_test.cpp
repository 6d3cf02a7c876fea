// The characters: within their box, each another shape; lines set with clear space.
#include "engine/lettering/font.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "engine/lettering/layout.hpp"
#include "engine/lettering/outline.hpp"

using namespace archwright;
using namespace archwright::lettering;

namespace {

// Points of all strokes, a tenth of a unit apart.
std::vector<Vec2> dense(const Glyph& glyph) {
    std::vector<Vec2> points;
    for (const Stroke& stroke : glyph.strokes)
        for (std::size_t k = 0; k < stroke.size(); ++k) {
            const Vec2 a = stroke[k], b = stroke[std::min(k + 1, stroke.size() - 1)];
            const int parts = 1 + static_cast<int>((b - a).norm() / 0.1);
            for (int i = 0; i < parts; ++i) points.push_back(a + (b - a) * (1.0 * i / parts));
        }
    return points;
}

// Greatest distance from a point of one set to the other set, both ways (Hausdorff).
double apart(const std::vector<Vec2>& a, const std::vector<Vec2>& b) {
    double most = 0.0;
    for (const auto* one : {&a, &b})
        for (const Vec2& p : *one) {
            double least = 1e300;
            for (const Vec2& q : one == &a ? b : a) least = std::min(least, (p - q).norm());
            most = std::max(most, least);
        }
    return most;
}

double area(const std::vector<Ring>& rings) {
    double sum = 0.0;
    for (const Ring& ring : rings)
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Vec2 &a = ring[i], &b = ring[(i + 1) % ring.size()];
            sum += 0.5 * (a.x() * b.y() - a.y() * b.x());
        }
    return sum;
}

}  // namespace

TEST_CASE("every character lies in its box, touches its sides and ends", "[font]") {
    for (const char c : characters) {
        const auto one = glyph(c);
        INFO(c);
        REQUIRE(one.has_value());
        if (c == ' ') {
            CHECK(one->strokes.empty());
            CHECK(one->width > 0.0);
            continue;
        }
        Vec2 low(1e9, 1e9), high(-1e9, -1e9);
        for (const Vec2& p : dense(*one)) {
            low = low.cwiseMin(p);
            high = high.cwiseMax(p);
        }
        CHECK(low.x() >= -1e-9);
        CHECK(low.y() >= -1e-9);
        CHECK(high.x() <= one->width + 1e-9);
        CHECK(high.y() <= capital_units + 1e-9);
        // no box wider than what it holds by more than a little: the gaps between letters are even
        CHECK(low.x() <= 0.35);
        CHECK(high.x() >= one->width - 0.35);
        if (c == '-' || c == '.') continue;
        CHECK(low.y() <= 0.01);
        CHECK(high.y() >= capital_units - 0.01);
    }
    for (const char c : std::string_view("az_,:\xc3")) CHECK_FALSE(glyph(c).has_value());
}

TEST_CASE("no two characters are alike, nor one the mirror image of another", "[font]") {
    for (const char a : characters)
        for (const char b : characters) {
            if (a == ' ' || b == ' ' || a >= b) continue;
            const Glyph one = *glyph(a), two = *glyph(b);
            INFO(a << " and " << b);
            // about the same middle; a stroke is 1.3 units broad at the usual size
            auto p = dense(one), q = dense(two);
            for (Vec2& v : p) v.x() -= 0.5 * one.width;
            for (Vec2& v : q) v.x() -= 0.5 * two.width;
            CHECK(apart(p, q) > 0.55);
        }
    // letters that have a mirror image of their own cannot be read the wrong way round unseen
    for (const char c : std::string_view("BCDEFGJKLNPQRSZ1234567")) {
        Glyph one = *glyph(c);
        const auto p = dense(one);
        auto q = p;
        for (Vec2& v : q) v.x() = one.width - v.x();
        INFO(c);
        CHECK(apart(p, q) > 0.55);
    }
}

TEST_CASE("lines are set within their box, letters clear of one another", "[layout]") {
    const Style style{5.0, 0.9, 0.4};
    const Layout layout = set_lines({"LARK-2207", "R A"}, style);
    CHECK(layout.letters.size() == 11);
    CHECK(layout.half_size.y() == Approx(0.5 * (5.0 + 8.0)));
    const double half = 0.5 * style.stroke_mm;
    for (std::size_t i = 0; i < layout.letters.size(); ++i) {
        std::vector<Vec2> mine;
        for (const Stroke& stroke : layout.letters[i].strokes)
            for (const Vec2& p : stroke) {
                CHECK(std::abs(p.x()) <= layout.half_size.x() - half + 1e-9);
                CHECK(std::abs(p.y()) <= layout.half_size.y() - half + 1e-9);
            }
        Layout one, two;
        one.letters = {layout.letters[i]};
        for (std::size_t k = 0; k < i; ++k) two.letters.push_back(layout.letters[k]);
        Layout all = two;
        all.letters.push_back(layout.letters[i]);
        // joined they cover what they cover alone: none overlaps another
        CHECK(area(outlines(all, style).edge) ==
              Approx(area(outlines(one, style).edge) + area(outlines(two, style).edge)).epsilon(1e-6));
    }
}

TEST_CASE("outlines have the areas of the strokes they go round", "[outline]") {
    const Style style{8.0, 1.1, 0.4};
    const double run = flank_run_mm(style), pi = 3.14159265358979323846;
    CHECK(run == Approx(0.4 / std::sqrt(3.0)));
    for (const char c : std::string_view("-0O.")) {
        const Layout layout = set_lines({std::string(1, c)}, style);
        const Outlines lines = outlines(layout, style);
        for (const double half : {0.55, 0.55 - run}) {
            // a tube about a smooth line: breadth times length, and the round ends of an open one
            const bool open = c == '-' || c == '.';
            const double truth = 2.0 * half * layout.stroke_length() + (open ? pi * half * half : 0.0);
            INFO(c << " half " << half);
            CHECK(area(half == 0.55 ? lines.edge : lines.floor) == Approx(truth).epsilon(0.025));
        }
    }
}

TEST_CASE("texts and styles that cannot be made are refused with what to do", "[layout]") {
    CHECK(text_trouble("R2 / 17-C.").empty());
    CHECK(text_trouble(std::string(longest_text, 'A')).empty());
    CHECK(text_trouble(std::string(longest_text + 1, 'A')).find("24") != std::string::npos);
    CHECK(text_trouble("Ab").find("small letters") != std::string::npos);
    CHECK(text_trouble("A_B").find("A-Z") != std::string::npos);
    CHECK(text_trouble("\xc3\x84").find("A-Z") != std::string::npos);
    CHECK(text_trouble(std::string("A\0B", 3)).find("A-Z") != std::string::npos);
    CHECK(style_trouble({5.0, 0.9, 0.4}).empty());
    CHECK(style_trouble({3.0, 0.9, 0.4}).find("0.70") != std::string::npos);
    CHECK(style_trouble({5.0, 0.6, 0.6}).find(".depth_mm") == 0);
}
