// What a laboratory measured on its bench: one table of readings, as a spreadsheet keeps it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/flex/bench.hpp"

namespace archwright::calibrate {

/// One line of the table: what the bench's own gauges show, zeroed wherever the operator chose.
struct Reading {
    double load_n = 0.0;
    double deflection_mm = 0.0;  ///< of the load, downwards (forefoot lift: upwards), the rig's share in it
    std::optional<double> slide_mm{};  ///< of the distal edge along the ground, forward
    int row = 0;                       ///< of the file
};

/// One loading of one device (or of the rigid block), its loads rising. Each has a zero of its own.
struct Loading {
    flex::LoadCase load_case = flex::LoadCase::arch_press;
    int run = 1;
    std::vector<Reading> readings;
};

struct MeasuredDevice {
    std::string code;
    std::filesystem::path job;   ///< as written, beside the measurements
    std::optional<Side> foot{};  ///< the only one of the job where it is not said
    double wall_mm = 0.0;        ///< measured on the device where the job asks for its base wall
    std::vector<Loading> loadings;
    int row = 0;  ///< its first
};

struct Measurements {
    std::string material;                        ///< key of the material's file
    std::optional<double> friction{};            ///< between device and plate, where it is known
    std::optional<double> distal_spring_n_mm{};  ///< what holds the distal edge in plane, where it is known
    std::optional<double> noise_mm{};            ///< standard deviation of one deflection, where it is known
    std::optional<double> slide_noise_mm{};      ///< and of one slide
    std::vector<Loading> rigid_block;            ///< what the rig itself gives
    std::vector<MeasuredDevice> devices;
    std::string sha256;  ///< of the file's bytes
};

/// Walls nearer than this are one wall: they flex too much alike to tell a support from a material.
inline constexpr double same_wall_mm = 0.25;
/// Number of walls that can be told apart among the devices.
std::size_t walls_of(const std::vector<MeasuredDevice>& devices);

/// Reads docs/calibration.md's table: lines "setting,value", then a line of column names, then the readings.
/// Faults (input) name file, row and column: a word that is no number, a column that is missing or unknown,
/// loads that fall, a device whose rows contradict each other, no rigid block, fewer than two walls.
Outcome<Measurements> read_measurements(const std::filesystem::path& path);
Outcome<Measurements> parse_measurements(std::string_view text, const std::string& name);

}  // namespace archwright::calibrate
