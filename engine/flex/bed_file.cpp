#include "engine/flex/bed_file.hpp"

#include <string>
#include <string_view>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"

namespace archwright::flex {

namespace {

/// A table of a bed's points; a hundred times what a person measures.
constexpr std::size_t most_bytes = std::size_t{1} << 20U;
constexpr std::string_view between_numbers = ",; \t\r";

}  // namespace

Outcome<std::vector<Vec2>> read_bed_shape(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_bytes);
    if (!file) return file.fault();
    std::vector<Vec2> shape;
    std::string_view rest = file->text();
    for (int line = 1; !rest.empty(); ++line) {
        std::string_view words = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(rest.size(), words.size() + 1));
        words = words.substr(0, words.find('#'));
        std::vector<double> numbers;
        while (true) {
            const std::size_t from = words.find_first_not_of(between_numbers);
            if (from == std::string_view::npos) break;
            words.remove_prefix(from);
            const std::string_view word = words.substr(0, words.find_first_of(between_numbers));
            words.remove_prefix(word.size());
            const auto number = parse_number(word);
            if (!number || numbers.size() == 2)
                return Fault{FaultKind::input, "flex",
                             path.string() + ", line " + std::to_string(line) + ": \"" +
                                 std::string(word.substr(0, 40)) +
                                 "\" is not one of two numbers, mm forward of the heel centre and height "
                                 "(decimal point).",
                             std::nullopt};
            numbers.push_back(*number);
        }
        if (numbers.size() == 1)
            return Fault{FaultKind::input, "flex",
                         path.string() + ", line " + std::to_string(line) + ": a height is missing.",
                         std::nullopt};
        if (!numbers.empty()) shape.emplace_back(numbers[0], numbers[1]);
    }
    return shape;
}

}  // namespace archwright::flex
