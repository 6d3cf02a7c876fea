// The same landmarks marked again and again: how far a technician's places scatter.
#pragma once

#include <map>

#include "engine/foot/landmarks.hpp"
#include "engine/study/casts.hpp"

namespace archwright::study {

/// Scatter of one landmark's place, in the directions of the foot, standard deviations, mm.
struct LandmarkSpread {
    foot::LandmarkId id = foot::LandmarkId::heel_centre;
    int casts = 0;              ///< marked twice or more
    int markings = 0;           ///< on them
    Vec3 sd_mm = Vec3::Zero();  ///< along the foot, across it, up
    /// One for all directions: the root of their mean square. What foot::Landmark::sd_mm means.
    double sd_all_mm = 0.0;
    double sd_low_mm = 0.0, sd_high_mm = 0.0;  ///< its 95 % limits by chi squared
};

/// Of casts in the table more than once that differ in `marking` alone (same foot, caster, method, repeat),
/// the landmarks that a person set. In the frame of the first marking's cast, so that a cast that stands
/// otherwise for another marking counts no scatter of its own.
std::vector<LandmarkSpread> landmark_spreads(const Table& table, const Casts& casts);

/// The same as text that `archwright landmark --spread` reads: one line a landmark, "key,sd_mm".
std::string spreads_file(const std::vector<LandmarkSpread>& spreads, const std::string& study);
/// Reads it back. Faults (input) name file, line and word.
Outcome<std::map<foot::LandmarkId, double>> read_spreads(const std::filesystem::path& path);
Outcome<std::map<foot::LandmarkId, double>> parse_spreads(std::string_view text, const std::string& name);

}  // namespace archwright::study
