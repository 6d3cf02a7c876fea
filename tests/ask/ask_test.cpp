// Walls that are asked for: targets some walls reach are met, others are named so.
#include "engine/ask/ask.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>

#include "assets/generator/random.hpp"
#include "engine/ask/walls.hpp"
#include "tests/ask/asked_device.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::ask;
using namespace archwright::tests;

namespace {

/// A random question of a device: one to three of its walls with limits, one or two loads; what it asks for
/// is found by other walls within those limits, built and run.
struct Asking {
    AskedDevice device;
    Question question;
    std::vector<AskedWall> walls;
    std::string words;

    Outcome<std::vector<double>> stiffness(const std::vector<double>& values) const {
        const auto built = device.with(with_values(device.foot.wall, walls, values));
        if (!built) return built.fault();
        flex::Bench bench(build::bench_subject(*built->surfaced, *built->shelled, std::nullopt));
        std::vector<double> found;
        for (const Target& target : question.targets) {
            flex::BenchSetting setting;
            setting.element_mm = question.element_mm;
            setting.support = question.support;
            setting.deflections = question.deflections;
            setting.load = target.load;
            setting.sensitivity = false;
            const auto result = bench.run(target.load_case, setting);
            if (!result) return result.fault();
            if (!result->gives) return Fault{FaultKind::input, "test", "It does not give.", {}};
            found.push_back(result->stiffness);
        }
        return found;
    }
    Outcome<Answer> answer() const {
        Progress progress;
        return ask::ask(device.built, device.foot, std::nullopt, question, device.rebuild(), progress);
    }
};

Outcome<Asking> random_asking(std::uint64_t number, std::size_t most_loads) {
    generator::Random random(number, 5);
    const auto below = [&](int most) { return static_cast<int>(random.between(0.0, most)); };
    const std::uint64_t feet = 1 + static_cast<std::uint64_t>(below(60));
    const double post = below(4) == 0 ? 3.0 : 0.0;
    auto device = asked_device(feet, post);
    if (!device) return device.fault();
    Asking asking{std::move(*device), {}, {}, {}};
    asking.question.element_mm = 6.0;
    asking.question.deflections = flex::Deflections::large;  // as ask() takes them within these limits
    asking.question.least_mm = 2.2;
    asking.question.most_mm = 4.6;
    asking.question.support.friction = below(3) == 0 ? 0.0 : 0.3;
    std::vector<std::string> names{"base", "arch", "lateral_column"};
    const int walls = 1 + below(3);
    for (int i = 0; i < walls; ++i) {
        const auto at = static_cast<std::size_t>(below(static_cast<int>(names.size())));
        asking.question.walls.push_back({names[at], {}, {}});
        names.erase(names.begin() + static_cast<std::ptrdiff_t>(at));
    }
    const bool two = most_loads > 1 && walls > 1 && below(2) == 0;
    const int first = below(5);
    for (int i = 0; i < (two ? 2 : 1); ++i) {
        Target target;
        target.load_case = flex::all_load_cases[(first + 3 * i) % 5];
        asking.question.targets.push_back(target);
        asking.words += std::string(i > 0 ? ", " : "") + flex::key(target.load_case);
    }
    auto asked = asked_walls(asking.question, asking.device.foot.wall, asking.device.built.shelled->material);
    if (!asked) return asked.fault();
    asking.walls = std::move(*asked);
    for (const AskedWall& wall : asking.walls) asking.words += "; " + wall.name;
    asking.words += "; foot " + std::to_string(feet) + (post > 0.0 ? ", posted" : "");
    return asking;
}

}  // namespace

