// What the texts of a job may hold.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/foot/landmarks.hpp"

namespace archwright::design {

/// What a text may hold.
enum class TextKind {
    code,         ///< of a person, a case, a laboratory: letters, digits, dashes
    name,         ///< of a mark or a region, a material, a check: also "_" and "."
    words,        ///< plain words, at most `longest_words` bytes
    date,         ///< YYYY-MM-DD
    letter,       ///< of a revision: A ... Z, AA ...
    fingerprint,  ///< 64 lower-case hexadecimal digits
    path,         ///< relative to the job's folder
    job,          ///< a job file in one line
};
inline constexpr std::size_t longest_code = 32;
inline constexpr std::size_t longest_name = 48;
inline constexpr std::size_t longest_words = 2000;
inline constexpr std::size_t longest_path = 1000;
inline constexpr std::size_t longest_job_text = std::size_t{2} << 20;

/// One word for the kind: "code", "name", "words", "day", "letter", "SHA-256", "path", "job".
const char* text_word(TextKind kind);

/// The rule in words: "letters, digits and dashes, ...".
const char* text_rule(TextKind kind);

/// The rule as a regular expression (ECMA 262) for the schema; empty for plain words.
const char* text_pattern(TextKind kind);
/// Most bytes.
std::size_t text_length(TextKind kind);

/// Why `text` breaks the rule, as a sentence to follow the text itself; empty when it keeps it.
std::string text_trouble(std::string_view text, TextKind kind, bool allow_outside = false);

/// Quoted for a message, shortened to whole UTF-8 characters, control characters as "?".
std::string in_quotes(std::string_view text, std::size_t longest = 40);

/// The letter after this one: A, B, ... Z, AA, AB, ...
std::string next_letter(const std::string& letter);

/// Every landmark there is, in order.
std::vector<foot::LandmarkId> every_landmark();

}  // namespace archwright::design
