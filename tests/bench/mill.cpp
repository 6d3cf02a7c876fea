// archwright-mill-bench: times of milling a whole shell, and a plain search over all triangles beside them.
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/mill/plan.hpp"
#include "engine/mill/simulate.hpp"
#include "tests/bench/must.hpp"
#include "tests/bench/runner.hpp"
#include "tests/flex/built_device.hpp"

using namespace archwright;

int main() {
    const auto built = bench::must(tests::built_device(11, 3.2));
    const TriangleMesh& mesh = built.shelled.mesh.mesh;
    mill::PlanSetting planning;
    planning.rough.name = "flat 12";
    planning.rough.diameter = planning.rough.shank_diameter = 12.0;
    planning.rough.corner_radius = 0.0;
    planning.rough.flute_length = 45.0;
    planning.rough.stick_out = planning.finish.stick_out = 70.0;
    planning.finish.name = "ball 6";
    // lines 0.5 mm apart
    planning.scallop_mm =
        mill::scallop(planning.finish.radius(), 0.5 / std::cos(25.0 * 3.14159265358979 / 180.0));
    mill::NestSetting laying;
    laying.channel_mm = mill::channel_for(planning);
    laying.block = Vec3(320.0, 160.0, 60.0);
    const mill::Nest nest = bench::must(mill::lay({mesh}, laying));
    const std::string triangles =
        rounded(static_cast<double>(mesh.triangles.size()) / 1000.0, 0) + "k triangles";

    std::vector<bench::Figure> figures;
    // of both cores, the last run's: what is left when other programs run beside it
    double before = 0.0;
    const auto processor = [&] {
        return rounded(bench::processor_seconds() - before, 2) + " s of processor";
    };
    figures.push_back(bench::measure("mill: what a 6 mm ball reaches, 0.2 mm grid", 0, [&] {
        before = bench::processor_seconds();
        const auto reach = bench::must(mill::reach(mesh, planning.finish, 0.2, -1e3));
        return processor() + ", " + triangles + ", " +
               std::to_string(reach.stays.nx * reach.stays.ny / 1000) + "k places";
    }));
    figures.back().goal_s = 1.0;
    std::vector<std::vector<mill::Operation>> programs(2);
    for (const int side : {0, 1}) {
        figures.push_back(
            bench::measure("mill: plan set-up " + std::to_string(side + 1) + ", lines 0.5 mm apart", 0, [&] {
                before = bench::processor_seconds();
                auto plan = bench::must(mill::plan_side(nest, side, planning, nullptr));
                std::size_t moves = 0;
                for (const auto& operation : plan.operations) moves += operation.moves.size();
                programs[static_cast<std::size_t>(side)] = std::move(plan.operations);
                return processor() + ", " + std::to_string(moves / 1000) + "k moves";
            }));
        figures.back().goal_s = 5.0;
    }
    std::vector<mill::Needle> needles;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const TriangleMesh& device = nest.devices[0];
        const Triangle& c = device.triangles[t];
        if (const Vec3 n = device.normal2(t); n.norm() > 1e-9)
            needles.push_back(
                {nest.in_set_up(0, (device.points[c[0]] + device.points[c[1]] + device.points[c[2]]) / 3.0),
                 n.normalized()});
    }
    figures.push_back(bench::measure("mill: simulate set-up 1, columns 0.2 mm apart", 0, [&] {
        auto fresh = needles;
        before = bench::processor_seconds();
        const auto done = bench::must(mill::simulate(programs[0], nest.block, 0.2, {}, fresh, nullptr));
        return processor() + ", " + std::to_string(done.moves / 1000) + "k moves, " +
               std::to_string(needles.size() / 1000) + "k needles";
    }));
    figures.back().goal_s = 5.0;

    // one place of the cutter, from the grid and from every triangle of the mesh
    const TriangleMesh keep = nest.keep(0);
    const mill::DropGrid drop(keep, planning.finish);
    const Box3 box = nest.devices[0].box();
    const auto place = [&](int i, int count) {
        return Vec2(box.low.x() + box.size().x() * (i + 0.5) / count,
                    box.low.y() + box.size().y() * ((i * 7) % count + 0.5) / count);
    };
    double sum = 0.0;
    figures.push_back(bench::measure("mill: 100k places of a ball let down", 0, [&] {
        before = bench::processor_seconds();
        for (int i = 0; i < 100'000; ++i) sum += drop.z(place(i, 100'000).x(), place(i, 100'000).y(), -60.0);
        return processor();
    }));
    const double ours = figures.back().median_s / 100'000.0;
    figures.push_back(bench::measure("mill: 100 places, every triangle tried", 0, [&] {
        before = bench::processor_seconds();
        for (int i = 0; i < 100; ++i) {
            const Vec2 at = place(i, 100);
            mill::Touch touch;
            touch.z = -60.0;
            for (std::size_t t = 0; t < keep.triangles.size(); ++t)
                mill::drop_on(planning.finish, at.x(), at.y(), keep.points[keep.triangles[t][0]],
                              keep.points[keep.triangles[t][1]], keep.points[keep.triangles[t][2]],
                              static_cast<std::int32_t>(t), touch);
            sum -= touch.z;
        }
        return processor();
    }));
    std::cout << bench::machine() << "\n\n"
              << bench::markdown(figures) << "\nevery triangle tried takes "
              << rounded(figures.back().median_s / 100.0 / ours, 0) << " times as long a place ("
              << (sum != 0.0 ? "" : " ") << triangles << ")\n";
    return 0;
}
