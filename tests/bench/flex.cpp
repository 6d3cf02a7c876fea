// archwright-flex-bench [ccx]: times of the virtual bench, and of CalculiX on the same problem.
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/flex/bench_large.hpp"
#include "engine/flex/bench_load.hpp"
#include "engine/flex/bench_stand.hpp"
#include "tests/bench/must.hpp"
#include "tests/bench/runner.hpp"
#include "tests/flex/built_device.hpp"
#include "tests/outside/calculix.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

namespace {

std::string freedoms(std::size_t points) {
    return rounded(6.0 * static_cast<double>(points) / 1000.0, 1) + "k degrees of freedom";
}

/// A shell meshed, assembled and put down under the arch press.
struct Stood {
    std::shared_ptr<const flex::BenchBody> body;
    flex::BenchLoad load;
    flex::BenchStand stand;
};
Stood stood(const flex::BenchSubject& subject, double element_mm, double friction) {
    auto body =
        std::make_shared<const flex::BenchBody>(bench::must(flex::bench_body(subject, element_mm, nullptr)));
    flex::BenchLoad load =
        flex::place_load(*subject.rule, body->middle.model, flex::LoadCase::arch_press, Vec2::Zero());
    const auto pose = flex::put_down(body->middle.place, subject.rule->heel_centre, load.at, {});
    flex::BenchSupport ground;
    ground.friction = friction;
    auto stand = bench::must(flex::BenchStand::on_ground(subject, body, ground, *pose, nullptr));
    return {std::move(body), std::move(load), std::move(stand)};
}

/// One load on the ground from a shell that is meshed: assembled, put down, settled, to the whole load.
bench::Figure contact(const flex::BenchSubject& subject, double element_mm, double friction) {
    const auto step = std::string("flex: contact, ") + (friction > 0.0 ? "friction, " : "smooth, ") +
                      exact(element_mm) + " mm elements";
    return bench::measure(step, 0, [&] {
        auto [body, load, stand] = stood(subject, element_mm, friction);
        const auto solved = bench::must(stand.contact().solve(load.forces(110.0)));
        return freedoms(body->middle.model.points.size()) + ", " + std::to_string(solved.rounds) + " rounds";
    });
}

/// The same with large deflections: settled under a twentieth of the load, then taken up.
bench::Figure far(const flex::BenchSubject& subject, double element_mm, double friction) {
    const auto step = std::string("flex: large deflections, contact, ") +
                      (friction > 0.0 ? "friction, " : "smooth, ") + exact(element_mm) + " mm elements";
    return bench::measure(step, 0, [&] {
        auto [body, load, stand] = stood(subject, element_mm, friction);
        const auto taken = bench::must(flex::take_up_large(
            stand, load, *subject.rule, flex::LoadCase::arch_press, 110.0, {0.05, 1.0}, {}, nullptr));
        return freedoms(body->middle.model.points.size()) + ", down by " +
               rounded(taken.points.back().deflection, 2) + " mm";
    });
}

}  // namespace

int main(int count, char** words) {
    std::vector<bench::Figure> figures;
    const auto device = bench::must(tests::built_device(11, 3.0));
    const flex::BenchSubject subject = device.subject();
    for (const double element_mm : {4.0, 3.0, 2.13, 1.5})
        figures.push_back(contact(subject, element_mm, 0.0));
    figures[2].goal_s = 1.0;
    figures.push_back(contact(subject, 3.0, 0.3));
    figures.push_back(contact(subject, 2.13, 0.3));
    figures.push_back(far(subject, 3.0, 0.3));
    figures.push_back(far(subject, 2.13, 0.3));
    figures.back().goal_s = 4.0;
    figures.push_back(bench::measure("flex: five loads, 3 mm, without variations", 0, [&] {
        flex::Bench fresh(subject);
        flex::BenchSetting setting;
        setting.sensitivity = false;
        for (const flex::LoadCase load : flex::all_load_cases) bench::must(fresh.run(load, setting));
        return std::string();
    }));
    figures.push_back(bench::measure("flex: five loads, 3 mm, with all variations", 0, [&] {
        flex::Bench fresh(subject);
        for (const flex::LoadCase load : flex::all_load_cases) bench::must(fresh.run(load, {}));
        return std::string();
    }));
    if (count > 1 && std::strcmp(words[1], "ccx") == 0) {
        // one run: it takes as long as all the others together
        const auto body = bench::must(flex::bench_body(subject, 3.0, nullptr));
        const flex::BenchLoad load =
            flex::place_load(*subject.rule, body.middle.model, flex::LoadCase::arch_press, Vec2::Zero());
        const auto pose = flex::put_down(body.middle.place, subject.rule->heel_centre, load.at, {});
        const tests::TemporaryFolder folder;
        tests::CalculixDeck deck = tests::pressed_deck(subject, body, load, *pose, 110.0);
        std::string said;
        const auto started = std::chrono::steady_clock::now();
        const bool found = !deck.run(folder.path(), "peer", said).empty();
        const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - started;
        std::printf(
            "CalculiX on that device (wedges over the 3 mm elements): %s in %.1f s, %.0f times ours\n",
            found ? "done" : "no answer", taken.count(), taken.count() / figures[1].median_s);
    }
    std::cout << bench::machine() << "\n\n" << bench::markdown(figures) << "\n";
    return 0;
}
