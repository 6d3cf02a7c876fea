// The chain that brings old jobs forward, tried on invented versions (version 1 is the only real one so far).
#include "engine/design/migration.hpp"

#include <array>
#include <catch2/catch.hpp>

using namespace archwright;
using namespace archwright::design;

namespace {

Outcome<Done> rename_cup(Json& job) {
    for (auto& member : job.members)
        if (member.first == "cup_mm") member.first = "cup_posterior_mm";
    return Done{};
}
Outcome<Done> centimetres_to_mm(Json& job) {
    Json* value = job.find("flange_cm");
    if (!value) return Fault{FaultKind::usage, "job", "flange_cm is missing", {}};
    const double mm = value->number * 10;
    job.drop("flange_cm");
    job.add("flange_mm", Json::of(mm));
    return Done{};
}
constexpr std::array<Migration, 2> steps{
    {{1, "the cup has three depths", rename_cup}, {2, "the flange is in mm", centimetres_to_mm}}};

Json parsed(const char* text) {
    return *parse_json(text, "specimen");
}

}  // namespace

TEST_CASE("migration: steps are applied in order from the version stated", "[migration]") {
    Json first = parsed(R"({"version": 1, "cup_mm": 14, "flange_cm": 2})");
    REQUIRE(migrate(first, 3, steps, "a.json").ok());
    CHECK(first == parsed(R"({"version": 3, "cup_posterior_mm": 14, "flange_mm": 20})"));
    Json second = parsed(R"({"version": 2, "cup_posterior_mm": 14, "flange_cm": 2})");
    REQUIRE(migrate(second, 3, steps, "a.json").ok());
    CHECK(second == first);
    Json third = first;
    REQUIRE(migrate(third, 3, steps, "a.json").ok());
    CHECK(third == first);
}

TEST_CASE("migration: failures name file and version", "[migration]") {
    Json newer = parsed(R"({"version": 4})");
    CHECK_THAT(migrate(newer, 3, steps, "a.json").fault().message, Catch::Contains("a.json is of version 4"));
    Json broken = parsed(R"({"version": 1})");
    CHECK_THAT(migrate(broken, 3, steps, "a.json").fault().message,
               Catch::Contains("from version 2") && Catch::Contains("flange_cm"));
    Json gap = parsed(R"({"version": 3})");
    CHECK(migrate(gap, 5, steps, "a.json").fault().kind == FaultKind::internal);
}

TEST_CASE("migration: the chain reaches this version from every older one", "[migration]") {
    int version = 1;
    for (const Migration& step : migrations()) CHECK(step.from == version++);
}
