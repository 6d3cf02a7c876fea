#include "engine/mill/sweep.hpp"

namespace archwright::mill {

namespace {

constexpr double needle_step_mm = 1e-3;  // changes smaller than this are not looked for

}  // namespace

void Needle::meet(const Sweep& sweep) {
    const auto inside = [&](double t) {
        const Vec3 p = place + t * normal;
        return p.z() >= sweep.lowest && sweep.cut(p.x(), p.y()) <= p.z();
    };
    // what a move takes is convex: along the needle one stretch, so its end is found by halving
    const auto inmost = [&](double within) {
        double out = -length_mm, in = within;
        if (inside(out)) return out;
        while (in - out > 1e-6) (inside(0.5 * (in + out)) ? in : out) = 0.5 * (in + out);
        return in;
    };
    if (left > 0.0) {
        if (inside(left - needle_step_mm)) {
            const double reached = inmost(left - needle_step_mm);
            left = std::max(0.0, reached);
            cut = std::max(cut, -reached);
        } else if (inside(-needle_step_mm)) {
            cut = std::max(cut, -inmost(-needle_step_mm));
        }
    } else if (inside(-cut - needle_step_mm)) {
        cut = -inmost(-cut - needle_step_mm);
    }
}

}  // namespace archwright::mill
