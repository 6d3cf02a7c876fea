// Findings against the faults that were made.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "tests/examine/faulty_casts.hpp"

namespace archwright::tests {

/// 95 % interval of a share (E. B. Wilson 1927).
struct Interval {
    double low, high;
};
Interval wilson(int found, int count);

struct Count {
    int called = 0;  ///< found and called certain
    int asked = 0;   ///< found, as a question
    int all = 0;
};

/// Sums over many casts.
struct Scores {
    int casts = 0, clean_casts = 0;
    /// By kind, then by size (mm) and noise (mm).
    std::map<examine::Finding::Kind, std::map<std::pair<double, double>, Count>> found;
    struct False {
        int called = 0, asked = 0;              ///< on all casts
        int clean_called = 0, clean_asked = 0;  ///< on those without a fault
    };
    std::map<examine::Finding::Kind, False> wrong;
    /// Errors of what was found and is at least as large as `sizes_that_count`: place, depth (measured less
    /// true, of absolute values), share of the true height, centre line (mean distance).
    std::map<examine::Finding::Kind, std::vector<double>> place, depth, height_share, line;
    /// What a finding said, against the truth: findings that were faults, of those of a certainty.
    struct Right {
        int certain = 0, certain_all = 0, asked = 0, asked_all = 0;
    };
    std::map<examine::Finding::Kind, Right> right;
    /// Of what was found, any size: height measured less true over the standard deviation it stated.
    std::map<examine::Finding::Kind, std::vector<double>> in_deviations;
    std::vector<std::string> remarks;  ///< each miss and each false call, for a person

    void add(const FaultyCast& cast, const std::vector<examine::Finding>& findings);
    void add(const std::string& name, double noise_mm, const std::vector<TrueFault>& faults,
             const std::vector<examine::Finding>& findings);
    /// Of the faults of a kind of this size or more: called certain, asked, all.
    Count count(examine::Finding::Kind kind, double least_mm) const;
    double false_calls(examine::Finding::Kind kind) const;
    /// Tables in Markdown, as docs/examine.md shows them.
    std::string table() const;
    /// How far what a finding says of itself is true: shares that were faults, errors, stated uncertainty.
    std::string calibration() const;
};

/// The size from which a fault of this kind must be found.
double size_that_counts(examine::Finding::Kind kind);

/// p-th share of the absolute values; 0 for none.
double quantile(std::vector<double> values, double p);

}  // namespace archwright::tests
