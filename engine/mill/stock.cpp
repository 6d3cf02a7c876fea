#include "engine/mill/stock.hpp"

namespace archwright::mill {

namespace {

using Four = Eigen::Array<double, 4, 1>;  // columns beside each other, reckoned at once

/// Sweep::cut of a ball at four places beside each other, x + 0, 1, 2, 3 steps.
Four four_cuts(const Sweep& sweep, double x, double y, double step) {
    const Four ax = sweep.a.x() - x - step * Four(0.0, 1.0, 2.0, 3.0);
    const double ay = sweep.a.y() - y;
    const Four aside = ax * sweep.ey - ay * sweep.ex, start = ax * sweep.ex + ay * sweep.ey;
    const Four square = sweep.r * sweep.r - aside * aside;
    const Four chord = square.max(0.0).sqrt();
    const Four low = start.max(-chord), high = (start + sweep.length).min(chord);
    const Four u = (chord * sweep.lean).max(low).min(high);
    const Four cut = sweep.a.z() + sweep.r + sweep.slope * (u - start) - (square - u * u).max(0.0).sqrt();
    return (square >= 0.0 && low <= high).select(cut, Sweep::never);
}

}  // namespace

double take_off(HeightGrid& top, const Sweep& sweep, int first, int last, const HeightGrid* below) {
    if (sweep.lowest >= 0.0) return 0.0;
    const double r = sweep.r;
    const Vec3 &a = sweep.a, &b = sweep.b;
    const auto cell = [&](double value, double from, int count, bool up) {
        const double at = (value - from) / top.step;
        return std::clamp(static_cast<int>(up ? std::ceil(at) : std::floor(at)), 0, count);
    };
    const int k0 = std::max(first, cell(std::min(a.y(), b.y()) - r, top.y0, top.ny, true));
    const int k1 = std::min(last - 1, cell(std::max(a.y(), b.y()) + r, top.y0, top.ny - 1, false));
    const bool by_four = sweep.ball && sweep.length > 0.0;
    const double dy = b.y() - a.y();
    double deepest = 0.0;
    for (int k = k0; k <= k1; ++k) {
        const double y = top.y(k);
        // the part of the way that comes near this row
        double from = 0.0, to = 1.0;
        if (dy != 0.0) {
            const double enter = (y - r - a.y()) / dy, leave = (y + r - a.y()) / dy;
            from = std::clamp(std::min(enter, leave), 0.0, 1.0);
            to = std::clamp(std::max(enter, leave), 0.0, 1.0);
        }
        const double xa = a.x() + from * (b.x() - a.x()), xb = a.x() + to * (b.x() - a.x());
        const int i0 = cell(std::min(xa, xb) - r - 1e-9, top.x0, top.nx, true);
        const int i1 = cell(std::max(xa, xb) + r + 1e-9, top.x0, top.nx - 1, false);
        int i = i0;
        if (by_four)
            for (; i + 3 <= i1; i += 4) {
                Eigen::Map<Four> z(&top.at(i, k));
                if (!(z > sweep.lowest).any()) continue;
                const Four cut = four_cuts(sweep, top.x(i), y, top.step);
                deepest = std::max(deepest, (z - cut).maxCoeff());
                z = z.min(cut);
                if (below != nullptr) {
                    const Eigen::Map<const Four> low(&below->z[static_cast<std::size_t>(k) * top.nx + i]);
                    z = (z <= low).select(no_height, z);
                }
            }
        for (; i <= i1; ++i) {
            double& z = top.at(i, k);
            if (z <= sweep.lowest) continue;
            const double cut = sweep.cut(top.x(i), y);
            if (cut >= z) continue;
            deepest = std::max(deepest, z - cut);
            z = below != nullptr && cut <= below->at(i, k) ? no_height : cut;
        }
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
    take_off(top_, Sweep(smaller, a + up, b + up), 0, top_.ny);
}

double StockTop::free_for(const Cutter& cutter, double x, double y) const {
    const double nearer = 0.75 * top_.step, wide = cutter.radius() + nearer;
    const auto index = [&](double value, double from, int count) {
        return std::clamp(static_cast<int>(std::lround((value - from) / top_.step)), 0, count - 1);
    };
    double free = -1e9;
    for (int k = index(y - wide, top_.y0, top_.ny); k <= index(y + wide, top_.y0, top_.ny); ++k)
        for (int i = index(x - wide, top_.x0, top_.nx); i <= index(x + wide, top_.x0, top_.nx); ++i) {
            const double away = std::hypot(top_.x(i) - x, top_.y(k) - y);
            if (away <= wide)
                free = std::max(free,
                                top_.at(i, k) - cutter.rise(std::clamp(away - nearer, 0.0, cutter.radius())));
        }
    return std::min(free, 0.0);
}

bool StockTop::cleared(const Cutter& cutter, double x, double y, double z) const {
    const double less = 0.75 * top_.step, wide = cutter.radius() - less;
    const auto index = [&](double value, double from, int count) {
        return std::clamp(static_cast<int>(std::lround((value - from) / top_.step)), 0, count - 1);
    };
    for (int k = index(y - wide, top_.y0, top_.ny); k <= index(y + wide, top_.y0, top_.ny); ++k)
        for (int i = index(x - wide, top_.x0, top_.nx); i <= index(x + wide, top_.x0, top_.nx); ++i) {
            const double away = std::hypot(top_.x(i) - x, top_.y(k) - y);
            if (away <= wide && top_.at(i, k) > z + less + cutter.rise(away) + 1e-6) return false;
        }
    return true;
}

}  // namespace archwright::mill
