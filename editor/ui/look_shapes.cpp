#include <algorithm>
#include <cmath>
#include <numbers>

#include "editor/ui/look.hpp"

namespace archwright::editor::ui {

namespace {

constexpr double pi = std::numbers::pi;

}  // namespace

void Look::fill(const Box& box, const Colour& colour, double radius, double alpha) {
    list->AddRectFilled({px(box.x), px(box.y)}, {px(box.right()), px(box.bottom())}, ink(colour, alpha),
                        px(radius));
}

void Look::frame(const Box& box, const Colour& colour, double radius, double width) {
    const float w = std::max(1.0f, std::floor(static_cast<float>(width * scale)));
    list->AddRect({px(box.x) + 0.5f * w, px(box.y) + 0.5f * w},
                  {px(box.right()) - 0.5f * w, px(box.bottom()) - 0.5f * w}, ink(colour),
                  std::max(0.0f, px(radius) - 0.5f * w), 0, w);
}

// straight rules are filled rectangles: a stroke of even width would lie on half pixels
void Look::rule_across(double x0, double x1, double y, const Colour& colour) {
    const float w = std::max(1.0f, std::floor(static_cast<float>(scale)));
    list->AddRectFilled({px(x0), px(y)}, {px(x1), px(y) + w}, ink(colour));
}
void Look::rule_down(double x, double y0, double y1, const Colour& colour) {
    const float w = std::max(1.0f, std::floor(static_cast<float>(scale)));
    list->AddRectFilled({px(x), px(y0)}, {px(x) + w, px(y1)}, ink(colour));
}

void Look::line(const Vec2& a, const Vec2& b, const Colour& colour, double width, double alpha) {
    list->AddLine(at(a), at(b), ink(colour, alpha), static_cast<float>(width * scale));
}

void Look::polyline(const std::vector<Vec2>& points, bool closed, const Colour& colour, double width,
                    double alpha) {
    if (points.size() < 2) return;
    std::vector<ImVec2> screen;
    screen.reserve(points.size());
    for (const Vec2& p : points) screen.push_back(at(p));
    list->AddPolyline(screen.data(), static_cast<int>(screen.size()), ink(colour, alpha),
                      closed ? ImDrawFlags_Closed : 0, static_cast<float>(width * scale));
}

void Look::dashed(const std::vector<Vec2>& points, bool closed, const Colour& colour, double width,
                  const std::vector<double>& dashes, double alpha) {
    if (points.size() < 2 || dashes.empty()) return;
    std::size_t which = 0;
    double left = dashes[0];
    std::vector<Vec2> run{points[0]};
    const std::size_t n = points.size();
    for (std::size_t i = 0; i + (closed ? 0 : 1) < n; ++i) {
        const Vec2 &a = points[i], &b = points[(i + 1) % n];
        const double length = (b - a).norm();
        if (!(length > 0)) continue;
        double done = 0;
        while (length - done > left) {
            done += left;
            run.push_back(a + (b - a) * (done / length));
            if (which % 2 == 0) polyline(run, false, colour, width, alpha);
            run = {run.back()};
            which = (which + 1) % dashes.size();
            left = dashes[which];
        }
        left -= length - done;
        run.push_back(b);
    }
    if (which % 2 == 0) polyline(run, false, colour, width, alpha);
}

void Look::disc(const Vec2& p, double radius, const Colour& colour, double alpha) {
    list->AddCircleFilled(at(p), static_cast<float>(radius * scale), ink(colour, alpha));
}
void Look::ring(const Vec2& p, double radius, const Colour& colour, double width, double alpha) {
    list->AddCircle(at(p), static_cast<float>(radius * scale), ink(colour, alpha), 0,
                    static_cast<float>(width * scale));
}

void Look::clip(const Box& box) {
    list->PushClipRect({px(box.x), px(box.y)}, {px(box.right()), px(box.bottom())}, true);
}
void Look::unclip() {
    list->PopClipRect();
}

Colour Look::sign_colour(Sign sign) const {
    switch (sign) {
        case Sign::pass:
            return theme().pass;
        case Sign::look:
        case Sign::looked_signed:
            return theme().look;
        case Sign::stop:
            return theme().stop;
        case Sign::working:
            return theme().accent;
        case Sign::waiting:
            break;
    }
    return theme().faint;
}

void Look::sign(const Vec2& c, Sign sign, double size) {
    const double r = 6.0 * size, w = 1.5;
    const Colour colour = sign_colour(sign);
    const auto tick = [&](double k) {
        polyline({c + k * Vec2(-2.7, 0.2), c + k * Vec2(-0.8, 2.2), c + k * Vec2(2.9, -2.2)}, false, colour,
                 w);
    };
    switch (sign) {
        case Sign::pass:
            ring(c, r, colour, w);
            tick(size);
            break;
        case Sign::look:
        case Sign::looked_signed: {
            const double d = 7.6 * size;
            const ImVec2 corners[4] = {at(c + Vec2(0, -d)), at(c + Vec2(d, 0)), at(c + Vec2(0, d)),
                                       at(c + Vec2(-d, 0))};
            list->AddConvexPolyFilled(corners, 4, ink(theme().look_fill));
            list->AddPolyline(corners, 4, ink(colour), ImDrawFlags_Closed, static_cast<float>(w * scale));
            if (sign == Sign::look) {
                line(c + size * Vec2(0, -3.4), c + size * Vec2(0, 0.9), colour, 1.8);
                disc(c + size * Vec2(0, 3.1), 1.1 * size, colour);
            } else {
                tick(0.95 * size);
            }
            break;
        }
        case Sign::stop:
            fill({c.x() - r, c.y() - r, 2 * r, 2 * r}, colour, 2);
            fill({c.x() - 3.4 * size, c.y() - 1.1 * size, 6.8 * size, 2.2 * size}, theme().panel);
            break;
        case Sign::working:
            ring(c, r, theme().frame, w);
            list->PathArcTo(at(c), static_cast<float>(r * scale), static_cast<float>(-0.5 * pi),
                            static_cast<float>(0.25 * pi), 16);
            list->PathStroke(ink(colour), 0, static_cast<float>(2.0 * scale));
            break;
        case Sign::waiting:
            ring(c, 3.5 * size, colour, w);
            break;
    }
}

void Look::relief_sign(const Vec2& c, bool hollow, const Colour& colour) {
    const double r = hollow ? 6.0 : 4.2;
    ring(c, r, colour, 1.4);
    for (int k = 0; k < 8; ++k) {
        const double a = pi * k / 4.0;
        const Vec2 way(std::cos(a), std::sin(a));
        line(c + r * way, c + (hollow ? r - 2.4 : r + 2.6) * way, colour, 1.3);
    }
}

double Look::key_cap(double right, double y, std::string_view key) {
    const double width = measure(key, Face::small) + 10;
    frame({right - width, y - 9, width, 18}, theme().frame, 3);
    text(key, {right - 0.5 * width, y}, width, Face::small, theme().faint, Align::centre);
    return width;
}

void Look::disc_letter(const Vec2& c, std::string_view letter) {
    disc(c, 8, theme().accent);
    text(letter, c, 16, Face::small_strong, theme().on_accent, Align::centre);
}

}  // namespace archwright::editor::ui
