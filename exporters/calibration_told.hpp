// A laboratory's calibration, for people and for programs.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/calibrate/calibration.hpp"

namespace archwright::exporters {

/// What was found, of which devices, what each device's readings leave, and what to be careful of.
std::vector<std::string> calibration_lines(const calibrate::Measurements& measurements,
                                           const calibrate::Calibrated& calibrated);
nlohmann::ordered_json calibration_json(const calibrate::Measurements& measurements,
                                        const calibrate::Calibrated& calibrated);

}  // namespace archwright::exporters
