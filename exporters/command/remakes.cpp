#include "engine/base/file.hpp"
#include "exporters/command/options.hpp"
#include "exporters/papers/remake_log.hpp"

#include <nlohmann/json.hpp>

namespace archwright::exporters::command {

namespace {

/// A laboratory's own codes: of the file named, else none.
Outcome<std::vector<papers::RemakeCode>> codes_in(const std::filesystem::path& path) {
    if (path.empty()) return std::vector<papers::RemakeCode>{};
    const auto bytes = FileBytes::read(path);
    if (!bytes) return bytes.fault();
    return papers::read_remake_codes(bytes->text(), path.filename().string());
}

}  // namespace

Exit run_remake(Console& console, const RemakeOptions& options) {
    const auto codes = codes_in(options.codes);
    if (!codes) return console.fail(codes.fault());
    if (!options.side)
        return console.fail({FaultKind::usage, "remakes", "say which foot came back: --foot.", {}});
    const papers::Remake one{options.date, options.case_code, *options.side, options.revision,
                             options.code, options.cause,     options.by};
    if (const auto done = papers::add_remake(options.log, one, *codes); !done)
        return console.fail(done.fault());
    console.say("Added to " + options.log.string() + ": " + one.case_code + " " + word(one.side) + " " +
                one.revision + ", " + one.code + ".");
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

Exit run_remakes(Console& console, const RemakesOptions& options) {
    const std::string ending = options.picture.extension().string();
    if (!options.picture.empty() && ending != ".svg" && ending != ".png")
        return console.fail({FaultKind::usage,
                             "remakes",
                             options.picture.string() + ": a picture's name ends with .png or .svg.",
                             {}});
    const auto codes = codes_in(options.codes);
    if (!codes) return console.fail(codes.fault());
    const auto log = papers::read_remake_log(options.log, *codes);
    if (!log) return console.fail(log.fault());
    const auto rows = papers::pareto(*log, *codes);
    for (const std::string& line : papers::pareto_lines(rows)) console.say(line);
    if (!options.picture.empty()) {
        const std::string title = "Remakes by code";
        if (ending == ".svg") {
            const auto svg = papers::pareto_svg(rows, title);
            if (!svg) return console.fail(svg.fault());
            if (const auto done = write_file(options.picture, *svg); !done) return console.fail(done.fault());
        } else {
            const auto image = papers::pareto_image(rows, title);
            if (!image) return console.fail(image.fault());
            if (const auto done = picture::write_png(*image, options.picture); !done)
                return console.fail(done.fault());
        }
        console.say("  " + options.picture.string());
    }
    if (console.json()) {
        nlohmann::ordered_json all = nlohmann::ordered_json::array();
        for (const papers::ParetoRow& row : rows)
            all.push_back({{"code", row.code},
                           {"words", row.words},
                           {"count", row.count},
                           {"percent", row.percent},
                           {"so_far_percent", row.so_far}});
        console.print_json(nlohmann::ordered_json{{"ok", true}, {"remakes", log->size()}, {"codes", all}});
    }
    return Exit::done;
}

}  // namespace archwright::exporters::command
