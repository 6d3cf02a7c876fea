// What stands on the foot's surface that is not the foot: faults, roughness, noise.
#pragma once

#include "assets/generator/cast.hpp"
#include "assets/generator/sole_line.hpp"
#include "assets/generator/waves.hpp"

namespace archwright::generator {

/// Heights along the normal of the foot, mm, positive away from it.
class Relief {
  public:
    /// Fault: a place of the spec that is not on the sole.
    static Outcome<Relief> lay(const Foot& foot, const CastSpec& spec);

    /// Faults alone: smooth, exact.
    double faults(const Vec3& p) const;
    /// Roughness and noise of one vertex.
    double noise(const Vec3& p, std::size_t vertex) const;

  private:
    Relief(const Foot& foot, const CastSpec& spec);

    double heel_flat(const Vec3& p) const;
    double seam(const Vec3& p) const;

    struct Dome {
        Vec3 at;
        double radius, height;
    };
    struct Ridge {
        SoleLine line;
        double sigma, height;
    };
    struct Patch {
        Vec3 at;
        double radius, rms;
        Waves waves;
    };

    Foot foot_;
    std::optional<Seam> seam_;
    std::optional<HeelFlat> heel_flat_;
    std::vector<Dome> domes_;
    std::vector<Ridge> ridges_;
    std::vector<Patch> patches_;
    double noise_mm_;
    std::uint64_t seed_;
    Waves long_waves_;
};

}  // namespace archwright::generator
