// Real feet nobody here made (../shared/scans): new + make with no hand edit.
#include <catch2/catch.hpp>
#include <iostream>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;

namespace {

struct Scan {
    const char* file;
    Side side;
    LengthUnit unit;
    bool clean;  // the folder's table calls it complete and free of noise
};

// The truth of that folder's table.
const Scan scans[] = {
    {"standing_left_m.stl", Side::left, LengthUnit::metre, true},
    {"standing_right_m.stl", Side::right, LengthUnit::metre, true},
    {"relaxed_left_template_colour.ply", Side::left, LengthUnit::millimetre, true},
    {"relaxed_left_a_colour.ply", Side::left, LengthUnit::millimetre, true},
    {"relaxed_left_a_colour_yup_m.obj", Side::left, LengthUnit::metre, true},
    {"relaxed_right_b_colour.ply", Side::right, LengthUnit::millimetre, true},
    {"sculpted_base_left.stl", Side::left, LengthUnit::millimetre, true},
    {"sculpted_male_left.stl", Side::left, LengthUnit::millimetre, true},
    {"sculpted_heavy_left.stl", Side::left, LengthUnit::millimetre, true},
    {"sculpted_female_right.stl", Side::right, LengthUnit::millimetre, true},
    {"sculpted_child_right.stl", Side::right, LengthUnit::millimetre, true},
    {"noisy_holes_left_colour.ply", Side::left, LengthUnit::millimetre, false},
};

}  // namespace

TEST_CASE("every complete real foot gives a sound shell on its own side with nothing stated",
          "[unsanitized]") {
    const std::string folder = tests::scans_folder();
    if (folder.empty()) return tests::skipped("real feet: ../shared/scans is absent");
    std::cout << "foot, proposed side and unit, fit rms mm, least-greatest wall mm, cup "
                 "medial/posterior/lateral mm\n";
    for (const Scan& scan : scans) {
        INFO(scan.file);
        const auto proposed = tests::proposed_foot(folder + "/" + scan.file);
        if (!proposed.ok()) FAIL(proposed.fault().message);
        const auto& [cast, reception, foot] = *proposed;
        CHECK(reception.side.value == scan.side);
        CHECK(reception.side.clear);
        CHECK(reception.unit.value == scan.unit);
        CHECK(reception.unit.clear);
        const auto device = tests::build_in_memory(cast, foot, reception.side.value);
        if (!device.ok()) {
            FAIL_CHECK(device.fault().stage << ": " << device.fault().message);
            continue;
        }
        CHECK(tests::unsound(*device) == "");
        CHECK(device->verdict() == Verdict::look);  // proposed, not stated: a person has to look
        const double rms = device->surfaced->report.fit_rms_mm;
        if (scan.clean) CHECK(rms <= tolerance::fit_rms_look_mm);
        const auto& walls = device->proved->walls;
        std::cout << "  " << scan.file << ", " << word(reception.side.value) << " "
                  << word(reception.unit.value) << ", " << rounded(rms, 4) << ", "
                  << rounded(walls.least_wall_mm, 2) << "-" << rounded(walls.most_mm, 2) << ", "
                  << rounded(device->surfaced->trim.cup_medial_mm, 1) << "/"
                  << rounded(device->surfaced->trim.cup_posterior_mm, 1) << "/"
                  << rounded(device->surfaced->trim.cup_lateral_mm, 1) << "\n";
        if (!scan.clean) {  // a bad scan: its faults are told
            CHECK(cast->cleaning.debris_parts > 0);
            CHECK(!reception.sole.holes.empty());
        }
    }
}

TEST_CASE("a scan without a sole is refused, saying how much is open") {
    const std::string folder = tests::scans_folder();
    if (folder.empty()) return tests::skipped("real feet: ../shared/scans is absent");
    Progress progress;
    const auto cast = build::open_cast(folder + "/sole_missing_right.ply", {}, progress);
    REQUIRE(cast.ok());
    const auto reception = scan::receive((*cast)->cleaning.mesh, (*cast)->declared_unit, {}, nullptr);
    REQUIRE_FALSE(reception.ok());
    CHECK(reception.fault().kind == FaultKind::input);
    CHECK(reception.fault().message.find("sole") != std::string::npos);
    CHECK(reception.fault().message.find("%") != std::string::npos);
}
