#include "editor/app/picture.hpp"

#include <fstream>
#include <iostream>

#include "editor/app/offscreen.hpp"
#include "editor/app/painter.hpp"
#include "editor/model/script.hpp"
#include "editor/ui/keys.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/design/command_text.hpp"
#include "engine/picture/image.hpp"

namespace archwright::editor::app {

namespace {

/// The screen of a session without a window, made once it is needed.
class Camera {
  public:
    Camera(const Options& options, model::Session& session) : options_(options), session_(session) {
        scale_ = options.scale > 0              ? options.scale
                 : session.settings().scale > 0 ? session.settings().scale
                                                : 1.0;
    }

    /// Fault (output): there is no graphics context, or no font.
    Outcome<Stage*> stage() {
        if (stage_) return stage_.get();
        auto offscreen = Offscreen::make();
        if (!offscreen) return offscreen.fault();
        offscreen_ = std::move(*offscreen);
        stage_ =
            std::make_unique<Stage>(offscreen_->device(), session_, options_.width, options_.height, scale_);
        if (const auto started = stage_->start(); !started) return started.fault();
        stage_->frame();
        return stage_.get();
    }

    /// Of all that was asked for, or of what is there now.
    Outcome<Done> take(const std::filesystem::path& file, bool now) {
        if (const auto fault = session_.not_over_its_files(file, "picture")) return *fault;
        std::error_code none;
        if (std::filesystem::exists(file, none)) {
            // another picture may be written over, nothing else
            constexpr std::string_view signature = "\x89PNG";
            std::string begins(signature.size(), ' ');
            std::ifstream(file, std::ios::binary).read(begins.data(), std::ssize(begins));
            if (begins != signature)
                return Fault{FaultKind::output,
                             "picture",
                             file.string() + " exists and is no PNG: give the picture another name.",
                             {}};
        }
        const auto screen = stage();
        if (!screen) return screen.fault();
        if (now)
            for (int i = 0; i < 3; ++i) stage_->frame();
        else
            stage_->settle();
        if (const std::string trouble = offscreen_->device().trouble(); !trouble.empty())
            return Fault{FaultKind::output, "screen", trouble, {}};
        const std::vector<std::uint8_t> pixels = stage_->pixels();
        picture::Image image(static_cast<int>(std::lround(options_.width * scale_)),
                             static_cast<int>(std::lround(options_.height * scale_)), picture::Colour{});
        for (std::size_t i = 0; i < image.pixels.size() && 4 * i + 2 < pixels.size(); ++i)
            image.pixels[i] = static_cast<std::uint32_t>(pixels[4 * i]) << 16 |
                              static_cast<std::uint32_t>(pixels[4 * i + 1]) << 8 | pixels[4 * i + 2];
        return picture::write_png(image, file);
    }

