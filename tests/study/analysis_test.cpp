// What a study says of figures: published tables through the study's own table, and known truth.
#include "engine/study/analysis.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/study/markings.hpp"
#include "tests/statistic/normal.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::study;
using tests::polar_normal;

namespace {

const Origin& origin(const Finding& finding, Origin::Kind kind) {
    for (const Origin& o : finding.origins)
        if (o.kind == kind) return o;
    FAIL("no such source");
    return finding.origins.front();
}

}  // namespace

TEST_CASE("a table of figures gives the correlations Shrout and Fleiss printed") {
    // Psychol Bull 86:420, 1979: six targets (feet) by four judges (casters)
    const int rows[6][4] = {{9, 2, 5, 8}, {6, 1, 3, 2},  {8, 4, 6, 8},
                            {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}};
    std::string text = "foot,caster,rating:points\n";
    for (int i = 0; i < 6; ++i)
        for (int j = 0; j < 4; ++j)
            text +=
                "F" + std::to_string(i) + ",C" + std::to_string(j) + "," + std::to_string(rows[i][j]) + "\n";
    const auto table = parse_table(text, "t");
    REQUIRE(table.ok());
    const Analysis analysis = analyse(*table);
    REQUIRE(analysis.findings.size() == 1);
    const Finding& f = analysis.findings[0];
    REQUIRE(f.casters_icc);
    CHECK(f.casters_icc_feet == 6);
    CHECK(f.casters_icc->agreement.value == Approx(0.29).margin(0.005));
    CHECK(f.casters_icc->consistency_mean.value == Approx(0.91).margin(0.005));
    // without repeats nothing is said of repeats, and the table does not part foot by caster from the rest
    CHECK_FALSE(f.cast_again);
    CHECK_FALSE(f.repeats);
    CHECK_FALSE(origin(f, Origin::Kind::foot_by_caster).known);
    // components of the two-way table from its printed mean squares: (BMS - EMS) / 4, (JMS - EMS) / 6, EMS
    CHECK(origin(f, Origin::Kind::foot).variance.value == Approx((11.2417 - 1.0194) / 4.0).epsilon(1e-3));
    CHECK(origin(f, Origin::Kind::caster).variance.value == Approx((32.4861 - 1.0194) / 6.0).epsilon(1e-3));
    CHECK(origin(f, Origin::Kind::cast).variance.value == Approx(1.0194).epsilon(1e-3));
    REQUIRE(f.greatest() != nullptr);
    CHECK(f.greatest()->kind == Origin::Kind::caster);
    CHECK(*f.any_caster == Approx(1.959964 * std::sqrt(2.0 * (31.4667 / 6.0 + 1.0194))).epsilon(1e-3));
}

TEST_CASE("repeats and methods give the limits Bland and Altman printed") {
    const int w1[] = {494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427};
    const int w2[] = {490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421};
    const int m1[] = {512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451};
    std::string text = "foot,method,repeat,flow:l-min\n", alone = text;
    for (int i = 0; i < 17; ++i) {
        const std::string foot = "P" + std::to_string(i);
        text += foot + ",wright,1," + std::to_string(w1[i]) + "\n" + foot + ",mini,1," +
                std::to_string(m1[i]) + "\n";
        alone += foot + ",wright,1," + std::to_string(w1[i]) + "\n" + foot + ",wright,2," +
                 std::to_string(w2[i]) + "\n";
    }
    const auto both = parse_table(text, "both"), repeated = parse_table(alone, "alone");
    REQUIRE(both.ok());
    REQUIRE(repeated.ok());
    const Analysis methods = analyse(*both);
    REQUIRE(methods.methods.size() == 1);
    CHECK(methods.findings.empty());  // neither method is repeated
    const PairedFigures& pairs = methods.methods[0].pairs;
    CHECK(pairs.first == "mini");
    CHECK(pairs.agreement.mean.value == Approx(2.1).margin(0.05));
    CHECK(pairs.agreement.sd == Approx(38.8).margin(0.05));
    const Analysis repeats = analyse(*repeated);
    REQUIRE(repeats.findings.size() == 1);
    REQUIRE(repeats.findings[0].repeats);
    CHECK(repeats.findings[0].repeats->tem == Approx(15.307).margin(0.001));
    CHECK(repeats.findings[0].repeats->tem_percent == Approx(3.418).margin(0.001));
    // of one-way data of two each, the rest's variance is TEM squared, and two casts differ by less than
    // 1.96 sqrt(2) TEM
    CHECK(*repeats.findings[0].cast_again == Approx(repeats.findings[0].repeats->coefficient).epsilon(1e-3));
    REQUIRE(repeats.findings[0].first_and_second);
    CHECK(repeats.findings[0].first_and_second->agreement.pairs == 17);
}

