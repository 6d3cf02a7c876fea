#include "editor/app/options.hpp"

#include "engine/base/text.hpp"

namespace archwright::editor::app {

const char* usage() {
    return "usage: archwright-editor [FILE] [--size WxH] [--scale S] [--tell]\n"
           "       archwright-editor --no-window [--script SCRIPT] --picture OUT.png [--size WxH] [--scale "
           "S]\n"
           "                         [--dark] [--clean] [FILE]\n"
           "Opens a job (.json) or a cast. SCRIPT holds commands (docs/script.md): the first that fails ends "
           "the\n"
           "program. --picture writes what the screen shows once everything is built. --clean keeps no "
           "settings\n"
           "and no unsaved work. --tell writes each command that is done, and each new state of the screen, "
           "to\n"
           "standard output.\n";
}

Outcome<Options> read_options(const std::vector<std::string>& words) {
    Options options;
    const auto wrong = [](const std::string& what) { return Fault{FaultKind::usage, "words", what, {}}; };
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string& word = words[i];
        if (word == "--help" || word == "-h") {
            options.help = true;
        } else if (word == "--no-window") {
            options.no_window = true;
        } else if (word == "--dark") {
            options.dark = true;
        } else if (word == "--clean") {
            options.keep_nothing = true;
        } else if (word == "--tell") {
            options.tell = true;
        } else if (word == "--script" || word == "--picture" || word == "--size" || word == "--scale") {
            if (i + 1 == words.size()) return wrong(word + " wants something behind it.");
            const std::string& value = words[++i];
            if (word == "--script") {
                options.script = value;
            } else if (word == "--picture") {
                options.picture = value;
                if (options.picture.extension() != ".png") return wrong(value + ": pictures are PNG.");
            } else if (word == "--scale") {
                const auto number = parse_number(value);
                if (!number || *number < 0.5 || *number > 4)
                    return wrong("--scale wants a number from 0.5 to 4, not \"" + value + "\".");
                options.scale = *number;
            } else {
                const std::size_t x = value.find('x');
                const auto w = parse_number(value.substr(0, x));
                const auto h = x == std::string::npos ? std::nullopt : parse_number(value.substr(x + 1));
                if (!w || !h || *w < least_width || *h < least_height || *w > 6000 || *h > 4000)
                    return wrong(
                        "--size wants a width from 1100 to 6000 and a height from 640 to 4000, as in "
                        "1600x1000, not \"" +
                        value + "\".");
                options.width = static_cast<int>(*w);
                options.height = static_cast<int>(*h);
            }
        } else if (word.starts_with("--")) {
            return wrong("\"" + word + "\" is no option.");
        } else if (!options.file.empty()) {
            return wrong("One file at a time: \"" + word + "\" is one too many.");
        } else {
            options.file = word;
        }
    }
    const double scale = options.scale > 0 ? options.scale : 1.0;
    if (options.width * scale * options.height * scale > most_pixels)
        return wrong("--size times --scale is more than 40 million pixels: ask for less.");
    if (!options.picture.empty() && !options.no_window)
        return wrong("--picture goes with --no-window: a window shows, it writes no picture.");
    if (options.no_window && options.picture.empty() && options.script.empty())
        return wrong("--no-window wants a --script to do or a --picture to write.");
    return options;
}

}  // namespace archwright::editor::app
