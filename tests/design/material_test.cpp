// Materials: what comes with the program is complete and sourced; faulty files are named.
#include "engine/design/material.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "engine/design/job.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

const std::filesystem::path our_materials =
    std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets" / "materials";

/// load_materials on one file with a piece of a good one replaced.
std::string material_trouble(const std::string& piece, const std::string& replacement) {
    std::ifstream in(our_materials / "pa12.json");
    std::string text((std::istreambuf_iterator<char>(in)), {});
    const std::size_t at = text.find(piece);
    REQUIRE(at != std::string::npos);
    const tests::TemporaryFolder folder;
    std::ofstream(folder.path() / "trial.json") << text.replace(at, piece.size(), replacement);
    const auto loaded = load_materials(folder.path());
    REQUIRE_FALSE(loaded.ok());
    return loaded.fault().message;
}

}  // namespace

TEST_CASE("materials: every one is there, sourced and within its own ranges", "[material]") {
    const auto materials = load_materials(our_materials);
    INFO((materials ? std::string() : materials.fault().message));
    REQUIRE(materials.ok());
    for (const char* key : {"pp_homopolymer", "pp_copolymer", "pa12", "pa11", "carbon_laminate",
                            "carbon_ud_laminate", "eva_soft", "eva_medium", "eva_firm"}) {
        INFO(key);
        const auto material = materials->find(key);
        REQUIRE(material.ok());
        CHECK_FALSE(material->note.empty());
        for (const Sourced* s : {&material->modulus_mpa, &material->poisson_ratio, &material->density_g_cm3,
                                 &material->strength_mpa, &material->wall_min_mm, &material->wall_max_mm}) {
            CHECK(s->source.size() > 5);
            CHECK(s->low <= s->value);
            CHECK(s->value <= s->high);
            CHECK(evidence(letter(s->mark)) == s->mark);
        }
    }
    CHECK(materials->find(FootDesign{}.material).ok());
    CHECK(materials->find("eva_soft")->modulus_mpa.value < materials->find("eva_medium")->modulus_mpa.value);
    CHECK(materials->find("eva_medium")->modulus_mpa.value < materials->find("eva_firm")->modulus_mpa.value);
    CHECK(*materials->find("eva_soft")->hardness_shore_a < *materials->find("eva_firm")->hardness_shore_a);
    // Only values read in a source's own text may carry its mark (trade-values: Heliyon 2023;9:e15023, table
    // 6).
    CHECK(materials->find("pa12")->modulus_mpa.low == 1500);
    CHECK(materials->find("pa12")->modulus_mpa.high == 1800);
    CHECK(materials->find("pa12")->poisson_ratio.mark == Evidence::memory);
}

TEST_CASE("materials: an unknown one is refused with the nearest", "[material]") {
    const auto fault = load_materials(our_materials)->find("pa21").fault();
    CHECK(fault.kind == FaultKind::usage);
    CHECK_THAT(fault.message, Catch::Contains("did you mean \"pa1") && Catch::Contains("carbon_laminate"));
}

TEST_CASE("materials: faulty files are named with the key", "[material]") {
    CHECK_THAT(material_trouble("\"value\": 1650", "\"value\": 1900"),
               Catch::Contains("trial.json: modulus_mpa.value is 1900"));
    CHECK_THAT(material_trouble("\"value\": 0.39", "\"value\": 0.5"), Catch::Contains("less than 0.5"));
    CHECK_THAT(material_trouble("modulus_mpa", "modulus_gpa"), Catch::Contains("modulus_gpa"));
    CHECK_THAT(material_trouble("\"mark\": \"C\"", "\"mark\": \"Z\""), Catch::Contains("modulus_mpa.mark"));
    CHECK_THAT(material_trouble("\"value\": 6", "\"value\": 1"), Catch::Contains("wall_min_mm must be less"));
    CHECK_THAT(material_trouble("{", "["), Catch::Contains("trial.json"));
    const tests::TemporaryFolder empty;
    CHECK_THAT(load_materials(empty.path()).fault().message, Catch::Contains("ARCHWRIGHT_ASSETS"));
    CHECK_FALSE(load_materials(empty.path() / "missing").ok());
}

