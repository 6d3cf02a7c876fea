// archwright-editor-bench FOLDER [JOB [COMMAND]]: how long the editor takes from an event to its picture. A
// job of one's own is edited too, by a command that lacks its value, in mm.
#include <imgui.h>

#include <chrono>
#include <condition_variable>
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <mutex>

#include "editor/app/offscreen.hpp"
#include "editor/app/painter.hpp"
#include "editor/model/script.hpp"
#include "editor/view/null_device.hpp"
#include "editor/view/preparer.hpp"
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

/// An outline of 30 by 25 mm under the arch, one point of it moved.
std::string region(double moved) {
    return "[[" + exact(55 + moved) + ",5],[" + exact(60 + moved) + ",26],[88,28],[92,8]]";
}

/// A job on a cast of so many triangles, with a region of the wall and a control of the trim line; with a
/// groove, or plain.
fs::path job_of(std::size_t triangles, const fs::path& folder, bool groove = true) {
    const fs::path cast = bench::cast_of(triangles, folder);
    const fs::path path =
        folder / ((groove ? "editor-" : "editor-plain-") + std::to_string(triangles) + ".json");
    fs::remove(path);
    model::Session session(model::Setup{});
    give(session, "new " + fs::absolute(cast).string() + " job=" + fs::absolute(path).string() +
                      " side=left unit=mm case=BENCH-1 by=BENCH");
    if (groove) give(session, "feature add groove groove points=[[45,6],[100,14]]");
    give(session, "region add arch " + region(0) + " 4 blend_mm=12");
    give(session, "entry add trim.controls {\"station\": 0.5, \"medial\": true, \"offset_mm\": 0.5}");
    give(session, "save");
    return path;
}

/// Rings when something was made behind.
class Bell {
  public:
    std::function<void()> ring() {
        return [this] {
            {
                const std::lock_guard guard(mutex_);
                ++rung_;
            }
            change_.notify_all();
        };
    }
    /// Until it has rung since it was last heard, or a moment.
    void listen() {
        std::unique_lock guard(mutex_);
        change_.wait_for(guard, std::chrono::milliseconds(200), [&] { return rung_ != heard_; });
        heard_ = rung_;
    }

  private:
    std::mutex mutex_;
    std::condition_variable change_;
    std::uint64_t rung_ = 0, heard_ = 0;
};

std::string milliseconds(double seconds) {
    return rounded(1000 * seconds, seconds < 0.01 ? 1 : 0) + " ms";
}

/// From "open" to the first picture that shows the cast, drawn to its last pixel.
bench::Figure opening(std::size_t triangles, const fs::path& folder) {
    const fs::path job = job_of(triangles, folder);
    auto offscreen = app::Offscreen::make();
    if (!offscreen) give_up(offscreen.fault().message);
    auto figure =
        bench::measure_timed("editor: open to first picture", static_cast<double>(triangles), [&]() {
            model::Session session(model::Setup{});
            app::Stage stage((*offscreen)->device(), session, 1280, 800, 1.0);
            if (const auto started = stage.start(); !started) give_up(started.fault().message);
            const auto began = std::chrono::steady_clock::now();
            const double processor = bench::processor_seconds();
            give(session, "open " + fs::absolute(job).string());
            double received_s = 0;
            while (!stage.screen().shown()) {
                session.wait(0.05);
                if (received_s == 0 && session.view_of(session.foot()).latest &&
                    session.view_of(session.foot()).latest->received)
                    received_s = seconds_since(began);
                stage.frame();
            }
            const double prepared_s = seconds_since(began);
            stage.frame();
            (void)stage.pixels();
            const double all = seconds_since(began);
            return bench::Timed{
                all, rounded(static_cast<double>(stage.screen().shown()->cast().triangles()) / 1e3, 0) +
                         "k triangles shown; stands after " + milliseconds(received_s) + ", prepared after " +
                         milliseconds(prepared_s) + "; " +
                         rounded(bench::processor_seconds() - processor, 2) + " processor s"};
        });
    if (triangles == 1'000'000) figure.goal_s = 2.0;
    return figure;
}

