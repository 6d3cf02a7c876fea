// The parameter table: every line is sound, every value it allows is taken, every other is refused by name.
#include "engine/design/parameters.hpp"

#include <catch2/catch.hpp>
#include <set>

#include "engine/base/text.hpp"
#include "engine/design/job_file.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

bool settable(const Parameter& p) {
    return !p.listed && !p.name.starts_with("side.") && !p.name.starts_with("cast.");
}
bool numeric(const Parameter& p) {
    return p.kind == Parameter::Kind::number || p.kind == Parameter::Kind::whole;
}

template <class Owner>
void every_value(const Owner& standard, const std::vector<Parameter>& table) {
    for (const Parameter& p : table) {
        if (!settable(p)) continue;
        INFO(p.name);
        Owner owner = standard;
        CHECK(*get(owner, p.name) == p.standard);
        if (numeric(p)) {
            for (const double value : {p.low, p.high, 0.5 * (p.low + p.high)}) {
                REQUIRE(set(owner, p.name, exact(value)).ok());
                CHECK(*get(owner, p.name) == exact(value));
            }
            REQUIRE(set(owner, p.name, exact(p.low) + " " + p.unit).ok());
            for (const std::string& bad : {exact(p.low - 0.001), exact(p.high + 0.001), std::string("nan"),
                                           std::string("inf"), std::string("1e999"), std::string("1,5"),
                                           std::string("x"), std::string("3 cm"), std::string("0x10")}) {
                const auto refused = set(owner, p.name, bad);
                REQUIRE_FALSE(refused.ok());
                CHECK(refused.fault().kind == FaultKind::usage);
                CHECK_THAT(refused.fault().message, Catch::Contains(p.name) &&
                                                        Catch::Contains(exact(p.low)) &&
                                                        Catch::Contains(exact(p.high)));
                CHECK(*get(owner, p.name) == exact(p.low));
            }
        }
        if (p.kind == Parameter::Kind::choice) {
            for (const std::string& word : p.words) {
                REQUIRE(set(owner, p.name, word).ok());
                CHECK(*get(owner, p.name) == word);
            }
            CHECK_FALSE(set(owner, p.name, "xyzzy").ok());
        }
        if (p.optional) {
            REQUIRE(set(owner, p.name, "").ok());
            CHECK(get(owner, p.name)->empty());
        }
    }
}

void sound(const std::vector<Parameter>& table) {
    std::set<std::string> names;
    for (const Parameter& p : table) {
        INFO(p.name);
        CHECK(names.insert(p.name).second);
        CHECK(p.help.size() > 5);
        if (!numeric(p)) continue;
        CHECK(p.low < p.high);
        CHECK(p.step > 0);
        CHECK(p.step < p.high - p.low);
        if (!p.standard.empty()) {
            const auto standard = parse_number(p.standard);
            REQUIRE(standard);
            CHECK(*standard >= p.low);
            CHECK(*standard <= p.high);
        }
        // a unit stands at the end of its key
        if (!p.unit.empty()) CHECK(p.name.ends_with("_" + p.unit));
    }
}

}  // namespace

TEST_CASE("parameters: every line has a help, a range and a default within it", "[parameters]") {
    sound(foot_parameters());
    sound(case_parameters());
    CHECK(foot_parameters().size() > 50);
}

TEST_CASE("parameters: a foot takes every value of its table and no other", "[parameters]") {
    every_value(FootDesign{}, foot_parameters());
}

TEST_CASE("parameters: a case takes every value of its table and no other", "[parameters]") {
    Job job;
    for (const Parameter& p : case_parameters()) {
        if (p.name != "case") continue;
        CHECK(p.kind == Parameter::Kind::text);
    }
    every_value(job, case_parameters());
}

TEST_CASE("parameters: a file refuses what lies outside the table's ranges", "[parameters]") {
    for (const Parameter& p : foot_parameters()) {
        if (!numeric(p) || !settable(p) || p.optional) continue;
        Job job = tests::plain_job();
        for (const double beyond : {p.low - 0.5 * p.step, p.high + 0.5 * p.step}) {
            std::string text = write_job(job);
            const std::string key = "\"" + p.name.substr(p.name.rfind('.') + 1) + "\": " + p.standard;
            std::size_t group = text.find("\"right\": {");
            for (std::size_t from = 0, to = p.name.find('.'); to != std::string::npos;
                 from = to + 1, to = p.name.find('.', from))
                group = text.find("\"" + p.name.substr(from, to - from) + "\": {", group);
            const std::size_t at = text.find(key, group);
            REQUIRE(at != std::string::npos);
            text.replace(at, key.size(),
                         "\"" + p.name.substr(p.name.rfind('.') + 1) + "\": " + exact(beyond));
            const auto refused = parse_job(text, "x");
            INFO(p.name);
            REQUIRE_FALSE(refused.ok());
            CHECK_THAT(refused.fault().message, Catch::Contains("right." + p.name));
        }
    }
}

TEST_CASE("parameters: wrong names and untouchable ones are refused", "[parameters]") {
    FootDesign foot;
    CHECK_THAT(set(foot, "trim.cup_posteror_mm", "12").fault().message,
               Catch::Contains("trim.cup_posterior_mm"));
    CHECK_THAT(get(foot, "trim.cup").fault().message, Catch::Contains("no parameter"));
    CHECK_THAT(set(foot, "cast.unit.value", "cm").fault().message, Catch::Contains("stated"));
    CHECK_THAT(set(foot, "side.by", "person").fault().message, Catch::Contains("stated"));
    CHECK_FALSE(set(foot, "wall.regions[].wall_mm", "3").ok());
    CHECK_FALSE(set(foot, std::string(100'000, 'a'), "3").ok());
    CHECK_FALSE(set(foot, "material", "a b").ok());
    REQUIRE(set(foot, "material", "pa12").ok());
    CHECK(foot.material == "pa12");
}
