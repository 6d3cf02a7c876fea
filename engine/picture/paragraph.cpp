#include "engine/picture/paragraph.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace archwright::picture {

std::string typeset(std::string text) {
    constexpr std::array<std::pair<const char*, const char*>, 4> signs{
        {{"+-", "\u00B1"}, {"mm^2", "mm\u00B2"}, {"mm2", "mm\u00B2"}, {"mm3", "mm\u00B3"}}};
    for (const auto& [plain, sign] : signs)
        for (std::size_t at = text.find(plain); at != std::string::npos; at = text.find(plain, at))
            text.replace(at, std::string_view(plain).size(), sign);
    return text;
}

namespace {

/// Bytes of the UTF-8 letter that begins there.
std::size_t letter_size(std::string_view text, std::size_t at) {
    std::size_t size = 1;
    while (at + size < text.size() && (static_cast<unsigned char>(text[at + size]) & 0xC0u) == 0x80u) ++size;
    return size;
}

}  // namespace

std::vector<std::string> lines_of(const Canvas& canvas, std::string_view text, double width,
                                  const Type& type) {
    std::vector<std::string> lines;
    std::string line;
    const auto add = [&](std::string_view word) {
        const std::string next = line.empty() ? std::string(word) : line + " " + std::string(word);
        if (canvas.measure(next, type) <= width) {
            line = next;
            return;
        }
        if (!line.empty()) lines.push_back(std::exchange(line, {}));
        while (!word.empty() && canvas.measure(word, type) > width) {
            std::size_t taken = letter_size(word, 0);
            while (taken < word.size()) {
                const std::size_t more = taken + letter_size(word, taken);
                if (canvas.measure(word.substr(0, more), type) > width) break;
                taken = more;
            }
            lines.emplace_back(word.substr(0, taken));
            word.remove_prefix(taken);
        }
        line = word;
    };
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t space = std::min(text.find(' ', at), text.size());
        if (space > at) add(text.substr(at, space - at));
        at = space + 1;
    }
    if (!line.empty()) lines.push_back(line);
    return lines;
}

}  // namespace archwright::picture
