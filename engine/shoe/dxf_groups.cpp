#include "engine/shoe/dxf_groups.hpp"

#include <charconv>

namespace archwright::shoe {

std::optional<std::string_view> DxfGroups::take_line() {
    if (rest_.empty()) return std::nullopt;
    const std::size_t end = rest_.find('\n');
    std::string_view line = rest_.substr(0, end);
    rest_.remove_prefix(end == std::string_view::npos ? rest_.size() : end + 1);
    ++line_;
    constexpr std::string_view blanks = " \t\r";
    const std::size_t first = line.find_first_not_of(blanks);
    if (first == std::string_view::npos) return std::string_view{};
    return line.substr(first, line.find_last_not_of(blanks) - first + 1);
}

std::optional<DxfGroup> DxfGroups::next() {
    if (kept_) {
        const auto group = kept_;
        kept_.reset();
        return group;
    }
    if (!trouble_.empty()) return std::nullopt;
    const auto code = take_line();
    if (!code) return std::nullopt;
    DxfGroup group;
    group.line = line_;
    const auto [end, error] = std::from_chars(code->data(), code->data() + code->size(), group.code);
    if (error != std::errc() || end != code->data() + code->size()) {
        // blank lines after the last group are no fault
        if (code->empty() && rest_.find_first_not_of(" \t\r\n") == std::string_view::npos)
            return std::nullopt;
        trouble_ = "line " + std::to_string(line_) + ": a group code (a whole number) was expected";
        return std::nullopt;
    }
    const auto value = take_line();
    if (!value) {
        trouble_ = "line " + std::to_string(line_) + ": the file breaks off in the middle of a group";
        return std::nullopt;
    }
    group.value = *value;
    return group;
}

}  // namespace archwright::shoe
