#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"
#include "exporters/command/console.hpp"
#include "exporters/command/options.hpp"
#include "exporters/nc/program.hpp"

namespace archwright::exporters::command {

namespace {

constexpr std::size_t most_program_bytes = std::size_t{256} << 20U;

}  // namespace

Exit run_programs(Console& console, const ProgramsOptions& options) {
    const auto first = FileBytes::read(options.first, most_program_bytes);
    if (!first) return console.fail(first.fault());
    const auto second = FileBytes::read(options.second, most_program_bytes);
    if (!second) return console.fail(second.fault());
    if (const auto together = nc::belong_together(first->text(), second->text()); !together)
        return console.fail(together.fault());
    const std::string pair = nc::pair_of(first->text(), second->text());
    console.say(options.first.filename().string() + " and " + options.second.filename().string() +
                " are set-up 1 and set-up 2 of one milling, as they were written (pair " + pair + ").");
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"pair", pair}});
    return Exit::done;
}

}  // namespace archwright::exporters::command
