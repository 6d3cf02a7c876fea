// How much stiffer a thicker wall is on the bench, under each support: beside what was published of printed
// devices. `test_calibrate "[walls]"` prints the table of docs/calibration.md.
#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/calibrate/device_tables.hpp"
#include "tests/flex/built_device.hpp"

using namespace archwright;
using namespace archwright::tests;

namespace {

struct Ground {
    const char* words;
    flex::BenchSupport support;
};

const Ground grounds[] = {{"smooth plate", {0.0, 0.0, 0.0, {}}},
                          {"friction 0.3", {0.3, 0.0, 0.0, {}}},
                          {"friction 0.3, distal edge held by 50 N/mm", {0.3, 50.0, 0.0, {}}},
                          {"the same by 150 N/mm", {0.3, 150.0, 0.0, {}}},
                          {"the same by 500 N/mm", {0.3, 500.0, 0.0, {}}},
                          {"a bed of 1 N/mm3, friction 0.3", {0.3, 0.0, 1.0, {}}}};

/// Secant stiffness to 110 N of three walls, N/mm; 0 where the bench gives none, with why on standard error.
std::array<double, 3> of_walls(const std::array<std::unique_ptr<BuiltDevice>, 3>& devices,
                               const flex::BenchSupport& support, double element_mm,
                               flex::Deflections deflections) {
    std::array<double, 3> stiffness{};
    for (std::size_t i = 0; i < 3; ++i) {
        flex::BenchSetting setting;
        setting.element_mm = element_mm;
        setting.support = support;
        setting.deflections = deflections;
        setting.load = 110.0;
        setting.sensitivity = false;
        flex::BenchSubject subject = devices[i]->subject();
        subject.lamina = flex::Lamina::isotropic(1500.0, 0.39);  // sintered PA11, as its file has it
        const auto run = flex::Bench(subject).run(flex::LoadCase::arch_press, setting);
        if (run)
            stiffness[i] = run->stiffness;
        else
            std::cerr << devices[i]->shelled.rigidity.base_mm << " mm: " << run.fault().message << "\n";
    }
    return stiffness;
}

std::array<std::unique_ptr<BuiltDevice>, 3> three_walls(std::uint64_t foot) {
    std::array<std::unique_ptr<BuiltDevice>, 3> made;
    for (std::size_t i = 0; i < 3; ++i) {
        auto device = built_device(foot, std::array{2.6, 3.0, 3.4}[i]);
        REQUIRE(device);
        made[i] = std::make_unique<BuiltDevice>(std::move(*device));
    }
    return made;
}

}  // namespace

TEST_CASE("a held distal edge takes from the wall what it gives to the arch") {
    // A firm distal edge makes an arch of the shell: it stretches as the wall's first power more than it
    // bends as the third. So walls tell less apart the firmer the edge is held, which a modulus alone never
    // does.
    const auto devices = three_walls(11);
    // With large deflections an arch that is held so goes over on the thinnest wall before 110 N.
    const auto loose = of_walls(devices, grounds[0].support, 6.0, flex::Deflections::small),
               firm = of_walls(devices, grounds[4].support, 6.0, flex::Deflections::small);
    REQUIRE(loose[0] > 0.0);
    CHECK(firm[0] > 1.5 * loose[0]);
    CHECK(firm[2] / firm[0] < 0.95 * loose[2] / loose[0]);
    CHECK(firm[2] > firm[1]);
    CHECK(firm[1] > firm[0]);
}

TEST_CASE("stiffness of walls of 2.6, 3.0 and 3.4 mm under each support", "[.][walls]") {
    const std::uint64_t feet[] = {11, 7, 3, 5};
    std::cout
        << "| support | foot | N/mm at 2.6, 3.0, 3.4 mm | 3.0 / 2.6 | 3.4 / 3.0 | 3.4 / 2.6 | exponent |\n"
           "|---|---|---|---|---|---|---|\n";
    std::vector<std::array<std::unique_ptr<BuiltDevice>, 3>> devices;
    for (const std::uint64_t foot : feet) devices.push_back(three_walls(foot));
    for (const Ground& ground : grounds)
        for (std::size_t f = 0; f < devices.size(); ++f) {
            const auto k = of_walls(devices[f], ground.support, 3.0, flex::Deflections::large);
            std::cout << "| " << ground.words << " | " << feet[f] << " | " << flex::bench_figure(k[0]) << ", "
                      << flex::bench_figure(k[1]) << ", " << flex::bench_figure(k[2]) << " | "
                      << rounded(k[1] / k[0], 2) << " | " << rounded(k[2] / k[1], 2) << " | "
                      << rounded(k[2] / k[0], 2) << " | "
                      << rounded(std::log(k[2] / k[0]) / std::log(3.4 / 2.6), 2) << " |" << std::endl;
            CHECK((k[2] > k[0] || k[2] == 0.0));
        }
}