TEST_CASE("materials: a laminate is a symmetric stack of sourced plies", "[material][laminate]") {
    const auto shipped = load_materials(our_materials);
    REQUIRE(shipped.ok());
    const Material stack = *shipped->find("carbon_ud_laminate");
    REQUIRE(stack.laminate);
    CHECK(stack.laminate->plies.size() == 8);
    for (const Sourced* s :
         {&stack.laminate->e1_mpa, &stack.laminate->e2_mpa, &stack.laminate->g12_mpa, &stack.laminate->nu12})
        CHECK(s->mark == Evidence::memory);  // never an acceptance limit until it is read
    CHECK_FALSE(shipped->find("pa12")->laminate);

    const auto trouble = [](const std::string& moduli, const std::string& plies) {
        return material_trouble("\"name\"",
                                "\"laminate\": {" + moduli + "\"plies\": [" + plies + "]}, \"name\"");
    };
    const auto value = [](const char* key, double number) {
        return std::string("\"") + key + "\": {\"value\": " + std::to_string(number) +
               ", \"source\": \"trial\", \"mark\": \"O\"}, ";
    };
    const std::string good =
        value("e1_mpa", 50000) + value("e2_mpa", 5000) + value("g12_mpa", 3000) + value("nu12", 0.3);
    const auto ply = [](int angle, double mm) {
        return "{\"angle_deg\": " + std::to_string(angle) + ", \"thickness_mm\": " + std::to_string(mm) + "}";
    };
    CHECK_THAT(trouble(good, ply(0, 0.2) + ", " + ply(90, 0.2)),
               Catch::Contains("laminate.plies[0]") && Catch::Contains("symmetric"));
    CHECK_THAT(trouble(good, ply(0, 0.2) + ", " + ply(0, 0.3)), Catch::Contains("symmetric"));
    CHECK_THAT(trouble(good, "{\"angle_deg\": 0}"), Catch::Contains("plies[0].thickness_mm is missing"));
    CHECK_THAT(trouble(good, ""), Catch::Contains("laminate.plies"));
    CHECK_THAT(trouble(good, ply(100, 0.2)), Catch::Contains("laminate.plies[0].angle_deg"));
    CHECK_THAT(trouble("", ply(0, 0.2)), Catch::Contains("laminate.e1_mpa"));
    CHECK_THAT(
        trouble(value("e1_mpa", 5000) + value("e2_mpa", 50000) + value("g12_mpa", 3000) + value("nu12", 0.4),
                ply(0, 0.2)),
        Catch::Contains("laminate.nu12 is 0.4") && Catch::Contains("e1 / e2"));
}

TEST_CASE("materials: a laboratory's calibration has its place", "[material]") {
    std::ifstream in(our_materials / "pa12.json");
    std::string text((std::istreambuf_iterator<char>(in)), {});
    text.insert(text.rfind('}'),
                ", \"calibration\": {\"modulus_scale\": 0.93, \"interval_percent\": 8, \"by\": \"TK\", "
                "\"date\": \"2026-03-01\"}");
    const tests::TemporaryFolder folder;
    std::ofstream(folder.path() / "pa12.json") << text;
    const auto loaded = load_materials(folder.path());
    REQUIRE(loaded.ok());
    CHECK(loaded->find("pa12")->calibration->modulus_scale == 0.93);
    CHECK(loaded->find("pa12")->calibration->devices == 0);
}

