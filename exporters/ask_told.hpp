// What came of asking a device for a stiffness, for people and for programs.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/ask/question.hpp"
#include "engine/design/command.hpp"

namespace archwright::exporters {

/// Stands beside what was asked in figures of its own, not against another device.
inline constexpr const char* absolute_caution =
    "It was asked in figures of its own: until the laboratory has measured its devices they compare designs "
    "only. Ask for a change against a device that is known.";

std::vector<std::string> ask_lines(const ask::Answer& answer);
nlohmann::ordered_json ask_json(const ask::Answer& answer);

/// The ordinary commands that make the walls so, in order. `foot`: said where the job has both.
std::vector<design::Command> wall_commands(const ask::Answer& answer, const std::optional<Side>& foot);

/// "+20 %" against what, "12 N/mm", "6 mm".
std::string asked_words(const ask::AnsweredTarget& target);

}  // namespace archwright::exporters
