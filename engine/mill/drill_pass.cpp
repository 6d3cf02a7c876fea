#include "engine/mill/passes.hpp"

namespace archwright::mill {

namespace {

constexpr double drill_over_mm = 1.0;   // above the face, and where chips are cleared
constexpr double drill_again_mm = 0.5;  // a rapid ends that far above where the last peck ended

}  // namespace

Operation drill_holes(const std::vector<Vec2>& places, const Cutter& drill, const Speeds& speeds,
                      double depth, double peck, double clearance) {
    Operation operation{"pin holes", drill, speeds.turns, {}};
    const auto rapid = [&](const Vec2& p, double z) {
        operation.moves.push_back({{p.x(), p.y(), z}, true, 0.0});
    };
    for (const Vec2& p : places) {
        rapid(p, clearance);
        rapid(p, drill_over_mm);
        for (double done = 0.0; done < depth;) {
            const double next = depth - done < 1.5 * peck ? depth : done + peck;
            if (done > 0.0) rapid(p, drill_again_mm - done);
            operation.moves.push_back({{p.x(), p.y(), -next}, false, speeds.plunge});
            rapid(p, drill_over_mm);
            done = next;
        }
        rapid(p, clearance);
    }
    return operation;
}

}  // namespace archwright::mill
