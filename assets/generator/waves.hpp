// A smooth random field.
#pragma once

#include <vector>

#include "assets/generator/random.hpp"
#include "engine/base/vec.hpp"

namespace archwright::generator {

/// Sum of plane waves in random directions, of mean 0 and rms 1 over space, wavelengths between two bounds.
class Waves {
  public:
    Waves(Random random, double shortest_mm, double longest_mm, int count) {
        for (int i = 0; i < count; ++i) {
            Vec3 d;
            do {
                // one after the other: compilers differ in the order of arguments, and a seed is one foot
                d.z() = random.normal();
                d.y() = random.normal();
                d.x() = random.normal();
            } while (!(d.norm() > 1e-3));
            const double length = random.between(shortest_mm, longest_mm);
            waves_.push_back({d.normalized() * (2.0 * std::numbers::pi / length),
                              random.between(0.0, 2.0 * std::numbers::pi)});
        }
    }
    double operator()(const Vec3& p) const {
        double sum = 0.0;
        for (const Wave& w : waves_) sum += std::cos(w.k.dot(p) + w.phase);
        return sum * std::sqrt(2.0 / static_cast<double>(waves_.size()));
    }

  private:
    struct Wave {
        Vec3 k;
        double phase;
    };
    std::vector<Wave> waves_;
};

}  // namespace archwright::generator
