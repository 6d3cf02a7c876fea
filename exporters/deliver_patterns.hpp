// Patterns become files, all together or not at all.
#pragma once

#include <filesystem>
#include <set>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/pattern/pattern.hpp"
#include "exporters/report.hpp"

namespace archwright::exporters {

enum class PatternFormat { pdf, svg, dxf };

struct PatternSetting {
    std::filesystem::path folder;  ///< made when absent
    std::set<PatternFormat> formats = {PatternFormat::pdf, PatternFormat::svg, PatternFormat::dxf};
    bool replace = false;  ///< files of the same names may hold another pattern, and give way
    std::vector<std::filesystem::path> inputs;  ///< job and casts: never written over
};

/// "LARK-2207-left-A-top": case, side, revision and part stand in every file name.
std::string file_stem(const pattern::Pattern& pattern);

struct DeliveredPattern {
    std::string paper;  ///< "A4 portrait"
    std::vector<DeliveredFile> files;
};

/// Writes the asked formats of every pattern; each file is read back before any moves into place. Faults: a
/// file of the same name, of any of the three formats, that holds another pattern and `replace` is not set
/// (output); a target that is one of `inputs` (usage); as lay_out.
Outcome<std::vector<DeliveredPattern>> deliver_patterns(const std::vector<pattern::Pattern>& patterns,
                                                        const PatternSetting& setting, Progress& progress);

}  // namespace archwright::exporters
