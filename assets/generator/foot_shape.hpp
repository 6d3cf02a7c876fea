// What a foot is asked to be, and the survey that says what feet are.
#pragma once

#include <cstdint>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"

namespace archwright::generator {

/// A foot, unloaded, by the numbers a laboratory measures. Lengths in mm, angles in degrees. Everything
/// that is asked here is what the finished surface measures, by the definitions of FootTruth.
struct FootShape {
    Side side = Side::right;
    double length_mm = 246.0;           ///< posterior heel to the longest toe, along +x
    double ball_length_mm = 181.8;      ///< posterior heel to the border of the 1st metatarsal head, along +x
    double forefoot_breadth_mm = 92.7;  ///< across the borders of the 1st and 5th heads, along y
    double heel_breadth_mm = 67.1;      ///< width of the heel at 0.16 of the length
    double arch_height_mm = 17.0;       ///< highest sole in the section y = half of the 1st head's
    double forefoot_to_rearfoot_deg = 0.0;  ///< positive inverted (docs/decisions.md)
    double heel_bisection_deg = 0.0;        ///< positive inverted
    double instep_height_mm = 63.0;         ///< dorsum of the unblended body at half the length (about)
    double second_toe_mm = -3.0;            ///< how far the 2nd toe reaches beyond the great toe
    double hallux_valgus_deg = 6.0;         ///< great toe's direction, towards the lesser toes
    double fifth_head_back = 0.105;  ///< how far the 5th head lies behind the 1st, as a share of the length
    double ankle_height_mm = 98.0;   ///< where the surface ends, above the supporting plane
    double toe_web_mm = 3.0;         ///< depth of the rounding between toes; about 9 under plaster
};

/// A fault naming the first dimension that is out of range, with its range. Ranges cover the survey's
/// extremes and children's feet from 110 mm.
Outcome<Done> check(const FootShape& shape);

/// One dimension of a survey: 5th and 95th percentile.
struct Percentiles {
    double low, high;
};
enum class Population { woman, man, child };
struct Survey {
    Percentiles length_mm, ball_length_mm, forefoot_breadth_mm, heel_breadth_mm;
};
/// Women (n 1986) and men (n 4082): ANSUR II, 2012, public data; method in Gordon et al. 2014,
/// NATICK/TR-15/007. Children: no survey, only a range of our own choice in the same proportions.
const Survey& survey(Population population);

/// A foot drawn at random, every dimension within the survey's 5th to 95th percentile and in proportions
/// within two standard deviations of its mean ratios; side, arch, angles and toes drawn too. Same seed,
/// same foot.
FootShape random_foot(std::uint64_t seed);
FootShape random_foot(std::uint64_t seed, Population population);

}  // namespace archwright::generator
