// The whole screen without a window: every text in its box, one undo step a drag, the same picture twice.
#include <imgui.h>

#include <catch2/catch.hpp>

#include <map>
#include <set>

#include "editor/app/key_queue.hpp"
#include "editor/app/offscreen.hpp"
#include "editor/app/options.hpp"
#include "editor/app/painter.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

std::string told(const std::vector<ui::Overflow>& overflows) {
    std::string all;
    for (const ui::Overflow& o : overflows)
        all += o.where + ": \"" + o.text + "\" needs " + std::to_string(o.needed) + " of " +
               std::to_string(o.room) + "\n";
    return all;
}

}  // namespace

TEST_CASE("every text stands in its box, at every scale, in both sizes and both themes") {
    const tests::Desk desk;
    auto offscreen = app::Offscreen::make();
    INFO((offscreen ? "" : offscreen.fault().message));
    REQUIRE(offscreen.ok());
    for (const auto& [w, h] : {std::pair(1600, 1000), std::pair(1280, 720)})
        for (const double scale : {1.0, 1.5, 2.0}) {
            model::Session session(desk.setup());
            app::Stage stage((*offscreen)->device(), session, w, h, scale);
            REQUIRE(stage.start().ok());
            INFO(w << "x" << h << " at " << scale);
            stage.settle();
            CHECK(told(stage.screen().look().overflows()) == "");
            tests::give(session, desk.open_line());
            tests::give(session, "feature add nodule-relief-with-a-long-name cavity points=[[70,10]]");
            tests::give(session, "feature add fascia groove points=[[60,8],[110,12]]");
            tests::give(session, "select feature fascia");
            stage.settle();
            for (const char* theme : {"light", "dark"}) {
                tests::give(session, std::string("setting theme ") + theme);
                for (const char* stage_name : {"receive", "examine", "balance", "dress", "trim", "reliefs",
                                               "wall", "post", "prove", "make"}) {
                    tests::give(session, std::string("stage ") + stage_name);
                    stage.frame();
                    stage.frame();
                    INFO(theme << ", " << stage_name);
                    CHECK(told(stage.screen().look().overflows()) == "");
                }
            }
            CHECK(stage.screen().look().missing() == "");
            CHECK(stage.screen().shortened_pages() == std::vector<std::string>{});
            CHECK((*offscreen)->device().trouble() == "");
        }
}

TEST_CASE("the same state gives the same picture") {
    const tests::Desk desk;
    std::vector<std::uint8_t> pictures[2];
    for (auto& picture : pictures) {
        auto offscreen = app::Offscreen::make();
        REQUIRE(offscreen.ok());
        model::Session session(desk.setup());
        app::Stage stage((*offscreen)->device(), session, 1280, 720, 1.0);
        REQUIRE(stage.start().ok());
        tests::give(session, desk.open_line());
        stage.settle();
        picture = stage.pixels();
        // at rest nothing is drawn again
        const std::size_t drawn = stage.screen().model_drawn();
        for (int i = 0; i < 5; ++i) stage.frame();
        CHECK(stage.screen().model_drawn() == drawn);
    }
    CHECK(pictures[0] == pictures[1]);
}

TEST_CASE("keys pressed and let go between two frames are seen, one after the other") {
    using Event = app::KeyQueue::Event;
    app::KeyQueue queue;
    constexpr int page_down = 267, tab = 258, escape = 256, control = 341;
    const auto key = [&](int code, bool down) {
        Event event;
        event.key = code;
        event.down = down;
        event.printable = code < 256;
        event.modifier = code == control;
        event.opens = down && code != page_down && code != control;
        queue.put(event);
    };
    const auto tap = [&](int code) { key(code, true), key(code, false); };
    const auto letter = [&](char c) {
        key(c, true);
        Event event;
        event.text = true;
        event.letter = static_cast<unsigned>(c);
        queue.put(event);
        key(c, false);
    };
    // page down twice, Tab, Esc, Ctrl+K, then "8" as fast as can be
    tap(page_down), tap(page_down), tap(tab), tap(escape);
    key(control, true), key('K', true), key(control, false), key('K', false);
    letter('8');
    std::vector<std::vector<Event>> frames;
    while (!queue.empty() && frames.size() < 50) {
        frames.emplace_back();
        queue.play(false, [&](const Event& event) { frames.back().push_back(event); });
    }
    std::map<int, std::size_t> pressed;
    std::size_t written = 0, pages = 0;
    bool with_control = false, controlled = false;
    for (std::size_t i = 0; i < frames.size(); ++i) {
        std::set<int> seen;
        for (const Event& event : frames[i]) {
            if (event.text) written = i;
            if (event.text) continue;
            CHECK(seen.insert(event.key).second);  // a frame sees a key change once
            if (event.down) pressed[event.key] = i;
            if (event.key == control) controlled = event.down;
            if (event.key == page_down && event.down) ++pages;
            if (seen.count('K') != 0 && pressed.count('K') != 0 && pressed['K'] == i)
                with_control = controlled;
        }
    }
    CHECK(queue.empty());
    CHECK(with_control);  // held until the frame that sees the press is over
    CHECK(pages == 2);
    // what a key opens or closes has come to rest when the next is seen
    CHECK(pressed[escape] >= pressed[tab] + 3);
    CHECK(pressed['K'] >= pressed[escape] + 3);
    CHECK(pressed[control] <= pressed['K']);
    CHECK(written >= pressed['K'] + 3);
    // a letter that opens something does not write into it
    letter('A');
    letter('b');
    std::map<unsigned, int> at;
    for (int i = 0; i < 8; ++i)
        queue.play(false, [&](const Event& event) {
            if (event.text) at[event.letter] = i;
        });
    CHECK(at['A'] < at['b']);
    CHECK(at['b'] - at['A'] == 3);
    // while a field is open a word comes in one frame
    for (int i = 0; i < 4; ++i) queue.play(true, [](const Event&) {});
    for (const char c : std::string("word")) letter(c);
    std::size_t letters = 0;
    queue.play(true, [&](const Event& event) { letters += event.text ? 1 : 0; });
    CHECK(letters == 4);
    CHECK(queue.empty());
}

TEST_CASE("the program's words are checked") {
    const auto refused = [](std::vector<std::string> words) { return !app::read_options(words).ok(); };
    CHECK(refused({"--size", "0x0"}));
    CHECK(refused({"--size", "1600"}));
    CHECK(refused({"--scale", "9"}));
    CHECK(refused({"--picture", "a.jpg"}));
    CHECK(refused({"--no-window"}));
    CHECK(refused({"--nonsense"}));
    CHECK(refused({"a.json", "b.json"}));
    CHECK(refused({"--script"}));
    CHECK(app::read_options({"--tell"})->tell);
    const auto good = app::read_options(
        {"--no-window", "--picture", "a.png", "--size", "1280x720", "--scale", "2", "case.json"});
    REQUIRE(good.ok());
    CHECK(good->width == 1280);
    CHECK(good->scale == 2);
    CHECK(good->file == "case.json");
}
