// The parameter table: every scalar of a job with its unit, range, default, help and source.
//
// It is collected from engine/design/description.hpp, which the reader, the writer, the validator and the
// schema walk as well: so there is one truth about each key.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"
#include "engine/design/material.hpp"

namespace archwright::design {

struct Parameter {
    enum class Kind { number, whole, choice, flag, text, point };

    std::string name;  ///< dotted: "trim.cup_posterior_mm"; "[]" stands for each entry of a list
    Kind kind = Kind::number;
    std::string unit;                    ///< "mm", "kg", "" ...
    double low = 0, high = 0, step = 0;  ///< of a number
    std::vector<std::string> words;      ///< of a choice
    std::string standard;                ///< default as text; empty: none
    std::string form;                    ///< of a text or a point: "code", "words", "[x, y, z]", ...
    bool optional = false;               ///< may be absent
    bool listed = false;                 ///< inside a list: no get and set by name
    std::string help;
    std::string source;
    Evidence mark = Evidence::ours;
};

/// Parameters of one foot; names relative to "left" or "right".
const std::vector<Parameter>& foot_parameters();
/// Parameters of the case: order, capture, ...
const std::vector<Parameter>& case_parameters();

/// Value as text, exact; empty when absent. Fault (usage): unknown name, with the nearest one.
Outcome<std::string> get(const FootDesign& foot, std::string_view name);
Outcome<std::string> get(const Job& job, std::string_view name);

/// Sets one value from text ("12.5", "rounded", "yes"); "" or "none" clears an optional one. Nothing changes
/// on a fault (usage), which names the parameter, its range or its words.
Outcome<Done> set(FootDesign& foot, std::string_view name, std::string_view text);
Outcome<Done> set(Job& job, std::string_view name, std::string_view text);

}  // namespace archwright::design
