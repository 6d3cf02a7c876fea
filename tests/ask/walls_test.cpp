// Walls as unknowns, and the step that meets targets by the least change.
#include "engine/ask/walls.hpp"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>

#include "assets/generator/random.hpp"
#include "engine/ask/least_change.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/wall_map.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::ask;

namespace {

design::Wall many_walls() {
    design::Wall wall;
    wall.base_mm = 3.0;
    wall.stations = {{0.0, 3.2}, {0.5, 3.0}, {1.0, 2.5}};
    wall.medial_column.on = true;
    wall.medial_column.kind = design::WallZone::Kind::scale;
    wall.medial_column.scale = 1.2;
    wall.lateral_column.on = true;
    wall.lateral_column.wall_mm = 2.7;
    design::WallRegion region;
    region.name = "arch";
    region.kind = design::WallZone::Kind::rigidity;
    region.rigidity = 1.5;
    region.outline = {{20, 0}, {60, 0}, {60, 30}, {20, 30}};
    wall.regions.push_back(region);
    region.name = "base";
    region.kind = design::WallZone::Kind::wall;
    region.wall_mm = 3.4;
    wall.regions.push_back(region);
    return wall;
}

design::Material plastic() {
    static const auto materials =
        design::load_materials(std::string(ARCHWRIGHT_SOURCE_DIR) + "/assets/materials");
    return *materials->find("pp_homopolymer");
}

Question question_of(std::vector<WallChoice> walls) {
    Question question;
    question.walls = std::move(walls);
    return question;
}

}  // namespace

TEST_CASE("what is set of every kind of wall makes the map that was tried") {
    const design::Wall wall = many_walls();
    const auto asked = asked_walls(question_of({{"wall.base_mm", {}, {}},
                                                {"stations", {}, 5.0},
                                                {"medial_column", {}, {}},
                                                {"lateral_column", 2.0, 4.0},
                                                {"arch", {}, {}},
                                                {"wall.regions[base]", {}, {}}}),
                                   wall, plastic());
    INFO((asked ? std::string() : asked.fault().message));
    REQUIRE(asked);
    REQUIRE(asked->size() == 8);
    generator::Random random(tests::seed(), 3);
    for (int round = 0; round < 20; ++round) {
        std::vector<double> values;
        for (const AskedWall& one : *asked) {
            CHECK(one.low < one.high);
            values.push_back(random.between(one.low, one.high));
        }
        values = as_written(*asked, values);
        const design::Wall written = written_wall(wall, *asked, values);
        design::FootDesign foot;
        foot.wall = wall;
        for (const auto& [name, value] : settings(written, *asked)) {
            const auto done = design::set(foot, name, value);
            INFO(name << " = " << value << (done ? "" : ": " + done.fault().message));
            REQUIRE(done);
        }
        CHECK(foot.wall.base_mm == written.base_mm);
        for (std::size_t i = 0; i < wall.stations.size(); ++i)
            CHECK(foot.wall.stations[i].wall_mm == written.stations[i].wall_mm);
        CHECK(foot.wall.medial_column.scale == written.medial_column.scale);
        CHECK(foot.wall.lateral_column.wall_mm == written.lateral_column.wall_mm);
        CHECK(foot.wall.regions[0].rigidity == written.regions[0].rigidity);
        CHECK(foot.wall.regions[1].wall_mm == written.regions[1].wall_mm);
        // a rigidity makes the wall that was meant, whatever the base has become
        for (std::size_t i = 0; i < asked->size(); ++i)
            if ((*asked)[i].kind == design::WallZone::Kind::rigidity && written.regions[0].rigidity > 0.06 &&
                written.regions[0].rigidity < 19.9)
                CHECK(design::wall_of_rigidity(written.base_mm, written.regions[0].rigidity) ==
                      Approx(values[i]).margin(2e-3));
    }
}

TEST_CASE("walls that are not there, limits that leave nothing and bases that change nothing are refused") {
    design::Wall wall = many_walls();
    const auto refused = [&](std::vector<WallChoice> walls, const char* say) {
        const auto asked = asked_walls(question_of(std::move(walls)), wall, plastic());
        REQUIRE_FALSE(asked);
        CAPTURE(asked.fault().message);
        CHECK(asked.fault().message.find(say) != std::string::npos);
    };
    refused({{"heel", {}, {}}}, "medial_column");
    refused({{"arch", {}, {}}, {"wall.regions[arch]", {}, {}}}, "twice");
    refused({{"arch", 5.0, 4.0}}, "leave nothing");
    refused({{"arch", std::nan(""), {}}}, "leave nothing");
    refused({{"stations[7]", {}, {}}}, "no wall");
    refused({}, "which walls");
    wall.regions.clear();
    refused({{"base", {}, {}}}, "stations");
    wall.stations.clear();
    wall.medial_column.on = false;
    refused({{"medial_column", {}, {}}}, "no wall");
    CHECK(asked_walls(question_of({{"base", {}, {}}}), wall, plastic()));
}

TEST_CASE("the step is the least of what it makes least, within its limits") {
    // first-order conditions: at a limit the slope leads out of it, between limits it is nothing
    const int count = tests::cases(2000, 200, "bounded steps");
    for (int i = 0; i < count; ++i) {
        CAPTURE(i);
        generator::Random random(tests::seed() + static_cast<std::uint64_t>(i), 9);
        const auto targets = static_cast<Eigen::Index>(random.between(1.0, 4.0));
        const auto walls = static_cast<Eigen::Index>(random.between(1.0, 8.0));
        Eigen::MatrixXd slopes(targets, walls);
        Eigen::VectorXd misses(targets), from(walls), low(walls), high(walls);
        for (Eigen::Index t = 0; t < targets; ++t) {
            misses[t] = random.normal();
            for (Eigen::Index w = 0; w < walls; ++w) slopes(t, w) = random.normal();
        }
        for (Eigen::Index w = 0; w < walls; ++w) {
            from[w] = 0.3 * random.normal();
            low[w] = random.uniform() < 0.2 ? 0.0 : -random.uniform();
            high[w] = random.uniform() < 0.2 ? 0.0 : random.uniform();
        }
        const double weight = i % 2 == 0 ? 1e-6 : 0.1;
        const Eigen::VectorXd step = least_change_step(misses, slopes, from, weight, low, high);
        const Eigen::VectorXd slope = slopes.transpose() * (misses + slopes * step) + weight * (from + step);
        const double size = slopes.norm() * (misses.norm() + slopes.norm()) + 1.0;
        for (Eigen::Index w = 0; w < walls; ++w) {
            CHECK(step[w] >= low[w]);
            CHECK(step[w] <= high[w]);
            if (step[w] > low[w]) CHECK(slope[w] < 1e-9 * size);
            if (step[w] < high[w]) CHECK(slope[w] > -1e-9 * size);
        }
    }
    // two walls that do the same: both go half the way
    const Eigen::VectorXd step = least_change_step(
        Eigen::VectorXd::Constant(1, -0.2), Eigen::MatrixXd::Constant(1, 2, 1.0), Eigen::VectorXd::Zero(2),
        1e-6, Eigen::VectorXd::Constant(2, -1.0), Eigen::VectorXd::Constant(2, 1.0));
    CHECK(step[0] == Approx(0.1).epsilon(1e-5));
    CHECK(step[1] == Approx(0.1).epsilon(1e-5));
}
