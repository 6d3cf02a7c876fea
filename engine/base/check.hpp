// The three answers of a check, its figure and its place.
#pragma once

#include <optional>
#include <string>
#include <utility>

#include "engine/base/vec.hpp"

namespace archwright {

enum class Verdict { pass, look, stop };

/// One check as every report, sheet and screen shows it.
struct Check {
    std::string id;     ///< stable dotted key, for example "wall.underside" (used by `sign`)
    std::string title;  ///< the trade's words, for example "Wall from the underside"
    Verdict verdict = Verdict::pass;
    std::string message;           ///< one sentence with the numbers
    std::optional<double> figure;  ///< measured value
    std::optional<double> limit;   ///< what it was compared with
    std::string unit;              ///< of figure and limit: "mm", "degrees", "%", ""
    std::optional<Vec3> where;     ///< design frame, mm
    bool signable = true;          ///< a person may sign a stop with a reason; false: never
};

/// A check that passes until its figures say otherwise.
inline Check named_check(std::string id, std::string title) {
    Check check;
    check.id = std::move(id);
    check.title = std::move(title);
    return check;
}

inline const char* word(Verdict verdict) {
    return verdict == Verdict::pass ? "pass" : verdict == Verdict::look ? "look" : "stop";
}

}  // namespace archwright
