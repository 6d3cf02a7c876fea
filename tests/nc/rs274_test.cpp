// Programs judged by rs274, the interpreter of linuxcnc-uspace (Debian).
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "exporters/nc/milling.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/outside/programs.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters;
using namespace archwright::tests;

namespace {

struct Canonical {
    Vec3 to = Vec3::Zero();
    bool rapid = false;
    double feed = 0.0;
    int turn = 0;
    Vec2 centre = Vec2::Zero();
};

/// The moves of rs274's canonical output, in the program's unit; G53 is left to the reader of the test.
std::vector<Canonical> canonical_moves(const std::string& text) {
    std::vector<Canonical> moves;
    std::istringstream in(text);
    std::string line;
    double feed = 0.0;
    while (std::getline(in, line)) {
        const auto numbers = [&](std::size_t from) {
            Vec3 p = Vec3::Zero();
            std::sscanf(line.c_str() + from, "(%lf, %lf, %lf", &p.x(), &p.y(), &p.z());
            return p;
        };
        if (const auto at = line.find("STRAIGHT_TRAVERSE"); at != std::string::npos)
            moves.push_back({numbers(at + 17), true, 0.0});
        else if (const auto cut = line.find("STRAIGHT_FEED"); cut != std::string::npos)
            moves.push_back({numbers(cut + 13), false, feed});
        else if (const auto rate = line.find("SET_FEED_RATE("); rate != std::string::npos)
            feed = std::strtod(line.c_str() + rate + 14, nullptr);
        else if (const auto arc = line.find("ARC_FEED("); arc != std::string::npos) {
            // in the plane XY: end, centre, turns counter-clockwise, end in z
            Canonical move;
            move.feed = feed;
            REQUIRE(std::sscanf(line.c_str() + arc + 9, "%lf, %lf, %lf, %lf, %d, %lf", &move.to.x(),
                                &move.to.y(), &move.centre.x(), &move.centre.y(), &move.turn,
                                &move.to.z()) == 6);
            moves.push_back(move);
        }
    }
    return moves;
}

}  // namespace

TEST_CASE("rs274 accepts every program, and its moves are ours") {
    if (!installed("rs274")) return;
    const auto shop = workshop::load_workshop(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets");
    REQUIRE(shop.ok());
    for (const auto& [machine, arcs] :
         {std::pair("bench_mill", false), std::pair("bench_mill", true), std::pair("router_inch", true)}) {
        nc::MillingSetting setting;
        setting.machine = shop->machines.at(machine);
        setting.machine.post.arcs = arcs;
        setting.block = shop->blocks.at("pp_single_40");
        setting.block.length_mm = 86.0;
        setting.block.breadth_mm = 68.0;
        setting.block.height_mm = 18.0;
        setting.cutting = shop->cuttings.at("pp_copolymer");
        setting.rough = shop->cutters.at("flat_10").cutter;
        setting.finish = shop->cutters.at("ball_8").cutter;
        setting.scallop_mm = 0.05;
        setting.tabs.at = {0.5};
        setting.tabs.thickness_mm = 1.0;
        setting.simulate_step_mm = 0.5;
        const auto done = nc::mill_devices(
            {{"WREN-3 A", Side::left,
              slab(
                  16.0, 9.0, 20, 12, [](double x, double y) { return 3.2 + 0.006 * x * x + 0.01 * y * y; },
                  [](double x, double y) { return 0.006 * x * x + 0.01 * y * y; })}},
            setting, nullptr);
        REQUIRE(done.ok());
        CHECK(done->stops.empty());
        for (const nc::ProvedSide& side : done->sides) {
            const TemporaryFolder folder;
            std::ofstream(folder.path() / "p.ngc") << side.text;
            std::ofstream(folder.path() / "tool.tbl") << "T1 P1 D10 Z0\nT2 P2 D8 Z0\n";
            const std::string code =
                output_of("rs274 -g -t tool.tbl p.ngc > canon.txt 2> err.txt; echo $?", folder.path());
            INFO(machine << " set-up " << side.side + 1 << ": "
                         << content(folder.path() / "err.txt").substr(0, 400));
            CHECK(code.substr(0, 1) == "0");
            const std::string canon = content(folder.path() / "canon.txt");
            CHECK(canon.find("PROGRAM_END") != std::string::npos);
            CHECK((canon.find("CANON_UNITS_INCHES") != std::string::npos) == setting.machine.post.inch);
            const auto theirs = canonical_moves(canon);
            const auto ours = nc::read_program(side.text, {setting.rough, setting.finish});
            REQUIRE(ours.ok());
            const double unit = setting.machine.post.inch ? 25.4 : 1.0;
            // theirs has besides: the way over the first place at the height of the change, and G53 at both
            // ends
            std::size_t at = 0, matched = 0, extra = 0, on_arcs = 0;
            for (const mill::Operation& operation : *ours)
                for (const mill::Move& move : operation.moves) {
                    std::size_t tries = 0;
                    while (at < theirs.size() && tries < 4 &&
                           ((theirs[at].to * unit - move.to).cwiseAbs().maxCoeff() > 0.6e-4 * unit ||
                            theirs[at].rapid != move.rapid || theirs[at].turn != move.turn)) {
                        ++at;
                        ++tries;
                    }
                    extra += tries;
                    REQUIRE(at < theirs.size());
                    REQUIRE(tries < 4);
                    if (move.turn != 0) {
                        CHECK((theirs[at].centre * unit - move.centre).cwiseAbs().maxCoeff() < 1e-3 * unit);
                        ++on_arcs;
                    }
                    if (!move.rapid) CHECK(theirs[at].feed * unit == Approx(move.feed).epsilon(1e-3));
                    ++at;
                    ++matched;
                }
            CHECK((on_arcs > 20) == arcs);
            CHECK(matched > 700);
            CHECK(extra <= 3 * ours->size());
        }
    }
}
