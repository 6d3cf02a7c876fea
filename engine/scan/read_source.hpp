// What every reader shares: the bytes, the limits, messages with a line or a byte, and words of a text line.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/scan/read.hpp"

namespace archwright::scan {

/// Closing advice of most messages about a damaged file.
inline constexpr const char* export_again = " Copy or export the file again.";

/// A file's bytes under its name.
struct Source {
    std::string_view text;
    std::string name;
    ReadLimits limits;
    Progress* progress = nullptr;
    std::filesystem::path folder{};  ///< where pictures beside it are looked for; empty: nowhere

    /// "NAME: message"
    Fault fault(const std::string& message) const;
    /// "NAME, line 12: message", the line that holds this byte.
    Fault at_line(std::size_t offset, const std::string& message) const;
    /// "NAME, byte 1234: message"
    Fault at_byte(std::size_t offset, const std::string& message) const;
    Fault cancelled() const;
    /// Reports how far reading is; false once cancelled.
    bool go_on(std::size_t offset) const;

    Fault too_many_triangles() const;
    Fault too_many_points() const;
    Fault too_many_instances() const;
    /// No sensible file has more points than its triangles have corners.
    std::size_t most_points() const { return 3 * limits.triangles; }
};

/// Items between two calls of Source::go_on.
inline constexpr std::size_t items_a_report = 1u << 16;

/// A coordinate that a cast may have: finite and within coordinate_limit.
inline bool sensible(double value) {
    return value >= -coordinate_limit && value <= coordinate_limit;
}
/// Why a coordinate is not sensible, as the end of a message.
std::string why_not_sensible(double value);

/// A word as a number. Out of range towards zero is zero; "inf" and "nan" are read as such, so that the
/// caller can say so.
std::optional<double> number_of(std::string_view word);
/// Why a word is no number (a decimal comma?), as the end of a message.
std::string why_no_number(std::string_view word);

/// A word of the file fit for a message: cut at 40 characters, unprintable bytes as "?".
std::string shown(std::string_view word);

/// Lines of a text, words of a line. "\n", "\r\n" and (where a text has no "\n") "\r" end a line.
class Lines {
  public:
    explicit Lines(std::string_view text, std::size_t offset = 0);

    /// Goes to the next line; false at the end of the text.
    bool next();
    /// The same for OBJ: a line of data ("v...", "f...") that ends in a backslash goes on in the next one.
    bool next_joined();
    /// The next word of this line; empty at its end.
    std::string_view word();
    bool line_has_more();

    std::size_t line_offset() const { return line_; }  ///< of this line's first byte
    std::size_t word_offset() const { return word_; }  ///< of the last word given
    std::size_t end_offset() const { return next_; }   ///< of the first byte behind this line
    std::string_view line() const { return text_.substr(line_, end_ - line_); }

  private:
    bool blank(char c) const { return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f'; }

    std::string_view text_;
    char ending_ = '\n';
    std::size_t line_ = 0, end_ = 0, next_ = 0, at_ = 0, word_ = 0;
};

}  // namespace archwright::scan
