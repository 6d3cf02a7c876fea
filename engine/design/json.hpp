// JSON as a plain tree: read with limits, written with our own numbers.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::design {

/// One JSON value. Members keep their order, so that writing is stable.
struct Json {
    enum class Kind { null, boolean, number, text, list, object };

    Kind kind = Kind::null;
    bool boolean = false;
    double number = 0;
    std::string text;
    std::vector<Json> items;
    std::vector<std::pair<std::string, Json>> members;

    static Json of(bool value);
    static Json of(double value);  ///< not finite: null, which every reader refuses
    static Json of(std::string value);
    static Json of(const char* value) { return of(std::string(value)); }
    static Json list();
    static Json object();

    const Json* find(std::string_view key) const;  ///< null pointer when absent or not an object
    Json* find(std::string_view key);
    Json& add(std::string key, Json value);  ///< appends a member; the caller keeps keys unique
    void drop(std::string_view key);         ///< removes a member if it is there

    bool operator==(const Json&) const = default;
};

/// Bounds that keep a hostile text from hurting: all can be raised by the caller.
struct JsonLimits {
    std::size_t bytes = std::size_t{16} << 20;  ///< a job with thousands of curve points is below 1 MB
    std::size_t values = 400'000;               ///< bounds memory: each value costs about 150 bytes
    int depth = 32;                             ///< a job is 7 deep
};

/// Parses a whole text (UTF-8, RFC 8259). Faults (FaultKind::input) name `name`, line and column: syntax,
/// duplicate keys, numbers beyond a double, NaN or Infinity, anything over the limits.
Outcome<Json> parse_json(std::string_view text, const std::string& name, const JsonLimits& limits = {});

/// Indented text with a trailing newline, or `compact` in one line without. Numbers are the shortest that
/// read back the same; lists of plain values stay on one line.
std::string print(const Json& value, bool compact = false);

/// "a number", "a text", "a list", ... for messages.
const char* kind_word(const Json& value);

}  // namespace archwright::design
