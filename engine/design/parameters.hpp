// The parameter table: every scalar of a job with its unit, range, default, help and source.
//
// It is collected from engine/design/description.hpp, which the reader, the writer, the validator and the
// schema walk as well: so there is one truth about each key.
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"
#include "engine/design/json.hpp"
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

/// Value as text, exact; lists and coordinates as JSON in one line; empty when absent. A name may reach into
/// a list: "features[fascia].depth_mm", "wall.stations[2].wall_mm" (parameter_path.hpp). Fault (usage):
/// unknown name, with the nearest one.
Outcome<std::string> get(const FootDesign& foot, std::string_view name);
Outcome<std::string> get(const Job& job, std::string_view name);

/// Sets one value from text ("12.5", "rounded", "yes", a list or coordinates as JSON); "" or "none" clears an
/// optional one. Nothing changes on a fault (usage), which names the parameter, its range or its words. What
/// is on record of cast and persons is not set.
Outcome<Done> set(FootDesign& foot, std::string_view name, std::string_view text);
Outcome<Done> set(Job& job, std::string_view name, std::string_view text);

/// Back to the default; a list is emptied. Faults as `set`, and where there is no default.
Outcome<Done> reset(FootDesign& foot, std::string_view name);
Outcome<Done> reset(Job& job, std::string_view name);

/// Whether the name is of the case; any other is of a foot, or of nothing.
bool of_case(std::string_view name);

/// Edits a whole list ("features", "wall.regions", "features[fascia].stations") as JSON; it is read back by
/// the rules of a job. Nothing changes on a fault: that of `edit`, or as `set`.
Outcome<Done> edit_list(FootDesign& foot, std::string_view name,
                        const std::function<Outcome<Done>(Json& list)>& edit);

}  // namespace archwright::design
