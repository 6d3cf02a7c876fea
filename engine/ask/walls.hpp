// Walls of a job as unknowns, each with its limits.
#pragma once

#include <string>
#include <vector>

#include "engine/ask/question.hpp"
#include "engine/design/material.hpp"

namespace archwright::ask {

/// One wall of the map as a number: mm, of a relative rigidity the wall it makes (base x cube root), of a
/// scale the scale.
struct AskedWall {
    enum class Where { base, station, medial_column, lateral_column, region };
    Where where = Where::base;
    std::size_t index = 0;  ///< of a station or region
    std::string name;       ///< for people
    design::WallZone::Kind kind = design::WallZone::Kind::wall;
    double now = 0.0, low = 0.0, high = 0.0;

    std::string parameter() const;
    std::string name_in_list{};  ///< of a region
};

/// The chosen walls with their limits: what the question says, the material's least and greatest wall where
/// it says nothing, and never beyond what a job may say. Of a scale they are the limits over the thinnest and
/// the thickest base or station. Faults (usage, stage "ask"): no such wall, with those there are; one named
/// twice; limits that leave nothing; a base that no wall of the map stands on.
Outcome<std::vector<AskedWall>> asked_walls(const Question& question, const design::Wall& wall,
                                            const design::Material& material);

/// The map with these values: the base first, so that rigidities relative to it make the walls meant.
design::Wall with_values(const design::Wall& wall, const std::vector<AskedWall>& asked,
                         const std::vector<double>& values);

/// To 0.001, as a job says it, and within the limits.
std::vector<double> as_written(const std::vector<AskedWall>& asked, std::vector<double> values);
/// The map with values as they are written; a relative rigidity to 0.0001, a hundredth of what 0.001 mm of
/// its wall are.
design::Wall written_wall(const design::Wall& wall, const std::vector<AskedWall>& asked,
                          const std::vector<double>& values);

/// What is set, as text, in the order to set it.
std::vector<std::pair<std::string, std::string>> settings(const design::Wall& wall,
                                                          const std::vector<AskedWall>& asked);

/// Names of all walls that can be asked of, for messages and boxes.
std::vector<std::string> walls_of(const design::Wall& wall);

}  // namespace archwright::ask
