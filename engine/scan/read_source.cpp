#include "engine/scan/read_source.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::scan {

Fault Source::fault(const std::string& message) const {
    return {FaultKind::input, "read", name + ": " + message, {}};
}

Fault Source::at_line(std::size_t offset, const std::string& message) const {
    const std::string_view before = text.substr(0, std::min(offset, text.size()));
    auto line = std::count(before.begin(), before.end(), '\n');
    if (line == 0) line = std::count(before.begin(), before.end(), '\r');
    return {FaultKind::input, "read", name + ", line " + std::to_string(line + 1) + ": " + message, {}};
}

Fault Source::at_byte(std::size_t offset, const std::string& message) const {
    return {FaultKind::input, "read", name + ", byte " + std::to_string(offset) + ": " + message, {}};
}

Fault Source::cancelled() const {
    return {FaultKind::cancelled, "read", name + ": reading was cancelled.", {}};
}

bool Source::go_on(std::size_t offset) const {
    if (progress == nullptr) return true;
    const double size = static_cast<double>(std::max<std::size_t>(text.size(), 1));
    return progress->report("reading the cast", std::min(1.0, static_cast<double>(offset) / size));
}

Fault Source::too_many_triangles() const {
    return fault("it holds more than the allowed " + std::to_string(limits.triangles) +
                 " triangles. Reduce the scan in the scanner's program, or raise the limit.");
}

Fault Source::too_many_points() const {
    return fault("it holds more than the allowed " + std::to_string(most_points()) +
                 " points. Reduce the scan in the scanner's program, or raise the limit.");
}

Fault Source::too_many_instances() const {
    return fault("it places more than " + std::to_string(limits.instances) +
                 " objects. Export the cast alone.");
}

std::string why_not_sensible(double value) {
    if (!std::isfinite(value)) return "a coordinate is not a finite number." + std::string(export_again);
    return "a coordinate of " + exact(value) + " is beyond any foot in any unit." + export_again;
}

std::optional<double> number_of(std::string_view word) {
    if (word.size() > 1 && word.front() == '+' && word[1] != '-') word.remove_prefix(1);
    double value = 0.0;
    const char* const end = word.data() + word.size();
    const auto result = std::from_chars(word.data(), end, value);
    if (result.ptr != end || word.empty()) return std::nullopt;
    if (result.ec == std::errc::result_out_of_range) {
        const bool tiny = word.find("e-") != std::string_view::npos ||
                          word.find("E-") != std::string_view::npos ||
                          word.find_first_of("eE") == std::string_view::npos;  // 0.000...
        return tiny ? 0.0 : HUGE_VAL;
    }
    return result.ec == std::errc() ? std::optional<double>(value) : std::nullopt;
}

std::string why_no_number(std::string_view word) {
    if (word.empty()) return "a number is missing." + std::string(export_again);
    std::string pointed(word);
    std::replace(pointed.begin(), pointed.end(), ',', '.');
    if (word.find(',') != std::string_view::npos && number_of(pointed))
        return "\"" + shown(word) +
               "\" has a decimal comma. Export the file again with a decimal point (set the program's or the "
               "system's number format to English).";
    return "\"" + shown(word) + "\" is not a number." + export_again;
}

std::string shown(std::string_view word) {
    constexpr std::size_t most = 40;
    std::string result(word.substr(0, most));
    for (char& c : result)
        if (c < ' ' || c > '~') c = '?';
    return word.size() > most ? result + "..." : result;
}

Lines::Lines(std::string_view text, std::size_t offset)
    : text_(text), line_(offset), end_(offset), next_(offset), at_(offset), word_(offset) {
    if (text.find('\n', offset) == std::string_view::npos &&
        text.find('\r', offset) != std::string_view::npos)
        ending_ = '\r';
}

bool Lines::next() {
    if (next_ >= text_.size()) return false;
    line_ = at_ = word_ = next_;
    const std::size_t found = text_.find(ending_, line_);
    end_ = found == std::string_view::npos ? text_.size() : found;
    next_ = found == std::string_view::npos ? text_.size() : found + 1;
    return true;
}

bool Lines::next_joined() {
    if (!next()) return false;
    if (text_[line_] != 'v' && text_[line_] != 'f') return true;  // a path or remark may end in a backslash
    const auto continued = [&] {
        std::size_t last = end_;
        while (last > line_ && blank(text_[last - 1])) --last;
        return last > line_ && text_[last - 1] == '\\';
    };
    while (continued() && next_ < text_.size()) {
        const std::size_t found = text_.find(ending_, next_);
        end_ = found == std::string_view::npos ? text_.size() : found;
        next_ = found == std::string_view::npos ? text_.size() : found + 1;
    }
    return true;
}

std::string_view Lines::word() {
    const auto between = [&](char c) { return blank(c) || c == '\n' || c == '\\'; };
    while (at_ < end_ && between(text_[at_])) ++at_;
    word_ = at_;
    while (at_ < end_ && !between(text_[at_])) ++at_;
    return text_.substr(word_, at_ - word_);
}

bool Lines::line_has_more() {
    while (at_ < end_ && (blank(text_[at_]) || text_[at_] == '\n' || text_[at_] == '\\')) ++at_;
    return at_ < end_;
}

}  // namespace archwright::scan
