#include "editor/ui/said.hpp"

#include "engine/base/text.hpp"

namespace archwright::editor::ui {

std::string in_quotes(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + "\"";
}

std::string open_line(std::string_view file) {
    const std::string end = lower(file.size() > 5 ? file.substr(file.size() - 5) : file);
    return (end == ".json" ? "open " : "new ") + in_quotes(file);
}

std::string with_minus(std::string words) {
    for (std::size_t at = 0; (at = words.find('-', at)) != std::string::npos; at += 3)
        if (at + 1 < words.size() && words[at + 1] >= '0' && words[at + 1] <= '9')
            words.replace(at, 1, "\u2212");
    return words;
}

}  // namespace archwright::editor::ui
