// What a study says, in plain words and as JSON.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/study/analysis.hpp"
#include "engine/study/markings.hpp"
#include "engine/study/mean_surface.hpp"

namespace archwright::exporters::comparing {

/// All that a study found.
struct StudyReport {
    study::Table table;  ///< of figures: what was analysed
    study::Analysis analysis;
    std::vector<study::Mistake> mistakes;        ///< rows left out
    std::vector<study::MeanSurface> surfaces;    ///< of casts alone
    std::vector<study::LandmarkSpread> spreads;  ///< where casts were marked again
};

/// "1.1 mm", "3 degrees": as many digits as matter.
std::string figure_words(double value, const study::Quantity& quantity);

/// Of one quantity, sentences without a word of statistics: how far two casts differ, and what most of it
/// comes from.
std::vector<std::string> plain_words(const study::Finding& finding);
/// Of two methods.
std::vector<std::string> plain_words(const study::MethodsCompared& compared);

/// What stands first: how large the study is, and a caution where it is too small to be believed.
std::vector<std::string> study_size(const StudyReport& report);

/// All of it for a terminal.
std::vector<std::string> study_lines(const StudyReport& report);
nlohmann::ordered_json study_json(const StudyReport& report);

}  // namespace archwright::exporters::comparing
