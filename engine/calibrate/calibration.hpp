// A laboratory's calibration: measurements in, the material's modulus and what it is worth out.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/calibrate/device_tables.hpp"
#include "engine/calibrate/fit.hpp"
#include "engine/calibrate/measurements.hpp"
#include "engine/design/material.hpp"

namespace archwright::calibrate {

/// A device left out and predicted from the others.
struct HeldOut {
    double share = 0.0;   ///< stiffer (+) than predicted
    double within = 0.0;  ///< half width of what was to be expected, 95 %, times or by 1 + this
    bool inside = false;
};

struct CalibratedReading {
    flex::LoadCase load_case = flex::LoadCase::arch_press;
    int run = 1, row = 0;
    double load_n = 0.0;
    std::optional<double> deflection_mm{}, slide_mm{};  ///< what the fit leaves: measured less fitted
    bool left_out = false;                              ///< the arch rests, or nearly
    bool far = false;                                   ///< by more than 3.5 times the noise
};

struct CalibratedOne {
    std::string code;
    double wall_mm = 0.0;
    double scale = 1.0;        ///< its own modulus over that of all
    double touchdown_n = 0.0;  ///< the arch comes to rest there; the table's end where it does not
    std::optional<HeldOut> held_out;
    std::string not_held_out;  ///< why
    std::vector<CalibratedReading> readings;
};

struct Calibrated {
    Fit fit;
    std::vector<CalibratedOne> devices;
    std::vector<std::string> loads;  ///< measured, by key
    std::size_t walls = 0, used = 0, left_out = 0;
    std::optional<double> repeats_mm;  ///< noise by runs repeated at the same loads
    bool spread_known = false;         ///< devices of one wall show how far devices differ
    bool told_apart = true;            ///< material from supports
    int asked_again = 0;               ///< times the devices were asked about the fit itself
    std::vector<std::string> remarks;  ///< what a person must know, sentences

    /// As the material's file takes it. Who and when are the caller's to say.
    design::Calibration entry(const Measurements& measurements, const std::string& by,
                              const std::string& date) const;
};

/// Fits measurements on their devices' tables: readings beyond nine tenths of the load that brings the arch
/// down are left out, as the fit itself says. Where the devices themselves can be asked again, the tables are
/// put right about the fit and the fit is made anew until it stays: what a table loses between its places is
/// then in no figure. Fault naming the device: its arch rests from the beginning; cancelled.
Outcome<Calibrated> calibrate(const Measurements& measurements, std::vector<DeviceTable> tables,
                              Progress* progress = nullptr);

/// A scale known no better than this (half width of its 95 % interval, as a share) is none to enter.
inline constexpr double worst_share = 0.25;
/// Fault (check) saying why a calibration is not to be entered: too wide, at an end of what is looked for.
Outcome<Done> worth_entering(const Calibrated& calibrated);

}  // namespace archwright::calibrate