TEST_CASE("materials: a calibration is entered whole, in place of the one before, and all else stays",
          "[material]") {
    const tests::TemporaryFolder folder;
    const auto to = folder.path() / "pa12.json";
    Calibration entry;
    entry.modulus_scale = 0.87;
    entry.scale_low = 0.84;
    entry.scale_high = 0.91;
    entry.interval_percent = 9;
    entry.by = "TK";
    entry.date = "2026-11-20";
    entry.loads = "arch-press";
    entry.devices = 2;
    entry.wall_low_mm = 2.6;
    entry.wall_high_mm = 3.4;
    entry.residual_mm = 0.01;
    entry.friction = 0.2;
    entry.measurements = std::string(64, 'e');
    entry.measured = {{"A", 2.6, 1.01, 2.5, {{10, 0.01}, {20, -0.01}}}, {"B", 3.4, 0.99, {}, {{10, 0.0}}}};
    REQUIRE(write_calibrated(our_materials / "pa12.json", to, entry));
    entry.modulus_scale = 0.88;
    REQUIRE(write_calibrated(to, to, entry));
    const auto loaded = load_materials(folder.path());
    INFO((loaded ? std::string() : loaded.fault().message));
    REQUIRE(loaded);
    const Material now = *loaded->find("pa12"), before = *load_materials(our_materials)->find("pa12");
    CHECK(now.modulus_mpa.value == before.modulus_mpa.value);
    CHECK(now.modulus_mpa.source == before.modulus_mpa.source);
    CHECK(now.note == before.note);
    REQUIRE(now.calibration);
    CHECK(now.calibration->modulus_scale == 0.88);
    CHECK(now.calibration->friction == 0.2);
    CHECK_FALSE(now.calibration->distal_spring_n_mm);
    CHECK_FALSE(now.calibration->device_spread_percent);
    REQUIRE(now.calibration->measured.size() == 2);
    CHECK(now.calibration->measured[0].residuals[1] == Vec2(20, -0.01));
    CHECK(now.calibration->measured[0].held_out_percent == 2.5);
    CHECK(now.calibration->covers_wall(3.5));
    CHECK_FALSE(now.calibration->covers_wall(4.0));

    // what breaks the file's rules leaves the file as it was
    entry.date = "yesterday";
    CHECK_FALSE(write_calibrated(to, to, entry));
    entry.date = "2026-11-20";
    entry.scale_low = 0.9;
    CHECK_FALSE(write_calibrated(to, to, entry));
    CHECK(load_materials(folder.path())->find("pa12")->calibration->scale_low == 0.84);
    CHECK_FALSE(write_calibrated(folder.path() / "none.json", to, entry));
}

TEST_CASE("materials: a laboratory's limits of body mass rise, and none comes with the program",
          "[material]") {
    const auto shipped = load_materials(our_materials);
    REQUIRE(shipped.ok());
    for (const auto& [key, material] : shipped->all()) CHECK(material.mass_limits.empty());
    const auto limits = [](const std::string& list) { return "\"mass_limits\": [" + list + "], \"name\""; };
    const std::string one = R"({"wall_mm": 3, "body_mass_kg": 80, "source": "our own", "mark": "P"})";
    std::ifstream in(our_materials / "pa12.json");
    std::string text((std::istreambuf_iterator<char>(in)), {});
    text.replace(text.find("\"name\""), 6,
                 limits(one + R"(, {"wall_mm": 4, "body_mass_kg": 100, "source": "our own", "mark": "P"})"));
    const tests::TemporaryFolder folder;
    std::ofstream(folder.path() / "pa12.json") << text;
    const auto loaded = load_materials(folder.path());
    REQUIRE(loaded.ok());
    CHECK(loaded->find("pa12")->mass_limits.at(1).body_mass_kg == 100);
    CHECK(loaded->find("pa12")->mass_limits.at(0).mark == Evidence::practice);

    CHECK_THAT(material_trouble("\"name\"", limits(one + ", " + one)),
               Catch::Contains("mass_limits[1] does not follow"));
    CHECK_THAT(material_trouble("\"name\"", limits(R"({"wall_mm": 3, "source": "x", "mark": "P"})")),
               Catch::Contains("mass_limits[0].body_mass_kg is missing"));
    CHECK_THAT(material_trouble("\"name\"", limits(R"({"wall_mm": 3, "body_mass_kg": 80, "mark": "P"})")),
               Catch::Contains("mass_limits[0].source is missing"));
    CHECK_THAT(material_trouble("\"name\"", limits(R"({"wall_mm": -3, "body_mass_kg": 80, "source": "x"})")),
               Catch::Contains("mass_limits[0].wall_mm is -3"));
}

TEST_CASE("materials: the assets are found from the environment and from the source", "[material]") {
    const char* before = std::getenv("ARCHWRIGHT_ASSETS");
    const std::string kept = before ? before : "";
    ::unsetenv("ARCHWRIGHT_ASSETS");
    CHECK(load_materials(assets_folder() / "materials").ok());
    ::setenv("ARCHWRIGHT_ASSETS", "/somewhere", 1);
    CHECK(assets_folder() == "/somewhere");
    if (before)
        ::setenv("ARCHWRIGHT_ASSETS", kept.c_str(), 1);
    else
        ::unsetenv("ARCHWRIGHT_ASSETS");
}