/// From a command to filled buffers (of a device that only counts): the preview while a value is dragged, and
/// the exact shell after it is let go. Beside them what is drawn prepared from nothing.
/// `what` stands in the names of the figures; `lines` are said in turn.
struct Edit {
    std::string what, lines[2];
    double preview_goal_s = 0, exact_goal_s = 0;
};
void editing(const fs::path& job, const Edit& edit, double size, std::vector<bench::Figure>& figures) {
    for (const bool exact : {false, true}) {
        Bell bell;
        model::Setup setup;
        setup.wake = bell.ring();
        model::Session session(setup);
        give(session, "open " + fs::absolute(job).string());
        give(session, "wait");
        view::NullDevice device;
        view::Skins skins(device);
        view::Preparer preparer(bell.ring());
        std::shared_ptr<const model::FootResult> wished;
        /// As the screen does it (editor/ui/screen.cpp): true once what follows is in the buffers.
        double published_s = 0, prepared_s = 0;
        std::chrono::steady_clock::time_point began;
        const auto turn = [&] {
            session.poll();
            const auto latest = session.view_of(session.foot()).latest;
            if (latest && latest != wished) {
                wished = latest;
                published_s = seconds_since(began);
                preparer.ask(latest, *session.job().foot(session.foot()), view::Map::wall);
            }
            for (auto& shown : preparer.take()) {
                prepared_s = seconds_since(began);
                skins.show(shown);
                skins.values(view::Map::wall);
            }
        };
        turn();
        preparer.wait();
        turn();
        const auto reach = exact ? model::FootResult::Reach::shaped : model::FootResult::Reach::preview;
        std::size_t edits = 0;
        figures.push_back(bench::measure_timed(
            exact ? "editor: " + edit.what + " let go to exact shell in buffers"
                  : "editor: " + edit.what + " dragged to preview in buffers",
            size, [&] {
                const std::size_t grown = device.counts().grown;
                const double processor = bench::processor_seconds();
                began = std::chrono::steady_clock::now();
                give(session, edit.lines[++edits % 2]);
                const std::uint64_t edition = session.edition();
                for (;;) {
                    turn();
                    const auto& shown = skins.shown();
                    if (shown && shown->result().edition == edition && shown->result().reach >= reach) break;
                    bell.listen();
                }
                const double all = seconds_since(began);
                const auto& shown = *skins.shown();
                return bench::Timed{
                    all, "made after " + milliseconds(published_s) + ", prepared in " +
                             milliseconds(prepared_s - published_s) + ", filled in " +
                             milliseconds(all - prepared_s) + "; " +
                             milliseconds(bench::processor_seconds() - processor) + " of the processors; " +
                             rounded(static_cast<double>(shown.foot_side().triangles() +
                                                         shown.underside().triangles() +
                                                         shown.rest().triangles()) /
                                         1e3,
                                     0) +
                             "k triangles of shell, " +
                             rounded(static_cast<double>(shown.cast().triangles()) / 1e3, 0) + "k of cast; " +
                             std::to_string(device.counts().grown - grown) + " buffers grew"};
            }));
        figures.back().goal_s = exact ? edit.exact_goal_s : edit.preview_goal_s;
        give(session, "wait");
        if (!exact || edit.what != "groove") continue;
        turn();
        preparer.wait();
        const auto result = session.view_of(session.foot()).latest;
        const auto& foot = *session.job().foot(session.foot());
        figures.push_back(bench::measure("peer: what is drawn prepared from nothing", size, [&] {
            const auto shown = view::Shown::make(result, foot);
            shown->work_out(view::Map::wall);
            shown->finish();
            return std::string();
        }));
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
        std::fputs("usage: archwright-editor-bench FOLDER [JOB [COMMAND]]\n", stderr);
        return 2;
    }
    const fs::path folder = words[1];
    fs::create_directories(folder);
    std::vector<bench::Figure> figures;
    figures.push_back(opening(1'000'000, folder));
    const auto numbers = [](const std::string& what, const std::string& line, double preview, double exact) {
        return Edit{what, {line + " 2.5", line + " 1.5"}, preview, exact};
    };
    const std::string control = "set trim.controls[0].offset_mm", depth = "set features[groove].depth_mm";
    const std::string outline = "set wall.regions[arch].outline ";
    const Edit of_region{"wall region", {outline + region(3), outline + region(-2)}, 0.033, 0.3};
    for (const bool groove : {true, false}) {
        const fs::path job = job_of(500'000, folder, groove);
        if (groove) editing(job, numbers("groove", depth, 0.033, 0.3), 500'000, figures);
        Edit one = of_region;
        one.what += groove ? ", with a groove," : ", plain,";
        editing(job, one, 500'000, figures);
        editing(job,
                numbers(groove ? "trim line, with a groove," : "trim line, plain,", control, 0.05,
                        groove ? 0.35 : 0.15),
                500'000, figures);
    }
    if (count > 2) editing(words[2], numbers("edit", count > 3 ? words[3] : depth, 0.033, 0.3), 0, figures);
    turning(1'000'000, folder, figures);
    std::cout << bench::machine() << "\n\n## The editor\n\n" << bench::markdown(figures) << "\n";
    return 0;
}
