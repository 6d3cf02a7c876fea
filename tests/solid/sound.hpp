// A solid that was built, examined.
#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "engine/base/tolerances.hpp"
#include "engine/solid/solid.hpp"

namespace archwright::tests {

/// The report of a solid that must be there and sound.
inline solid::SolidReport sound(const Outcome<solid::Solid>& built) {
    INFO((built ? std::string() : built.fault().message));
    REQUIRE(built.ok());
    const solid::SolidReport report = solid::examine(*built);
    INFO(report.fault);
    CHECK(report.valid);
    CHECK(report.one_closed_solid);
    CHECK(report.fault.empty());
    CHECK(report.edge_deviation_mm < tolerance::edge_mm);
    return report;
}

}  // namespace archwright::tests
