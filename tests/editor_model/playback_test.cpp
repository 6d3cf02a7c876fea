// A program played through: its moments and the block as it stands then.
#include <catch2/catch.hpp>
#include <random>

#include "editor/model/playback.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using editor::model::Playback;

namespace {

mill::Cutter ball(double diameter) {
    mill::Cutter cutter;
    cutter.name = "ball";
    cutter.diameter = cutter.shank_diameter = diameter;
    cutter.corner_radius = 0.5 * diameter;
    return cutter;
}

/// Random cuts in a block, two cutters, some of the moves rapids above it.
std::vector<mill::Operation> random_program(std::mt19937_64& random, int moves) {
    std::uniform_real_distribution<double> x(-25.0, 25.0), y(-15.0, 15.0), z(-8.0, -0.5);
    std::vector<mill::Operation> all;
    for (const double diameter : {8.0, 4.0}) {
        mill::Operation operation{"cut", ball(diameter), 12000.0, {}};
        operation.moves.push_back({Vec3(0, 0, 5), true, 0.0});
        for (int m = 0; m < moves; ++m) {
            const double tx = x(random), ty = y(random), tz = z(random);
            operation.moves.push_back({Vec3(tx, ty, tz), false, 800.0});
            if (m % 7 == 6) {
                operation.moves.push_back({Vec3(tx, ty, 5), true, 0.0});
                operation.moves.push_back({Vec3(ty, tx * 0.5, 5), true, 0.0});
            }
        }
        all.push_back(operation);
    }
    return all;
}

}  // namespace

TEST_CASE("playback: its time is the program's, its block what every move has cut, from any moment to any") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(20, 3, "programs played");
    for (int i = 0; i < count; ++i) {
        const std::vector<mill::Operation> operations = random_program(random, 60);
        std::vector<std::size_t> lines;
        for (const mill::Operation& operation : operations)
            for (std::size_t m = 0; m < operation.moves.size(); ++m) lines.push_back(10 + 3 * lines.size());
        mill::MachineLimits machine;
        Progress progress;
        const Vec3 block(60, 40, 10);
        const auto play = Playback::of(operations, lines, block, machine, 0.5, progress);
        REQUIRE(play.ok());
        REQUIRE(play->moves() == lines.size());
        CHECK(play->seconds() == Approx(mill::duration(operations, machine)));
        // the simulation on the same columns, by its own way
        std::vector<mill::Needle> none;
        const auto simulated = mill::simulate(operations, block, 0.5, machine, none, nullptr);
        REQUIRE(simulated.ok());
        const mill::HeightGrid end = play->stock(play->moves());
        REQUIRE(end.z.size() == simulated->top.z.size());
        double worst = 0.0;
        for (std::size_t k = 0; k < end.z.size(); ++k)
            worst = std::max(worst, std::abs(end.z[k] - simulated->top.z[k]));
        CHECK(worst < 1e-5);  // kept as float
        // moments go forward, the block only down; a moment is the same whatever was looked at before
        double before = 0.0;
        mill::HeightGrid was = play->stock(0);
        for (const double z : was.z) REQUIRE(z == 0.0);
        for (std::size_t m = 0; m <= play->moves(); m += 11) {
            const Playback::Moment moment = play->after(m);
            CHECK(moment.seconds >= before);
            before = moment.seconds;
            CHECK(moment.line == (m == 0 ? 0 : lines[m - 1]));
            if (m > 0) CHECK(moment.tip == play->end(m - 1));
            CHECK(play->at(moment.seconds).move >= m);
            const mill::HeightGrid now = play->stock(m);
            bool lower = true;
            for (std::size_t k = 0; k < now.z.size(); ++k) lower = lower && now.z[k] <= was.z[k] + 1e-6;
            CHECK(lower);
            was = now;
        }
        CHECK(play->at(-1.0).move == 0);
        CHECK(play->at(1e9).move == play->moves());
        CHECK(play->after(1'000'000).move == play->moves());
        lines.pop_back();
        CHECK_FALSE(Playback::of(operations, lines, block, machine, 0.5, progress).ok());
        Progress cancelled;
        cancelled.cancel();
        lines.push_back(1);
        const auto given_up = Playback::of(operations, lines, block, machine, 0.5, cancelled);
        REQUIRE_FALSE(given_up.ok());
        CHECK(given_up.fault().kind == FaultKind::cancelled);
    }
}
