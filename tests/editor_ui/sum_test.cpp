// What may be typed into a number's box.
#include <catch2/catch.hpp>

#include "editor/model/session_commands.hpp"
#include "editor/ui/said.hpp"
#include "editor/ui/screen.hpp"
#include "editor/ui/sum.hpp"

using namespace archwright;
using namespace archwright::editor;

TEST_CASE("sums are added up, nonsense is refused") {
    const std::pair<const char*, double> good[] = {
        {"3.2", 3.2},        {"3.2+0.4", 3.6},   {" 12 / 2 - 1", 5}, {"-3", -3},  {"2*3+4*5", 26},
        {"\u22121.5", -1.5}, {"10-\u22122", 12}, {"16 mm", 16},      {"3--2", 5}, {"+4", 4}};
    for (const auto& [text, value] : good) {
        INFO(text);
        const auto sum = ui::sum_of(text, "mm");
        REQUIRE(sum);
        CHECK(*sum == Approx(value));
    }
    // inclinations by their words; a bare figure keeps its sign
    const std::pair<const char*, double> angles[] = {
        {"5\u00b0", 5}, {"3 everted", -3},           {"2.5\u00b0 inverted", 2.5},
        {"-3", -3},     {"1+2 degrees everted", -3}, {"4 degrees", 4}};
    for (const auto& [text, value] : angles) {
        INFO(text);
        const auto sum = ui::sum_of(text, "degrees");
        REQUIRE(sum);
        CHECK(*sum == Approx(value));
    }
    CHECK_FALSE(ui::sum_of("3 everted", "mm"));
    for (const char* text :
         {"", " ", "mm", "3,2", "3+", "*2", "1/0", "abc", "3 cm", "nan", "inf", "1..2", "((2))", "1e3x"}) {
        INFO(text);
        CHECK_FALSE(ui::sum_of(text, "mm"));
    }
}

TEST_CASE("what the screen says of files reads back, whatever their names") {
    for (const std::string name : {"a.json", "it's \"odd\" \\ here.json", "cast with blanks.ply", "#1.stl"}) {
        const auto command = design::parse(ui::open_line(name), model::session_commands());
        INFO(name);
        REQUIRE(command);
        CHECK(command->name == (name.ends_with(".json") ? "open" : "new"));
        CHECK(command->arguments.front().second == name);
    }
}

TEST_CASE("regions cover the screen and meet nowhere") {
    for (const auto& [w, h] : {std::pair(1600.0, 1000.0), std::pair(1280.0, 720.0), std::pair(1440.0, 860.0),
                               std::pair(2560.0, 1440.0), std::pair(1100.0, 640.0)}) {
        const ui::Layout l = ui::Layout::of(w, h);
        const ui::Box all[] = {l.top,     l.stages,   l.plan,      l.model,
                               l.frontal, l.sagittal, l.inspector, l.status};
        double area = 0;
        for (const ui::Box& a : all) {
            area += a.w * a.h;
            CHECK(a.x >= 0);
            CHECK(a.right() <= w + 1e-9);
            CHECK(a.bottom() <= h + 1e-9);
            for (const ui::Box& b : all)
                if (&a != &b) CHECK_FALSE(a.meets(b));
        }
        CHECK(area == Approx(w * h));
        CHECK(l.narrow == (w < 1440 || h < 860));
    }
    const ui::Layout wide = ui::Layout::of(1600, 1000);
    CHECK(wide.plan.w == Approx(405));
    CHECK(wide.model.w == Approx(595));
    CHECK(wide.frontal.w == wide.plan.w);
    CHECK(wide.sagittal.h == 220);
}

TEST_CASE("every check that a device can have stands under a stage") {
    for (const std::string& stage : model::stages()) CHECK_FALSE(ui::stage_title(stage).empty());
    CHECK(ui::stage_of("receive.side") == "receive");
    CHECK(ui::stage_of("features.fit") == "reliefs");
    CHECK(ui::stage_of("mesh.closed") == "prove");
    CHECK(ui::label_of("trim.cup_posterior_mm") == "Cup posterior");
    CHECK(ui::figure(-0.04, 1, "mm") == "0.0 mm");
    CHECK(ui::figure(-3.0, 1, "deg") == "\u22123.0\u00b0");
}
