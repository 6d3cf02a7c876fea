// Skin marks in the plan: each in its place with its name, "?" where nobody accepted it, none that is
// refused.
#include <algorithm>
#include <catch2/catch.hpp>

#include "engine/picture/of_device.hpp"
#include "engine/picture/sheet.hpp"
#include "tests/picture/synthetic.hpp"

using namespace archwright;
using namespace archwright::picture;

namespace {

std::size_t changed(const Image& a, const Image& b) {
    REQUIRE(a.pixels.size() == b.pixels.size());
    std::size_t count = 0;
    for (std::size_t i = 0; i < a.pixels.size(); ++i) count += a.pixels[i] != b.pixels[i] ? 1 : 0;
    return count;
}

}  // namespace

TEST_CASE("the plan shows marks with their names") {
    const TriangleMesh cast = synthetic::foot();
    PictureInput input;
    input.side = Side::left;
    input.case_code = "WREN-0001";
    input.cast = &cast;
    PictureSettings settings;
    settings.width = 1000;
    settings.height = 1200;
    settings.views = {"plan"};
    const auto bare = draw_sheet(input, settings);
    if (!bare.ok()) FAIL(bare.fault().message);
    PlanMark line;
    line.name = "fascia";
    for (int k = 0; k <= 30; ++k) line.points.push_back({30.0 + 3.0 * k, 10.0});
    PlanMark spot;
    spot.name = "sore";
    spot.points = {{20.0, -15.0}};
    spot.open = true;
    spot.across_mm = 8.0;
    input.marks = {line, spot};
    const auto drawn = draw_sheet(input, settings);
    if (!drawn.ok()) FAIL(drawn.fault().message);
    const auto has = [&](const std::string& text) {
        return std::count(drawn->written.begin(), drawn->written.end(), text) == 1;
    };
    CHECK(has("fascia"));
    CHECK(has("sore?"));
    CHECK_FALSE(has("sore"));
    // dots along 90 mm, a ring of them, two plates: not nothing, and not half the page
    const std::size_t count = changed(bare->image, drawn->image);
    CHECK(count > 500);
    CHECK(count < 20'000);
    // a mark that was mistyped lies nowhere on the page: nothing of it, and no waiting for its dots
    PlanMark lost = line;
    lost.points = {{0.0, 0.0}, {1e12, 1e12}};
    input.marks = {lost};
    const auto without = draw_sheet(input, settings);
    REQUIRE(without.ok());
    CHECK(std::count(without->written.begin(), without->written.end(), "fascia") == 0);
    CHECK(changed(bare->image, without->image) == 0);
}

TEST_CASE("marks of a job go into the plan's frame, refused ones do not") {
    design::FootDesign foot;
    foot.marks.resize(3);
    foot.marks[0].name = "fascia";
    foot.marks[0].kind = design::Mark::Kind::line;
    foot.marks[0].points = {{1, 2, 3}, {4, 5, 6}};
    foot.marks[1].name = "none";
    foot.marks[1].points = {{1, 1, 1}};
    foot.marks[1].refused = true;
    foot.marks[2].name = "sore";
    foot.marks[2].points = {{2, 0, 0}};
    foot.marks[2].breadth_mm = 6.0;
    foot.marks[2].source = foot::Landmark::Source::suggested;
    foot::Frame frame;
    frame.side = Side::left;
    frame.mm_per_unit = 10.0;
    frame.translation = Vec3(5, 0, 0);
    const auto marks = plan_marks(foot, frame);
    REQUIRE(marks.size() == 2);
    CHECK(marks[0].points == std::vector<Vec2>{{15, -20}, {45, -50}});
    CHECK_FALSE(marks[0].open);
    CHECK(marks[1].name == "sore");
    CHECK(marks[1].open);
    CHECK(marks[1].across_mm == 6.0);
}
