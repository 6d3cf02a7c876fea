#include "engine/design/text_kind.hpp"

#include <algorithm>
#include <array>
#include <charconv>

namespace archwright::design {

namespace {

bool digit(char c) {
    return c >= '0' && c <= '9';
}
bool letter_or_digit(char c) {
    return digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/// Length of the well-formed UTF-8 character at the front (RFC 3629), 0 when it is broken.
std::size_t character(std::string_view text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    if (text.empty()) return 0;
    const unsigned first = byte(0);
    if (first < 0x80) return 1;
    const std::size_t length = first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (first < 0xC2 || first > 0xF4 || text.size() < length) return 0;
    for (std::size_t i = 1; i < length; ++i)
        if (byte(i) < 0x80 || byte(i) > 0xBF) return 0;
    const unsigned second = byte(1);
    if ((first == 0xE0 && second < 0xA0) || (first == 0xED && second > 0x9F) ||
        (first == 0xF0 && second < 0x90) || (first == 0xF4 && second > 0x8F))
        return 0;
    return length;
}

bool readable(std::string_view text, bool many_lines) {
    while (!text.empty()) {
        const std::size_t length = character(text);
        const auto front = static_cast<unsigned char>(text.front());
        const bool line = many_lines && (front == '\n' || front == '\t');
        if (length == 0 || (front < 0x20 && !line) || front == 0x7F) return false;
        text.remove_prefix(length);
    }
    return true;
}

bool code(std::string_view text) {
    return text.size() <= longest_code && letter_or_digit(text.front()) &&
           std::all_of(text.begin(), text.end(), [](char c) { return letter_or_digit(c) || c == '-'; });
}
bool name(std::string_view text) {
    return text.size() <= longest_name && letter_or_digit(text.front()) &&
           std::all_of(text.begin(), text.end(),
                       [](char c) { return letter_or_digit(c) || c == '-' || c == '_' || c == '.'; });
}
bool fingerprint(std::string_view text) {
    return text.size() == 64 &&
           std::all_of(text.begin(), text.end(), [](char c) { return digit(c) || (c >= 'a' && c <= 'f'); });
}
bool revision_letter(std::string_view text) {
    return text.size() <= 2 &&
           std::all_of(text.begin(), text.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
}

/// A day of the Gregorian calendar.
bool date(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
    for (const std::size_t i : {0, 1, 2, 3, 5, 6, 8, 9})
        if (!digit(text[i])) return false;
    const auto number = [&](std::size_t at, std::size_t length) {
        int value = 0;
        std::from_chars(text.data() + at, text.data() + at + length, value);
        return value;
    };
    const int year = number(0, 4), month = number(5, 2), day = number(8, 2);
    static constexpr std::array<int, 12> days{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (year < 1 || month < 1 || month > 12) return false;
    const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return day >= 1 && day <= days[static_cast<std::size_t>(month - 1)] + (month == 2 && leap ? 1 : 0);
}

std::string path_trouble(std::string_view text, bool allow_outside) {
    if (text.size() > longest_path || !readable(text, false))
        return std::string("it must be ") + text_rule(TextKind::path);
    if (allow_outside) return {};
    if (text.front() == '/')
        return "it is an absolute path; copy the file beside the job and name it from there";
    if (text.find('\\') != std::string_view::npos || text.find(':') != std::string_view::npos)
        return "it must be " + std::string(text_rule(TextKind::path));
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t end = std::min(text.find('/', at), text.size());
        if (text.substr(at, end - at) == "..")
            return "it leaves the job's folder; copy the file beside the job and name it from there";
        at = end + 1;
    }
    return {};
}

}  // namespace

const char* text_word(TextKind kind) {
    switch (kind) {
        case TextKind::code:
            return "code";
        case TextKind::name:
            return "name";
        case TextKind::words:
            return "words";
        case TextKind::date:
            return "day";
        case TextKind::letter:
            return "letter";
        case TextKind::fingerprint:
            return "SHA-256";
        case TextKind::path:
            return "path";
        case TextKind::job:
            return "job";
    }
    return "";
}

const char* text_rule(TextKind kind) {
    switch (kind) {
        case TextKind::code:
            return "a code: letters, digits and dashes, at most 32, beginning with a letter or a digit "
                   "(never a "
                   "person's name)";
        case TextKind::name:
            return "a short name: letters, digits, dots, dashes and underscores, at most 48, beginning with "
                   "a "
                   "letter or a digit";
        case TextKind::words:
            return "plain words (UTF-8), at most 2000 bytes";
        case TextKind::date:
            return "a day as YYYY-MM-DD";
        case TextKind::letter:
            return "a revision letter: A, B, ... Z, AA, ...";
        case TextKind::fingerprint:
            return "64 hexadecimal digits in lower case";
        case TextKind::path:
            return "a file in the job's folder or below it, with \"/\" between folders";
        case TextKind::job:
            return "a job file in one line, at most 2097152 bytes";
    }
    return "";
}

const char* text_pattern(TextKind kind) {
    switch (kind) {
        case TextKind::code:
            return "^[A-Za-z0-9][A-Za-z0-9-]*$";
        case TextKind::name:
            return "^[A-Za-z0-9][A-Za-z0-9._-]*$";
        case TextKind::words:
            return "";
        case TextKind::date:
            return "^[0-9]{4}-[0-9]{2}-[0-9]{2}$";
        case TextKind::letter:
            return "^[A-Z]{1,2}$";
        case TextKind::fingerprint:
            return "^[0-9a-f]{64}$";
        case TextKind::path:
            return "";  // an allowed path outside the folder is no fault of the file's form
        case TextKind::job:
            return "";
    }
    return "";
}

std::size_t text_length(TextKind kind) {
    switch (kind) {
        case TextKind::code:
            return longest_code;
        case TextKind::name:
            return longest_name;
        case TextKind::words:
            return longest_words;
        case TextKind::date:
            return 10;
        case TextKind::letter:
            return 2;
        case TextKind::fingerprint:
            return 64;
        case TextKind::path:
            return longest_path;
        case TextKind::job:
            return longest_job_text;
    }
    return 0;
}

std::string text_trouble(std::string_view text, TextKind kind, bool allow_outside) {
    const std::string rule = std::string("it must be ") + text_rule(kind);
    if (text.empty()) return rule;
    bool good = true;
    switch (kind) {
        case TextKind::code:
            good = code(text);
            break;
        case TextKind::name:
            good = name(text);
            break;
        case TextKind::words:
            good = text.size() <= longest_words && readable(text, true);
            break;
        case TextKind::date:
            good = date(text);
            break;
        case TextKind::letter:
            good = revision_letter(text);
            break;
        case TextKind::fingerprint:
            good = fingerprint(text);
            break;
        case TextKind::job:
            good = text.size() <= longest_job_text && readable(text, false);
            break;
        case TextKind::path:
            return path_trouble(text, allow_outside);
    }
    return good ? std::string() : rule;
}

std::string in_quotes(std::string_view text, std::size_t longest) {
    std::string out = "\"";
    while (!text.empty() && out.size() < longest) {
        const std::size_t length = character(text);
        const auto front = static_cast<unsigned char>(text.front());
        if (length == 0 || front < 0x20 || front == 0x7F) {
            out += '?';
            text.remove_prefix(1);
        } else {
            out += text.substr(0, length);
            text.remove_prefix(length);
        }
    }
    return out + (text.empty() ? "\"" : "...\"");
}

std::string next_letter(const std::string& letter) {
    std::string next = letter;
    for (std::size_t i = next.size(); i-- > 0;) {
        if (next[i] != 'Z') {
            ++next[i];
            return next;
        }
        next[i] = 'A';
    }
    return "A" + next;
}

std::vector<foot::LandmarkId> every_landmark() {
    std::vector<foot::LandmarkId> all;
    for (int i = 0; i <= static_cast<int>(foot::LandmarkId::lateral_malleolus); ++i)
        all.push_back(static_cast<foot::LandmarkId>(i));
    return all;
}

}  // namespace archwright::design