  private:
    const Options& options_;
    model::Session& session_;
    double scale_ = 1;
    std::unique_ptr<Offscreen> offscreen_;
    std::unique_ptr<Stage> stage_;
};

/// "Ctrl+Shift+Z" on the screen.
Outcome<Done> press(Stage& stage, const std::string& keys) {
    Stage::Held held;
    std::string rest = keys;
    for (std::size_t plus; (plus = rest.find('+')) != std::string::npos && plus + 1 < rest.size();
         rest.erase(0, plus + 1)) {
        const std::string word = rest.substr(0, plus);
        if (word == "Ctrl")
            held.ctrl = true;
        else if (word == "Shift")
            held.shift = true;
        else if (word == "Alt")
            held.alt = true;
        else
            break;
    }
    const std::pair<const char*, ImGuiKey_> named[] = {{"Tab", ImGuiKey_Tab},
                                                       {"Esc", ImGuiKey_Escape},
                                                       {"Enter", ImGuiKey_Enter},
                                                       {"Up", ImGuiKey_UpArrow},
                                                       {"Down", ImGuiKey_DownArrow},
                                                       {"Left", ImGuiKey_LeftArrow},
                                                       {"Right", ImGuiKey_RightArrow},
                                                       {"PgUp", ImGuiKey_PageUp},
                                                       {"PgDn", ImGuiKey_PageDown},
                                                       {"Del", ImGuiKey_Delete},
                                                       {"A", ImGuiKey_A},
                                                       {"C", ImGuiKey_C},
                                                       {"V", ImGuiKey_V},
                                                       {"X", ImGuiKey_X},
                                                       {"Y", ImGuiKey_Y},
                                                       {"Z", ImGuiKey_Z}};
    for (const auto& [name, key] : named)
        if (rest == name) return stage.key(key, held), Done{};
    if (rest == "Space") return stage.key(static_cast<int>(' '), held), Done{};
    if (rest == "F5") return stage.key(ui::key_f5, held), Done{};
    if (rest == "F6") return stage.key(ui::key_f6, held), Done{};
    const bool plain =
        rest.size() == 1 && ((rest[0] >= 'A' && rest[0] <= 'Z') || (rest[0] >= '0' && rest[0] <= '9'));
    if (plain) return stage.key(static_cast<int>(rest[0]), held), Done{};
    return Fault{FaultKind::usage, "press", "\"" + keys + "\" is no key: docs/editor.md lists them.", {}};
}

/// A line of the program itself, not of the session; nothing when it is none.
std::optional<Outcome<Done>> own_line(Camera& camera, const std::string& line) {
    const auto words = design::command_words(line);
    if (!words || words->empty()) return std::nullopt;
    const std::string verb = words->front().text;
    if (verb != "picture" && verb != "press" && verb != "type") return std::nullopt;
    const std::size_t count = words->size();
    const std::string what = count > 1 ? (*words)[1].text : std::string();
    const bool now = verb == "picture" && count == 3 && (*words)[2].text == "now";
    if (what.empty() || (count != 2 && !now))
        return Outcome<Done>(Fault{FaultKind::usage,
                                   "script",
                                   "Write \"picture FILE\", \"picture FILE now\", \"press KEY\" or \"type "
                                   "TEXT\", what has blanks in quotes.",
                                   {}});
    if (verb == "picture") return camera.take(what, now);
    const auto stage = camera.stage();
    if (!stage) return Outcome<Done>(stage.fault());
    (*stage)->frame();
    if (verb == "press") return press(**stage, what);
    (*stage)->type(what.c_str());
    (*stage)->frame();
    return Outcome<Done>(Done{});
}

Outcome<Done> run_lines(Camera& camera, model::Session& session, std::string_view text,
                        const std::string& name) {
    int number = 0;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string line(text.substr(0, end));
        if (line.ends_with('\r')) line.pop_back();
        text.remove_prefix(std::min(end + 1, text.size()));
        ++number;
        if (const auto own = own_line(camera, line)) {
            if (*own) continue;
            Fault fault = own->fault();
            fault.message = name + ", line " + std::to_string(number) + ": " + fault.message;
            return fault;
        }
        const auto done = model::run_script(
            session, line, name, [](const std::string& told) { std::cout << told << std::endl; }, number);
        if (!done) return done.fault();
    }
    return Done{};
}

}  // namespace

Outcome<Done> run_without_window(const Options& options, model::Session& session) {
    Camera camera(options, session);
    if (!options.file.empty())
        if (const auto opened = model::run_and_wait(session, ui::open_line(options.file)); !opened)
            return opened.fault();
    if (!options.script.empty()) {
        const auto file = FileBytes::read(options.script, most_script_bytes);
        if (!file) return file.fault();
        if (const auto done = run_lines(camera, session, file->text(), options.script.string()); !done)
            return done.fault();
    }
    return options.picture.empty() ? Outcome<Done>(Done{}) : camera.take(options.picture, false);
}

}  // namespace archwright::editor::app
