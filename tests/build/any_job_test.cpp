// Any valid design on any foot: a sound shell, or a message that says what and where. A failure is shrunk to
// the fewest settings that still fail and kept as a job.
#include <catch2/catch.hpp>
#include <filesystem>
#include <iostream>
#include <map>

#include "assets/generator/random.hpp"
#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/parameters.hpp"
#include "exporters/float_mesh.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;

namespace {

struct Foot {
    std::shared_ptr<const build::CastFile> cast;
    Side side;
    LengthUnit unit;
    std::string name;
};

// Generated feet of every kind, and the real ones where they are.
std::vector<Foot> feet() {
    std::vector<Foot> all;
    for (std::uint64_t k = 0; k < 12; ++k) {
        auto job = tests::random_job(generator::mix(tests::seed() + 9000 + k), 30'000);
        REQUIRE(job.ok());
        all.push_back({tests::cast_in_memory(job->cast.mesh, "generated"), job->side, job->unit, job->words});
    }
    for (const tests::RealFoot& real : tests::real_feet()) {
        TriangleMesh mesh = tests::real_foot(real);
        if (mesh.triangles.empty()) {
            tests::skipped("real feet: ../shared/scans is absent");
            break;
        }
        all.push_back({tests::cast_in_memory(mesh, real.file), real.side, real.unit, real.file});
    }
    return all;
}

// The settings of one design, each under a name, so that they can be taken back one by one.
using Settings = std::map<std::string, std::function<void(design::FootDesign&)>>;

Settings random_settings(std::mt19937_64& random) {
    Settings settings;
    // from one setting changed to nearly all of them
    const double share = tests::uniform(random, 0.0, 1.0) < 0.7 ? 0.15 : 0.7;
    for (const design::Parameter& p : design::foot_parameters()) {
        const bool ours =
            p.name.starts_with("trim.") || p.name.starts_with("rim.") || p.name == "wall.base_mm";
        if (!ours || p.listed || tests::uniform(random, 0.0, 1.0) > share) continue;
        std::string value;
        if (p.kind == design::Parameter::Kind::number)
            value = exact(tests::uniform(random, p.low, p.high));
        else if (p.kind == design::Parameter::Kind::choice)
            value = p.words[static_cast<std::size_t>(tests::uniform(random, 0.0, 1.0) *
                                                     static_cast<double>(p.words.size()))];
        else
            continue;
        settings[p.name + " = " + value] = [name = p.name, value](design::FootDesign& foot) {
            REQUIRE(design::set(foot, name, value).ok());
        };
    }
    const design::Job other = tests::random_job(random);
    const design::FootDesign& drawn = other.left ? *other.left : *other.right;
    const auto part = [&](const std::string& name, double chance, auto&& change) {
        if (tests::uniform(random, 0.0, 1.0) < chance) settings[name] = change;
    };
    part("controls", 0.4, [c = drawn.trim.controls](design::FootDesign& foot) { foot.trim.controls = c; });
    part("stations", 0.4, [s = drawn.wall.stations](design::FootDesign& foot) { foot.wall.stations = s; });
    for (const design::WallRegion& region : drawn.wall.regions)
        part("region " + region.name, 0.5,
             [region](design::FootDesign& foot) { foot.wall.regions.push_back(region); });
    part("landmarks", 0.05, [l = drawn.landmarks](design::FootDesign& foot) { foot.landmarks = l; });
    return settings;
}

design::FootDesign design_of(const Foot& foot, const Settings& settings) {
    design::FootDesign design = tests::stated_foot(foot.unit);
    for (const auto& [name, change] : settings) change(design);
    return design;
}

enum class End { sound, stopped_by_check, stopped_by_fault, wrong };

// What became of it, and why it is wrong when it is.
std::pair<End, std::string> end_of(const Foot& foot, const design::FootDesign& design) {
    constexpr std::size_t shortest_message = 20;
    try {
        const auto device = tests::build_in_memory(foot.cast, design, foot.side);
        if (!device) {
            const Fault& fault = device.fault();
            if (fault.kind == FaultKind::internal) return {End::wrong, "internal: " + fault.message};
            if (fault.message.size() < shortest_message)
                return {End::wrong, "says nothing: " + fault.message};
            return {End::stopped_by_fault, fault.stage + ": " + fault.message};
        }
        const auto stops = device->open_stops();
        for (const Check& stop : stops)
            if (stop.message.size() < shortest_message || stop.title.empty())
                return {End::wrong, "a stop says nothing: " + stop.id};
        if (!stops.empty()) return {End::stopped_by_check, stops.front().id};
        const auto written = exporters::as_floats(device->shelled->mesh.mesh);
        if (!written)
            return {End::wrong, "passes every gate and cannot be written: " + written.fault().message};
        return {End::sound, ""};
    } catch (const std::exception& error) {
        return {End::wrong, std::string("threw: ") + error.what()};
    }
}

void keep(const Foot& foot, const design::FootDesign& design, const std::string& name) {
    design::Job job;
    job.case_code = "SPECIMEN";
    job.foot(foot.side) = design;
    job.foot(foot.side)->cast.path = "cast.stl";
    job.foot(foot.side)->cast.sha256 = std::string(64, 'a');
    const std::filesystem::path folder = std::filesystem::path(ARCHWRIGHT_BINARY_DIR) / "specimens";
    std::filesystem::create_directories(folder);
    REQUIRE(write_file(folder / (name + ".json"), design::write_job(job)).ok());
}

}  // namespace

TEST_CASE("any valid design on any foot is sound, or stopped with what and where") {
    const std::vector<Foot> all = feet();
    std::map<std::string, int> ends;
    const int count = tests::cases(10'000, 16, "any design on any foot");
    for (int i = 0; i < count; ++i) {
        std::mt19937_64 random(generator::mix(tests::seed() + 50'000 + static_cast<std::uint64_t>(i)));
        const Foot& foot = all[random() % all.size()];
        Settings settings = random_settings(random);
        const auto [end, why] = end_of(foot, design_of(foot, settings));
        ++ends[end == End::sound              ? "sound"
               : end == End::stopped_by_check ? "stopped by " + why
               : end == End::stopped_by_fault ? "stopped in " + why.substr(0, why.find(':'))
                                              : "WRONG"];
        if (end != End::wrong) continue;
        // fewest settings that still fail
        for (bool smaller = true; smaller;) {
            smaller = false;
            for (const auto& [name, change] : settings) {
                Settings fewer = settings;
                fewer.erase(name);
                if (end_of(foot, design_of(foot, fewer)).first != End::wrong) continue;
                settings = std::move(fewer);
                smaller = true;
                break;
            }
        }
        std::string left;
        for (const auto& [name, change] : settings) left += (left.empty() ? "" : "; ") + name;
        keep(foot, design_of(foot, settings), "job-" + std::to_string(i));
        FAIL_CHECK("case " << i << " on " << foot.name << ": " << why << "\nfewest settings: " << left);
    }
    for (const auto& [end, times] : ends) std::cout << "  " << times << " " << end << "\n";
    CHECK(tests::share_holds(ends["sound"], count, 0.1));  // some of them must be fit to make
}
