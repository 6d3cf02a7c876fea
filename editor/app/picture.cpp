#include "editor/app/picture.hpp"

#include <iostream>

#include "editor/app/offscreen.hpp"
#include "editor/app/painter.hpp"
#include "editor/model/script.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/file.hpp"
#include "engine/picture/image.hpp"

namespace archwright::editor::app {

namespace {

constexpr std::size_t most_script_bytes = std::size_t{64} << 20;

}  // namespace

Outcome<Done> run_without_window(const Options& options, model::Session& session) {
    if (!options.file.empty())
        if (const auto opened = model::run_and_wait(session, ui::open_line(options.file)); !opened)
            return opened.fault();
    if (!options.script.empty()) {
        const auto file = FileBytes::read(options.script, most_script_bytes);
        if (!file) return file.fault();
        const auto done = model::run_script(session, file->text(), options.script.string(),
                                            [](const std::string& told) { std::cout << told << std::endl; });
        if (!done) return done.fault();
    }
    if (options.dark)
        if (const auto set = session.run("setting theme dark"); !set) return set.fault();
    if (options.picture.empty()) return Done{};
    auto offscreen = Offscreen::make();
    if (!offscreen) return offscreen.fault();
    const double scale = options.scale > 0              ? options.scale
                         : session.settings().scale > 0 ? session.settings().scale
                                                        : 1.0;
    Stage stage((*offscreen)->device(), session, options.width, options.height, scale);
    if (const auto started = stage.start(); !started) return started.fault();
    stage.settle();
    if (const std::string trouble = (*offscreen)->device().trouble(); !trouble.empty())
        return Fault{FaultKind::output, "screen", trouble, {}};
    const std::vector<std::uint8_t> pixels = stage.pixels();
    picture::Image image(static_cast<int>(std::lround(options.width * scale)),
                         static_cast<int>(std::lround(options.height * scale)), picture::Colour{});
    for (std::size_t i = 0; i < image.pixels.size() && 4 * i + 2 < pixels.size(); ++i)
        image.pixels[i] = static_cast<std::uint32_t>(pixels[4 * i]) << 16 |
                          static_cast<std::uint32_t>(pixels[4 * i + 1]) << 8 | pixels[4 * i + 2];
    return picture::write_png(image, options.picture);
}

}  // namespace archwright::editor::app
