// The remake log of a laboratory: which devices came back and why, as CSV, and what most of it comes from.
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/picture/image.hpp"

namespace archwright::exporters::papers {

struct RemakeCode {
    std::string code, words;
};
/// Our own list, as the device record prints it.
std::span<const RemakeCode> remake_codes();
/// A laboratory's own codes: CSV with the header "code,words", a line each; a code of ours may be given other
/// words. Faults (input) with file, line and column.
Outcome<std::vector<RemakeCode>> read_remake_codes(std::string_view text, const std::string& name);

/// One device that came back.
struct Remake {
    std::string date;  ///< YYYY-MM-DD
    std::string case_code;
    Side side = Side::right;
    std::string revision;  ///< letter
    std::string code;
    std::string cause;  ///< in plain words, what was found and what was changed
    std::string by;     ///< code of the person
};

/// The header of a log.
extern const char* const remake_header;
/// A log whole, or a fault (input) that names file, line and column (both from 1; the column counts bytes).
/// `known`: codes beyond ours.
Outcome<std::vector<Remake>> read_remakes(std::string_view text, const std::string& name,
                                          std::span<const RemakeCode> known);
/// The same of a file, read while nobody appends to it.
Outcome<std::vector<Remake>> read_remake_log(const std::filesystem::path& path,
                                             std::span<const RemakeCode> known);

/// Why it may not be entered; empty when it may.
std::string remake_trouble(const Remake& remake, std::span<const RemakeCode> known);

/// Adds a line at the end of the log (begun where there is none), in one write under the file's lock, so that
/// several persons may add at once, on one machine or on several that share the folder. What stands in it is
/// never changed: a log that cannot be read whole is refused. Faults: usage (the line), input (the log),
/// output (it cannot be written, or is held by another for ten seconds); the log is then as it was.
Outcome<Done> add_remake(const std::filesystem::path& path, const Remake& remake,
                         std::span<const RemakeCode> known);

/// How often each code came, most first; of equal ones by code.
struct ParetoRow {
    std::string code, words;
    std::size_t count = 0;
    double percent = 0.0;  ///< of all, to a tenth; they add up to 100.0
    double so_far = 0.0;   ///< of this and those above
};
/// Percentages by largest remainders (Hamilton's method), so that they add up. Empty for an empty log.
std::vector<ParetoRow> pareto(const std::vector<Remake>& log, std::span<const RemakeCode> known);

std::vector<std::string> pareto_lines(const std::vector<ParetoRow>& rows);
/// Bars, most first, and the line of what they come to together. Faults (output): no font.
Outcome<std::string> pareto_svg(const std::vector<ParetoRow>& rows, const std::string& title);
Outcome<picture::Image> pareto_image(const std::vector<ParetoRow>& rows, const std::string& title);

}  // namespace archwright::exporters::papers