TEST_CASE("the greatest source of a study is found, and so is that of landmarking") {
    // 8 feet, 4 casters, 2 casts, 3 markings of each; one source far above the others
    struct Case {
        double foot, caster, cast, marking;
        Origin::Kind greatest;
    };
    for (const Case& c :
         {Case{3.0, 2.5, 0.3, 0.2, Origin::Kind::caster}, Case{3.0, 0.2, 1.5, 0.3, Origin::Kind::cast},
          Case{3.0, 0.2, 0.3, 1.5, Origin::Kind::marking}}) {
        std::mt19937_64 random(tests::seed());
        std::string text = "foot,caster,repeat,marking,height:mm\n";
        std::vector<double> casters;
        for (int k = 0; k < 4; ++k) casters.push_back(c.caster * polar_normal(random));
        for (int f = 0; f < 8; ++f) {
            const double foot = c.foot * polar_normal(random);
            for (int k = 0; k < 4; ++k)
                for (int r = 1; r < 3; ++r) {
                    const double cast = c.cast * polar_normal(random);
                    for (int m = 1; m < 4; ++m) {
                        const double value = 20.0 + foot + casters[static_cast<std::size_t>(k)] + cast +
                                             c.marking * polar_normal(random);
                        text += "F" + std::to_string(f) + ",C" + std::to_string(k) + "," + std::to_string(r) +
                                "," + std::to_string(m) + "," + exact(value) + "\n";
                    }
                }
        }
        const auto table = parse_table(text, "t");
        REQUIRE(table.ok());
        const Analysis analysis = analyse(*table);
        REQUIRE(analysis.findings.size() == 1);
        const Finding& f = analysis.findings[0];
        REQUIRE(f.greatest() != nullptr);
        CHECK(f.greatest()->kind == c.greatest);
        const Origin& marking = origin(f, Origin::Kind::marking);
        CHECK(marking.variance.low <= c.marking * c.marking);
        CHECK(marking.variance.high >= c.marking * c.marking);
        REQUIRE(f.marked_again);
        REQUIRE(f.cast_again);
        CHECK(*f.marked_again <= *f.cast_again);
        CHECK(*f.cast_again <= *f.any_caster);
    }
}

TEST_CASE("the scatter of landmarks is written, read back, and what is wrong with it is told") {
    std::vector<LandmarkSpread> spreads(2);
    spreads[0].id = foot::LandmarkId::navicular;
    spreads[0].sd_all_mm = 1.434;
    spreads[1].id = foot::LandmarkId::heel_centre;
    spreads[1].sd_all_mm = 0.7;
    const auto back = parse_spreads(spreads_file(spreads, "s.csv"), "landmarks.csv");
    REQUIRE(back.ok());
    CHECK(back->at(foot::LandmarkId::navicular) == 1.43);
    CHECK(back->at(foot::LandmarkId::heel_centre) == 0.7);
    for (const char* wrong :
         {"", "navicular\n", "navicular,0\n", "navicular,30\n", "navicula,1\n", "navicular,1\nnavicular,2\n"})
        CHECK_FALSE(parse_spreads(wrong, "landmarks.csv").ok());
}
