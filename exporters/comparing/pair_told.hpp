// What a comparison of two casts, and of a made device with its design, says.
#pragma once

#include <nlohmann/json.hpp>

#include "engine/compare/made.hpp"
#include "engine/compare/pair.hpp"
#include "exporters/comparing/difference_sheet.hpp"

namespace archwright::exporters::comparing {

/// Two devices built to the same order from the two casts.
struct ShellsCompared {
    compare::Shells apart;                 ///< second against first
    std::vector<compare::Figure> figures;  ///< first, second
    std::vector<std::string> remarks;      ///< what of the order could not be used
};

struct PairReport {
    std::string first, second;  ///< names of the files
    Side side = Side::right;    ///< of the first
    compare::CastPair pair;
    std::optional<ShellsCompared> shells;
    std::string why_no_shells;  ///< where they were asked for
};

std::vector<std::string> pair_lines(const PairReport& report);
nlohmann::ordered_json pair_json(const PairReport& report);
/// Faults as draw_difference_sheet; usage where the casts are not registered.
Outcome<DrawnSheet> pair_picture(const PairReport& report);

struct MadeReport {
    std::string job, scan;  ///< names of the files
    std::string scan_sha256, fingerprint;
    std::string case_code, revision;
    Side side = Side::right;
    compare::MadeLimits limits;
    compare::Made made;
};

std::vector<std::string> made_lines(const MadeReport& report);
/// Also the entry of a device record: which design (case, revision, fingerprint), which scan, limits,
/// figures, checks.
nlohmann::ordered_json made_json(const MadeReport& report);
Outcome<DrawnSheet> made_picture(const MadeReport& report);

}  // namespace archwright::exporters::comparing
