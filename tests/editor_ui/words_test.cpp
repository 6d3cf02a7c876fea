// What was done is said in a technician's words, and what is shown of it stays in its place.
#include "editor/ui/said.hpp"
#include "engine/design/parameters.hpp"
#include "engine/foot/landmarks.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Hand;
using ui::step_words;
using Words = std::pair<std::string, std::string>;

namespace {

/// A session on the small job, at a stage, all of it built.
struct Bench : tests::Desk {
    Hand hand{setup(), 1280, 800};
    explicit Bench(const std::string& stage) {
        hand.give(open_line());
        hand.settle();
        hand.give("stage " + stage);
    }
    std::string last_step() const { return hand.session.history()->labels().back(); }
    /// Typed in the command list, as a person gives it.
    void type(const char* line) {
        hand.key('K', Hand::ctrl);
        hand.frames(3);
        hand.type(line);
        hand.key(ImGuiKey_Enter);
        hand.frames(2);
    }
};

}  // namespace

TEST_CASE("words: no step of any parameter is a key or a path") {
    for (const auto* table : {&design::foot_parameters(), &design::case_parameters()})
        for (const design::Parameter& p : *table) {
            std::string path = p.name;
            for (std::size_t at; (at = path.find("[]")) != std::string::npos;)
                path.replace(at, 2, path.find("stations[]") == std::string::npos ? "[x]" : "[0]");
            INFO(path);
            const Words words = step_words(path + " " + p.standard);
            CHECK(words.first.find_first_of("_[]{}") == std::string::npos);
            CHECK(words.second.find_first_of("_[]{}") == std::string::npos);
            // "*" stands for any landmark: no sentence has it
            if (p.name.find('.') == std::string::npos || p.name.find_first_of("[*") != std::string::npos)
                continue;
            const std::string sentence = ui::without_keys("Lower " + p.name + ", or more.");
            CHECK(sentence.find('_') == std::string::npos);
            CHECK(sentence.find(p.name) == std::string::npos);
            CHECK(sentence.starts_with("Lower "));
            CHECK(sentence.ends_with(", or more."));
        }
    CHECK(step_words("wall.stations[0].wall_mm 3.6") == Words("Wall station 1", "3.6 mm"));
    CHECK(step_words("trim.controls[0].offset_mm -3.5").first == "Trim line control 1, offset");
    CHECK(step_words("features[groove-1].stations[2].depth_mm 2").first == "Station 3 of groove-1, depth");
    CHECK(step_words("trim.controls [{\"station\": 0.5},{\"station\": 0.6}]") ==
          Words("Trim controls", "2 points"));
    CHECK(step_words("features[pad-1].points [[1,2]]") == Words("pad-1 points", "1 point"));
    // files, figures and plain sentences stay as they are
    for (const char* plain : {"lark.stl holds 2.5 mm at 4.0 degrees.", "It stops here.", "a_file.ply"})
        CHECK(ui::without_keys(plain) == plain);
    CHECK(ui::place_in_words({41.2, -7.4, 10}) == "41 forward, 7 lateral");
}

TEST_CASE("words: the status line says what was set, and of a proposal that nothing was done") {
    Bench bench("trim");
    bench.type("set trim.distal_first_mm 9");
    CHECK(bench.hand.foot().trim.distal_first_mm == 9);
    CHECK(bench.hand.screen->state().told == "Distal first 9.0 mm.");
    bench.hand.settle();
    bench.type("propose \"set wall.base_mm 3.9\"");
    CHECK(bench.hand.screen->state().told == "Proposed, not done: Wall base 3.9 mm.");
    CHECK(bench.hand.foot().wall.base_mm != 3.9);
    bench.type("entry add trim.controls {\"station\": 0.6, \"medial\": true, \"offset_mm\": 1}");
    CHECK(bench.hand.screen->state().told == "Trim line control added.");
}

TEST_CASE("words: a drag of places is called by its handle, one of a figure by what it came to") {
    Bench bench("trim");
    Hand& hand = bench.hand;
    hand.give("step begin \"Trim line control 1\"");
    hand.give("set trim.controls [{\"station\": 0.5, \"medial\": true, \"offset_mm\": 1}]");
    hand.give("set trim.controls [{\"station\": 0.5, \"medial\": true, \"offset_mm\": 2}]");
    hand.give("step end");
    CHECK(bench.last_step() == "Trim line control 1");
    hand.give("step begin \"Base\"");
    hand.give("set wall.base_mm 3.5");
    hand.give("set wall.base_mm 3.6");
    hand.give("step end");
    CHECK(step_words(bench.last_step()) == Words("Wall base", "3.6 mm"));
    hand.give("step begin \"Painted front\"");
    hand.give("region add front [[60,0],[80,0],[70,15]] 4");
    hand.give("set wall.base_mm 3.5");
    hand.give("step end");
    CHECK(bench.last_step() == "Painted front");
}

TEST_CASE("rows: what is told of a stage keeps its place while the design is built anew") {
    Bench bench("trim");
    Hand& hand = bench.hand;
    std::vector<std::string> told;
    for (const Check& check : hand.session.view_of(hand.session.foot()).latest->device->checks)
        if (hand.there("check " + check.id)) told.push_back("check " + check.id);
    REQUIRE_FALSE(told.empty());
    // two that stop nothing: of the trim line, which has a preview, and of the dressing, which has none
    for (const char* line : {"set trim.distal_first_mm 8", "set dress.arch_fill_mm 1"}) {
        INFO(line);
        tests::give(hand.session, line);
        int frames = 0;
        for (; frames < 4000 && !hand.session.idle(); ++frames) {
            hand.session.wait(0.02);
            hand.frame();
            for (const std::string& id : told) CHECK(hand.there(id));
        }
        CHECK(frames > 0);
        hand.settle();
    }
}

TEST_CASE("rows: a landmark that is pressed stays under the mouse") {
    Bench bench("examine");
    Hand& hand = bench.hand;
    hand.give("setting person T9");
    for (const foot::LandmarkId id : {foot::LandmarkId::fifth_base, foot::LandmarkId::heel_centre,
                                      foot::LandmarkId::first_head_plantar}) {
        const std::string row = std::string("landmark ") + foot::key(id);
        INFO(row);
        hand.show(row);
        const Vec2 before = hand.middle(row);
        hand.click(before);
        hand.frames(8);
        CHECK(hand.session.selection().name == foot::key(id));
        CHECK((hand.middle(row) - before).norm() < 1.5);
        CHECK(hand.misfits() == "");
    }
}

TEST_CASE("cursor: its cross and figures go with the mouse") {
    Bench bench("trim");
    Hand& hand = bench.hand;
    const Vec2 place = hand.middle("plan origin");
    hand.move(place);
    hand.frames(2);
    REQUIRE(hand.screen->state().cursor);
    hand.move(hand.middle("stagetrim"));
    hand.frames(2);
    CHECK_FALSE(hand.screen->state().cursor);
}
