// archwright-editor-bench FOLDER: how long the editor takes from an event to its picture.
#include <imgui.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <iostream>

#include "editor/app/offscreen.hpp"
#include "editor/app/painter.hpp"
#include "editor/model/script.hpp"
#include "editor/view/null_device.hpp"
#include "engine/base/text.hpp"
#include "tests/bench/steps.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

namespace fs = std::filesystem;

[[noreturn]] void give_up(const std::string& why) {
    std::fprintf(stderr, "editor bench: %s\n", why.c_str());
    std::exit(1);
}

void give(model::Session& session, const std::string& line) {
    const auto reply = model::run_and_wait(session, line);
    if (!reply) give_up(line + ": " + reply.fault().message);
}

double seconds_since(const std::chrono::steady_clock::time_point& from) {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - from).count();
}

/// A job on a cast of so many triangles, with a groove.
fs::path job_of(std::size_t triangles, const fs::path& folder) {
    const fs::path cast = bench::cast_of(triangles, folder);
    const fs::path path = folder / ("editor-" + std::to_string(triangles) + ".json");
    fs::remove(path);
    model::Session session(model::Setup{});
    give(session, "new " + fs::absolute(cast).string() + " job=" + fs::absolute(path).string() +
                      " side=left unit=mm case=BENCH-1 by=BENCH");
    give(session, "feature add groove groove points=[[45,6],[100,14]]");
    give(session, "save");
    return path;
}

/// From "open" to the first picture that shows the cast.
bench::Figure opening(std::size_t triangles, const fs::path& folder) {
    const fs::path job = job_of(triangles, folder);
    auto offscreen = app::Offscreen::make();
    if (!offscreen) give_up(offscreen.fault().message);
    auto figure = bench::measure("editor: open to first picture", static_cast<double>(triangles), [&] {
        model::Session session(model::Setup{});
        app::Stage stage((*offscreen)->device(), session, 1280, 800, 1.0);
        if (const auto started = stage.start(); !started) give_up(started.fault().message);
        give(session, "open " + fs::absolute(job).string());
        while (!stage.screen().shown()) {
            session.wait(0.01);
            stage.frame();
        }
        return rounded(static_cast<double>(stage.screen().shown()->cast().corners.size()) / 3e3, 0) +
               "k triangles shown";
    });
    if (triangles == 1'000'000) figure.goal_s = 2.0;
    return figure;
}

/// From a command to filled buffers (of a device that only counts): the preview, and the exact shell.
void editing(std::size_t triangles, const fs::path& folder, std::vector<bench::Figure>& figures) {
    const fs::path job = job_of(triangles, folder);
    for (const bool exact : {false, true}) {
        model::Session session(model::Setup{});
        give(session, "open " + fs::absolute(job).string());
        give(session, "wait");
        view::NullDevice device;
        view::Skins skins(device);
        view::Preparer preparer({});
        const auto show = [&](std::shared_ptr<const model::FootResult> result) {
            preparer.ask(std::move(result), *session.job().foot(session.foot()), view::Map::wall);
            preparer.wait();
            for (auto& shown : preparer.take()) {
                skins.show(shown);
                skins.values(view::Map::wall);
            }
        };
        show(session.view_of(session.foot()).latest);
        const auto reach = exact ? model::FootResult::Reach::shaped : model::FootResult::Reach::preview;
        std::size_t edits = 0;
        double shown_s = 0;
        figures.push_back(bench::measure(
            exact ? "editor: groove edit to exact shell in buffers"
                  : "editor: groove edit to preview in buffers",
            static_cast<double>(triangles), [&] {
                const std::size_t grown = device.counts().grown;
                give(session,
                     "set features[groove].depth_mm " + std::string(++edits % 2 == 0 ? "2.5" : "1.5"));
                const std::uint64_t edition = session.edition();
                for (;;) {
                    session.wait(0.5);
                    const auto latest = session.view_of(session.foot()).latest;
                    if (!latest || latest->edition != edition || latest->reach < reach) continue;
                    const auto began = std::chrono::steady_clock::now();
                    show(latest);
                    shown_s = seconds_since(began);
                    break;
                }
                return "of it " + rounded(1000 * shown_s, 0) + " ms to prepare and fill, " +
                       std::to_string(device.counts().grown - grown) + " buffers grew";
            }));
        figures.back().goal_s = exact ? 0.3 : 0.033;
        give(session, "wait");
    }
}

/// Turning the model by hand on the processor's graphics.
void turning(std::size_t triangles, const fs::path& folder, std::vector<bench::Figure>& figures) {
    const fs::path job = job_of(triangles, folder);
    auto offscreen = app::Offscreen::make();
    if (!offscreen) give_up(offscreen.fault().message);
    model::Session session(model::Setup{});
    app::Stage stage((*offscreen)->device(), session, 1280, 800, 1.0);
    if (const auto started = stage.start(); !started) give_up(started.fault().message);
    give(session, "open " + fs::absolute(job).string());
    give(session, "stage wall");
    stage.settle();
    ui::State& state = stage.screen().state();
    figures.push_back(bench::measure(
        "editor: a frame while the model turns, 1280x800", static_cast<double>(triangles), [&] {
            constexpr int frames = 10;
            const auto began = std::chrono::steady_clock::now();
            for (int i = 0; i < frames; ++i) {
                state.eye.drag({7, 2});
                state.moved_until = ImGui::GetTime() + 1;
                stage.frame();
                (void)stage.pixels();  // the processor's graphics work behind: wait for them
            }
            return rounded(frames / seconds_since(began), 1) + " frames a second";
        }));
    figures.back().note += " (time is of ten frames)";
    figures.back().goal_s = 2.0;
    figures.push_back(bench::measure("editor: the picture at rest, four samples, 1280x800",
                                     static_cast<double>(triangles), [&] {
                                         state.eye.drag({7, 2});
                                         state.moved_until = 0;
                                         stage.frame();
                                         (void)stage.pixels();
                                         return std::string();
                                     }));
}

}  // namespace

int main(int count, char** words) {
    if (count < 2) {
        std::fputs("usage: archwright-editor-bench FOLDER\n", stderr);
        return 2;
    }
    const fs::path folder = words[1];
    fs::create_directories(folder);
    std::vector<bench::Figure> figures;
    figures.push_back(opening(1'000'000, folder));
    editing(500'000, folder, figures);
    turning(1'000'000, folder, figures);
    std::cout << bench::machine() << "\n\n## The editor\n\n" << bench::markdown(figures) << "\n";
    return 0;
}
