// The views as a hand uses them: maps, sections, both themes, measuring, the design before.
#include <imgui.h>

#include <catch2/catch.hpp>

#include "editor/app/offscreen.hpp"
#include "editor/app/painter.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor;

namespace {

std::string overflows_told(const std::vector<ui::Overflow>& overflows) {
    std::string all;
    for (const ui::Overflow& o : overflows) all += o.where + ": " + o.text + "; ";
    return all;
}

}  // namespace

TEST_CASE("every view in its box: maps, sides, sections, measuring, the design before") {
    const tests::Desk desk;
    auto offscreen = app::Offscreen::make();
    INFO((offscreen ? "" : offscreen.fault().message));
    REQUIRE(offscreen.ok());
    model::Session session(desk.setup());
    app::Stage stage((*offscreen)->device(), session, 1280, 720, 1.0);
    REQUIRE(stage.start().ok());
    tests::give(session, desk.open_line());
    stage.settle();
    ui::Screen& screen = stage.screen();
    const ui::Layout layout = ui::Layout::of(1280, 720);
    const auto fits = [&](const std::string& what) {
        INFO(what);
        CHECK(overflows_told(screen.look().overflows()) == "");
        CHECK(screen.shortened_pages() == std::vector<std::string>{});
        CHECK((*offscreen)->device().trouble() == "");
    };
    const Vec2 middle = layout.plan.centre();
    stage.move(middle);
    for (const char* map : {"wall", "height", "deviation", "slope", "tool", "ground", "shoe", "none"}) {
        tests::give(session, std::string("view map ") + map);
        stage.settle();
        REQUIRE(screen.state().cursor);
        fits(map);
    }
    tests::give(session, "view plan below");
    stage.frame();
    fits("below");
    tests::give(session, "view plan above");

    // a section along a line, in a command and drawn by hand
    tests::give(session, "section A [[10, -20], [110, 25]]");
    stage.settle();
    fits("section A");
    CHECK(session.sections().shown == "A");
    screen.state().tool = ui::Tool::section;
    stage.frame();
    stage.press(0, true);
    stage.frame();
    stage.move(middle + Vec2(30, -60));
    stage.frame();
    stage.press(0, false);
    stage.frame();
    stage.frame();
    CHECK(session.sections().lines.count("B") == 1);
    CHECK(screen.state().tool == ui::Tool::none);
    tests::give(session, "section remove A");
    CHECK(session.sections().lines.count("A") == 0);
    tests::refused(session, "section A");
    tests::refused(session, "section A [[1, 2], [1, 2]]");
    tests::refused(session, "section F [[10, -20], [110, 25]]");
    tests::refused(session, "section A at=12");
    tests::refused(session, "section remove D");
    tests::give(session, "section F at=72");
    stage.frame();
    CHECK(screen.state().section_x == 72);

    // what is under the cursor in a section is a place of the shell; the wheel brings it nearer there
    const Vec2 in_section = layout.sagittal.centre() + Vec2(0, 30);
    stage.move(in_section);
    stage.frame();
    stage.frame();
    CHECK(screen.state().hovered == "S");
    const auto before = screen.state().cursor;
    stage.wheel(3);
    stage.frame();
    stage.frame();
    CHECK(screen.state().sagittal.zoom > 1.5);
    if (before && screen.state().cursor)
        CHECK(std::abs(screen.state().cursor->at.x() - before->at.x()) < 2.0);
    fits("section nearer");

    // three places are measured, a fourth begins anew
    screen.state().tool = ui::Tool::measure;
    for (int i = 0; i < 4; ++i) {
        stage.move(middle + Vec2(12 * i, 20 * i - 30));
        stage.frame();
        stage.frame();
        fits("measuring");
        stage.press(0, true);
        stage.frame();
        stage.press(0, false);
        stage.frame();
        CHECK(screen.state().measured.size() == (i < 3 ? static_cast<std::size_t>(i + 1) : 1));
    }
    screen.state().tool = ui::Tool::none;

    // the design before the last step: drawn while it is asked for
    const auto now = screen.shown();
    tests::give(session, "set wall.base_mm 3.7");
    stage.settle();
    const auto after = screen.shown();
    REQUIRE(after != now);
    tests::give(session, "view before on");
    stage.frame();
    CHECK(screen.shown()->number() != after->number());
    CHECK(screen.shown()->foot().wall.base_mm != 3.7);
    fits("before");
    tests::give(session, "view before off");
    stage.frame();
    CHECK(screen.shown()->foot().wall.base_mm == 3.7);
}

TEST_CASE("a stage shows the cast as its work needs it") {
    const tests::Desk desk;
    model::Session session(desk.setup());
    tests::give(session, desk.open_line());
    for (const auto& [name, cast] :
         {std::pair("wall", "lifted"), std::pair("trim", "glass"), std::pair("receive", "on"),
          std::pair("post", "glass"), std::pair("reliefs", "lifted")}) {
        tests::give(session, std::string("stage ") + name);
        CHECK(session.view("cast") == cast);
    }
    // a choice made by hand stays within the stage
    tests::give(session, "view cast off");
    tests::give(session, "stage reliefs");
    CHECK(session.view("cast") == "off");
}
