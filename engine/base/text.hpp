// Numbers as text, whatever the locale says.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace archwright {

/// Shortest text that reads back as the same double ("3.2"). Never writes "-0".
std::string exact(double value);

/// Rounded for reading, with this many decimals ("3.20"). Never writes "-0.0".
std::string rounded(double value, int decimals);

/// The whole of `text` as a finite double; nothing else. A decimal comma, "nan" and "inf" are refused.
std::optional<double> parse_number(std::string_view text);

/// Inclination for people: "3.0 degrees inverted", "2.5 degrees everted", "0.0 degrees".
std::string inclination(double degrees, int decimals = 1);

/// "x 112, y 15, z 3" rounded to whole mm: a place in any other frame.
template <class V>
std::string coordinates(const V& p) {
    return "x " + rounded(p[0], 0) + ", y " + rounded(p[1], 0) + ", z " + rounded(p[2], 0);
}

/// A place in the design frame for people, rounded to whole mm: "112 forward, 15 medial, 3 up" (x forward of
/// the heel centre; y medial or lateral of the axis; z up or down from the ground).
template <class V>
std::string place(const V& p) {
    const auto along = [](double value, const char* one, const char* other) {
        const std::string text = rounded(value < 0 ? -value : value, 0);
        return text + (value < 0 && text != "0" ? other : one);
    };
    return along(p[0], " forward", " back") + ", " + along(p[1], " medial", " lateral") + ", " +
           along(p[2], " up", " down");
}

/// The candidate nearest to `word` by edit distance, or empty when none is near (at most 1/3 + 1 edits).
template <class Range>
std::string nearest_word(std::string_view word, const Range& candidates);

/// Lower-case ASCII copy.
std::string lower(std::string_view text);

/// Edit distance (Levenshtein).
std::size_t edit_distance(std::string_view a, std::string_view b);

template <class Range>
std::string nearest_word(std::string_view word, const Range& candidates) {
    std::string best;
    std::size_t least = word.size() / 3 + 2;
    for (const auto& candidate : candidates) {
        const std::size_t d = edit_distance(word, candidate);
        if (d < least) {
            least = d;
            best = std::string(candidate);
        }
    }
    return best;
}

}  // namespace archwright
