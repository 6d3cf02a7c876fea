#include <array>

#include "engine/base/hash.hpp"
#include "exporters/nc/program.hpp"

namespace archwright::exporters::nc {

namespace {

constexpr std::string_view pair_line = "(PAIR ", sum_line = "(SHA-256 ", name_line = "(ARCHWRIGHT ",
                           set_up_line = "(SET-UP ";
constexpr std::size_t pair_digits = 16;

/// What a program's head says in the line that begins so; empty: no such line.
std::string said_in_head(std::string_view text, std::string_view begin) {
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = text.substr(at, end - at);
        if (line.substr(0, begin.size()) == begin && line.back() == ')')
            return std::string(line.substr(begin.size(), line.size() - begin.size() - 1));
        at = end + 1;
    }
    return {};
}

std::string untied(std::string_view text) {
    std::string rest;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1);
        const std::string_view line = text.substr(at, end + 1 - at);
        if (line.substr(0, pair_line.size()) != pair_line && line.substr(0, sum_line.size()) != sum_line)
            rest += line;
        at = end + 1;
    }
    return rest;
}

Fault not_together(const std::string& message) {
    return {FaultKind::input, "program", message, {}};
}

}  // namespace

std::string pair_of(std::string_view first, std::string_view second) {
    return sha256(untied(first) + untied(second)).substr(0, pair_digits);
}

Outcome<Done> belong_together(std::string_view first, std::string_view second) {
    std::array<std::string, 2> names, pairs;
    for (const int i : {0, 1}) {
        const std::string_view text = i == 0 ? first : second;
        const std::string which = i == 0 ? "first" : "second", number = std::to_string(i + 1);
        std::string& name = names[static_cast<std::size_t>(i)];
        name = said_in_head(text, name_line);
        if (name.empty())
            return not_together("The " + which +
                                " file is no program of ours: it has no line that begins \"(ARCHWRIGHT\".");
        const std::string set_up = said_in_head(text, set_up_line);
        if (set_up.substr(0, 4) != number + " of")
            return not_together("The " + which + " program (" + name + ") is set-up " +
                                (set_up.empty() ? "unknown" : set_up) +
                                "; name set-up 1 first, then set-up 2.");
        if (!checksum_holds(text))
            return not_together(
                "The " + which + " program (" + name + ", set-up " + number +
                ") was changed since it was written: its checksum does not agree. Write it anew.");
        pairs[static_cast<std::size_t>(i)] = said_in_head(text, pair_line);
        if (pairs[static_cast<std::size_t>(i)].size() != pair_digits)
            return not_together("The " + which + " program (" + name + ", set-up " + number +
                                ") does not say which milling it is of. Write both anew.");
    }
    if (pairs[0] != pairs[1] || pair_of(first, second) != pairs[0])
        return not_together(
            "Set-up 1 (" + names[0] + ", pair " + pairs[0] + ") and set-up 2 (" + names[1] + ", pair " +
            pairs[1] +
            ") are of two millings: what one leaves is not what the other begins with. Take both "
            "from one run.");
    return Done{};
}

}  // namespace archwright::exporters::nc
