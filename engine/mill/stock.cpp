#include "engine/mill/stock.hpp"

namespace archwright::mill {

double take_off(HeightGrid& top, const Cutter& cutter, const Vec3& a, const Vec3& b, int first, int last) {
    const double r = cutter.radius(), lowest = std::min(a.z(), b.z());
    if (lowest >= 0.0) return 0.0;
    const auto cell = [&](double value, double from, int count, bool up) {
        const double at = (value - from) / top.step;
        return std::clamp(static_cast<int>(up ? std::ceil(at) : std::floor(at)), 0, count);
    };
    const int i0 = cell(std::min(a.x(), b.x()) - r, top.x0, top.nx, true);
    const int i1 = cell(std::max(a.x(), b.x()) + r, top.x0, top.nx - 1, false);
    const int k0 = std::max(first, cell(std::min(a.y(), b.y()) - r, top.y0, top.ny, true));
    const int k1 = std::min(last - 1, cell(std::max(a.y(), b.y()) + r, top.y0, top.ny - 1, false));
    double deepest = 0.0;
    for (int k = k0; k <= k1; ++k)
        for (int i = i0; i <= i1; ++i) {
            double& z = top.at(i, k);
            if (z <= lowest) continue;
            const double cut = lowest_cut(cutter, a, b, top.x(i), top.y(k));
            if (cut >= z) continue;
            deepest = std::max(deepest, z - cut);
            z = cut;
        }
    return deepest;
}

StockTop::StockTop(const Vec3& block, double step) {
    Box3 box;
    box.add(Vec3(-0.5 * block.x(), -0.5 * block.y(), 0.0));
    box.add(Vec3(0.5 * block.x(), 0.5 * block.y(), 0.0));
    top_ = *grid_over(box, 0.0, step);
    std::fill(top_.z.begin(), top_.z.end(), 0.0);
}

void StockTop::cut(const Cutter& cutter, const Vec3& a, const Vec3& b) {
    const double less = 0.75 * top_.step;
    if (cutter.radius() <= less) return;
    Cutter smaller = cutter;
    smaller.diameter -= 2.0 * less;
    smaller.corner_radius = cutter.ball() ? smaller.radius() : std::max(0.0, cutter.corner_radius - less);
    const Vec3 up(0.0, 0.0, less);
    take_off(top_, smaller, a + up, b + up, 0, top_.ny);
}

double StockTop::highest(double x, double y, double reach) const {
    const double wide = reach + top_.step;  // between nodes it may be as high as at the next
    const auto index = [&](double value, double from, int count) {
        return std::clamp(static_cast<int>(std::lround((value - from) / top_.step)), 0, count - 1);
    };
    double high = -1e9;
    for (int k = index(y - wide, top_.y0, top_.ny); k <= index(y + wide, top_.y0, top_.ny); ++k)
        for (int i = index(x - wide, top_.x0, top_.nx); i <= index(x + wide, top_.x0, top_.nx); ++i)
            if (std::hypot(top_.x(i) - x, top_.y(k) - y) <= wide) high = std::max(high, top_.at(i, k));
    return std::min(high, 0.0);
}

}  // namespace archwright::mill
