// archwright-ask-bench: times of asking a device for a stiffness.
#include <iostream>

#include "engine/ask/search.hpp"
#include "engine/base/text.hpp"
#include "tests/ask/asked_device.hpp"
#include "tests/bench/must.hpp"
#include "tests/bench/runner.hpp"

using namespace archwright;

int main() {
    std::vector<bench::Figure> figures;
    const tests::AskedDevice device = bench::must(tests::asked_device(11));
    const auto asked = [&](const std::string& step, std::vector<std::string> walls,
                           std::vector<ask::Target> targets, double element_mm) {
        figures.push_back(bench::measure(step, 0, [&, walls, targets] {
            ask::Question question;
            question.element_mm = element_mm;
            question.targets = targets;
            for (const std::string& wall : walls) question.walls.push_back({wall, {}, {}});
            Progress progress;
            const ask::Answer answer = bench::must(
                ask::ask(device.built, device.foot, std::nullopt, question, device.rebuild(), progress));
            const double freedoms = 6.0 * static_cast<double>(answer.results[0].model.points.size());
            return rounded(freedoms / 1000.0, 1) + "k degrees of freedom, " +
                   (answer.met ? "met" : "not met") + ", " + std::to_string(answer.trials) + " trials, " +
                   std::to_string(answer.runs) + " whole devices";
        }));
    };
    ask::Target press, torsion;
    press.value = 0.2;
    torsion.load_case = flex::LoadCase::torsion;
    torsion.value = -0.1;
    asked("ask: arch press +20 %, base", {"base"}, {press}, 3.0);
    figures[0].goal_s = 8.0;
    asked("ask: arch press +20 %, three walls", {"base", "arch", "lateral_column"}, {press}, 3.0);
    asked("ask: arch press +20 %, torsion -10 %, three walls", {"base", "arch", "lateral_column"},
          {press, torsion}, 3.0);
    std::cout << bench::machine() << "\n\n" << bench::markdown(figures) << "\n";
    return 0;
}
