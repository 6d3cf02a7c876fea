// Other people's programs, run on our files. Their text is parsed: their exit codes say little.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace archwright::tests {

/// Is there such a program on the path? Says "skipped: NAME not installed" when not.
bool installed(const std::string& program);

/// What a command prints, errors too. The command is given to the shell, in `folder`.
std::string output_of(const std::string& command, const std::filesystem::path& folder);

/// The number after the first `label` in a text.
std::optional<double> number_after(const std::string& text, const std::string& label);

}  // namespace archwright::tests
