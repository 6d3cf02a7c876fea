// What the figures of a study say: how far casts of one foot differ, and where that comes from.
#pragma once

#include "engine/statistic/agreement.hpp"
#include "engine/statistic/components.hpp"
#include "engine/statistic/icc.hpp"
#include "engine/study/table.hpp"

namespace archwright::study {

inline constexpr double study_confidence = 0.95;

/// Two columns of pairs, and their limits of agreement (statistic::Agreement: first less second).
struct PairedFigures {
    std::string first, second;  ///< methods, or "repeat 1" and "repeat 2"
    std::vector<double> one, two;
    statistic::Agreement agreement;
};

/// Where the variance of one quantity comes from.
struct Origin {
    enum class Kind { foot, caster, foot_by_caster, cast, marking };
    Kind kind = Kind::foot;
    statistic::Estimate variance;
    bool known = true;  ///< the table tells it from the others
    int levels = 0;
};
/// "which foot it is", "who casts", ...
const char* words(Origin::Kind kind);
const char* key(Origin::Kind kind);

/// One quantity by one method.
struct Finding {
    Quantity quantity;
    std::string method;
    int values = 0, feet = 0, casters = 0;
    double mean = 0.0, mean_sd = 0.0;
    /// Foot, caster, foot by caster, cast (the same caster casts again; with it marking, where every cast was
    /// marked once), marking (the same cast marked again).
    std::vector<Origin> origins;
    bool settled = true;
    /// Two figures of one foot differ by less than this 95 times of 100 (1.96 sqrt(2) of the standard
    /// deviation): the same cast marked again; cast again by the same caster; by any caster.
    std::optional<double> marked_again, cast_again, any_caster;
    std::optional<statistic::Repeatability> repeats;  ///< of casts by one caster of one foot; or of markings
    /// Feet by casters, the first repeat and marking of each; nothing where gaps leave fewer than two feet or
    /// two casters.
    std::optional<statistic::IntraclassCorrelations> casters_icc;
    int casters_icc_feet = 0;
    /// Casts by repeats: targets are a caster's feet.
    std::optional<statistic::IntraclassCorrelations> repeats_icc;
    int repeats_icc_targets = 0;
    std::optional<PairedFigures> first_and_second;  ///< repeat 1 against repeat 2
    /// Values with their foot, caster and repeat, for drawing.
    struct Point {
        std::string foot, caster;
        int repeat = 1, marking = 1;
        double value = 0.0;
    };
    std::vector<Point> points;

    /// The greatest source besides the foot itself; nothing where all are nothing.
    const Origin* greatest() const;
    double variance_besides_foot() const;
};

/// Two methods compared: of every foot and caster that used both, the means.
struct MethodsCompared {
    Quantity quantity;
    PairedFigures pairs;
};

struct Analysis {
    std::vector<Finding> findings;         ///< by method, then quantity
    std::vector<MethodsCompared> methods;  ///< by quantity, then pair of methods
    std::vector<std::string> remarks;      ///< what could not be told, sentences
};

/// Analyses a table of figures. A quantity counts where two feet or more have it twice or more.
Analysis analyse(const Table& figures);

}  // namespace archwright::study