TEST_CASE("random targets that some walls within the limits reach are met within one per cent") {
    const int count = cases(100, 4, "reachable targets");
    int met = 0, asked = 0, trials = 0, runs = 0;
    double worst = 0.0;
    for (int i = 0; i < count; ++i) {
        auto asking = random_asking(seed() + static_cast<std::uint64_t>(i), 2);
        if (!asking) continue;  // an order that cannot be built on that foot: others test it
        INFO(i << ": " << asking->words);
        generator::Random random(seed() + static_cast<std::uint64_t>(i), 6);
        std::vector<double> values;
        for (const AskedWall& wall : asking->walls) values.push_back(random.between(wall.low, wall.high));
        const auto there = asking->stiffness(as_written(asking->walls, values));
        if (!there) continue;  // walls the device cannot be built or pressed with
        const auto here = asking->stiffness([&] {
            std::vector<double> now;
            for (const AskedWall& wall : asking->walls) now.push_back(wall.now);
            return now;
        }());
        if (!here) continue;
        for (std::size_t t = 0; t < there->size(); ++t) {
            Target& target = asking->question.targets[t];
            target.kind = i % 2 == 0 ? Target::Kind::relative : Target::Kind::stiffness;
            target.value = i % 2 == 0 ? (*there)[t] / (*here)[t] - 1.0 : (*there)[t];
        }
        ++asked;
        const auto answer = asking->answer();
        INFO((answer ? std::string() : answer.fault().message));
        REQUIRE(answer);
        trials += answer->trials;
        runs += answer->runs;
        met += answer->met;
        for (std::size_t t = 0; t < answer->targets.size(); ++t) {
            const AnsweredTarget& target = answer->targets[t];
            CHECK(target.wanted == Approx((*there)[t]).epsilon(1e-9));
            const double off = std::abs(target.found / target.wanted - 1.0);
            worst = std::max(worst, off);
            CHECK(off <= met_share);
            CHECK(target.met);
        }
        if (!answer->met) {
            CHECK_FALSE(answer->limited.empty());  // it is told why
            std::printf("missed %d: %s\n", i, asking->words.c_str());
            for (const std::string& line : answer->limited) std::printf("  %s\n", line.c_str());
        }
        // what is told is what the device does that is built from it
        std::vector<double> found;
        for (std::size_t w = 0; w < answer->walls.size(); ++w) {
            CHECK(answer->walls[w].after >= answer->walls[w].least - 1e-9);
            CHECK(answer->walls[w].after <= answer->walls[w].most + 1e-9);
            found.push_back(answer->walls[w].after);
        }
        const auto again = asking->stiffness(found);
        REQUIRE(again);
        for (std::size_t t = 0; t < again->size(); ++t)
            // walls are written short, so that the job says them to a hundred-thousandth of what was run
            CHECK((*again)[t] == Approx(answer->targets[t].found).epsilon(1e-4));
    }
    std::printf(
        "reachable targets: %d of %d met, worst %.2f %% off; %.1f courses on trial walls and %.1f "
        "whole devices each\n",
        met, asked, 100.0 * worst, trials / std::max(1.0, 1.0 * asked), runs / std::max(1.0, 1.0 * asked));
    CHECK(asked > 0);
}

TEST_CASE("a target that no walls within the limits reach is named so, with what they reach") {
    const int count = cases(20, 2, "unreachable targets");
    int named = 0, asked = 0;
    for (int i = 0; i < count; ++i) {
        auto asking = random_asking(seed() + 1000 + static_cast<std::uint64_t>(i), 1);
        if (!asking) continue;
        INFO(i << ": " << asking->words);
        const bool up = i % 2 == 0;
        std::vector<double> corner;
        for (const AskedWall& wall : asking->walls) corner.push_back(up ? wall.high : wall.low);
        const auto end = asking->stiffness(as_written(asking->walls, corner));
        if (!end) continue;
        Target& target = asking->question.targets[0];
        target.kind = Target::Kind::stiffness;
        target.value = (up ? 1.3 : 0.75) * (*end)[0];
        ++asked;
        const auto answer = asking->answer();
        INFO((answer ? std::string() : answer.fault().message));
        REQUIRE(answer);
        REQUIRE_FALSE(answer->met);
        REQUIRE(answer->targets[0].reach);
        const auto [low, high] = *answer->targets[0].reach;
        CAPTURE(low, high, (*end)[0], target.value);
        const bool outside = up ? high < target.value : low > target.value;
        CHECK(outside);
        // the thickest walls, or the thinnest, are an end of what it says, or nearer than that
        CHECK((up ? high : low) == Approx((*end)[0]).epsilon(0.08));
        bool at_limit = false;
        for (const AnsweredWall& wall : answer->walls) at_limit = at_limit || wall.at_least || wall.at_most;
        CHECK(at_limit);
        REQUIRE_FALSE(answer->limited.empty());
        CHECK(answer->limited[0].find("cannot be reached") != std::string::npos);
        named += outside;
    }
    std::printf("unreachable targets: %d of %d named so\n", named, asked);
    CHECK(asked > 0);
}
