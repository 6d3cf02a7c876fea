#include "editor/ui/sum.hpp"

#include <cmath>
#include <string>

#include "engine/base/text.hpp"

namespace archwright::editor::ui {

std::optional<double> sum_of(std::string_view given, std::string_view unit) {
    std::string text;
    for (std::size_t i = 0; i < given.size(); ++i) {
        if (given.substr(i).starts_with("\u2212")) {
            text += '-';
            i += std::string_view("\u2212").size() - 1;
        } else if (given[i] != ' ') {
            text += given[i];
        }
    }
    // inclinations in words: positive is inverted, negative everted
    double way = 1;
    const bool angle = unit == "degrees" || unit == "deg";
    for (const auto& [word, sign] : {std::pair("inverted", 1.0), std::pair("everted", -1.0)})
        if (angle && text.ends_with(word)) {
            text.resize(text.size() - std::string_view(word).size());
            way = sign;
        }
    for (const std::string_view written : {unit, angle ? std::string_view("\u00b0") : unit})
        if (!written.empty() && text.ends_with(written)) text.resize(text.size() - written.size());
    // terms of factors, from the left
    double sum = 0, term = 0;
    char pending = '+', factor = '*';
    std::size_t at = 0;
    bool first = true;
    while (at < text.size()) {
        std::size_t end = at;
        if (text[end] == '-' || text[end] == '+') ++end;
        while (end < text.size() && ((text[end] >= '0' && text[end] <= '9') || text[end] == '.')) ++end;
        const auto number = parse_number(std::string_view(text).substr(at + (text[at] == '+' ? 1 : 0),
                                                                       end - at - (text[at] == '+' ? 1 : 0)));
        if (!number) return {};
        term = first ? *number : factor == '*' ? term * *number : term / *number;
        first = false;
        at = end;
        if (at == text.size()) break;
        const char sign = text[at++];
        if (at == text.size()) return {};
        if (sign == '*' || sign == '/') {
            factor = sign;
        } else if (sign == '+' || sign == '-') {
            sum += pending == '+' ? term : -term;
            pending = sign;
            first = true;
        } else {
            return {};
        }
    }
    if (first) return {};
    sum += pending == '+' ? term : -term;
    if (!std::isfinite(sum)) return {};
    return way * sum;
}

}  // namespace archwright::editor::ui
