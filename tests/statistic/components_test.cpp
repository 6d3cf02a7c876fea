// Variance components: the analysis of variance of full tables, and known truth of generated ones.
#include "engine/statistic/components.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <iostream>
#include <random>

#include "engine/statistic/icc.hpp"
#include "tests/statistic/normal.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::statistic;

namespace {

struct StudyTable {
    std::vector<double> values;
    std::vector<Source> sources{{"foot", {}}, {"caster", {}}, {"foot x caster", {}}};
};

/// 5 feet, 4 casters, 3 repeats with these standard deviations; a share of the values missing.
StudyTable study(std::mt19937_64& random, double foot_sd, double caster_sd, double both_sd, double repeat_sd,
                 double missing, int feet = 5, int casters = 4, int repeats = 3) {
    StudyTable t;
    std::vector<double> of_caster;
    for (int c = 0; c < casters; ++c) of_caster.push_back(caster_sd * tests::polar_normal(random));
    for (int f = 0; f < feet; ++f) {
        const double of_foot = foot_sd * tests::polar_normal(random);
        for (int c = 0; c < casters; ++c) {
            const double both = both_sd * tests::polar_normal(random);
            for (int r = 0; r < repeats; ++r) {
                const double value = 20.0 + of_foot + of_caster[static_cast<std::size_t>(c)] + both +
                                     repeat_sd * tests::polar_normal(random);
                if (tests::uniform(random, 0.0, 1.0) < missing) continue;
                t.values.push_back(value);
                t.sources[0].level.push_back(f);
                t.sources[1].level.push_back(c);
                t.sources[2].level.push_back(f * casters + c);
            }
        }
    }
    return t;
}

}  // namespace

TEST_CASE("components of a full table are those of its analysis of variance") {
    // two-way with repeats, random effects: expected mean squares of S. R. Searle, G. Casella and C. E.
    // McCulloch, Variance Components, section 4.3
    int positive = 0;
    for (int round = 0; round < 30; ++round) {
        std::mt19937_64 random(tests::seed() + static_cast<std::uint64_t>(round));
        const int a = 5, b = 4, n = 3;
        const StudyTable t = study(random, 3.0, 1.5, 1.2, 0.8, 0.0);
        Eigen::MatrixXd cell = Eigen::MatrixXd::Zero(a, b);
        for (std::size_t i = 0; i < t.values.size(); ++i)
            cell(t.sources[0].level[i], t.sources[1].level[i]) += t.values[i] / n;
        double inside = 0.0;
        for (std::size_t i = 0; i < t.values.size(); ++i)
            inside += std::pow(t.values[i] - cell(t.sources[0].level[i], t.sources[1].level[i]), 2);
        const MeanSquares m = mean_squares(cell);  // of the cells' means
        const double rest = inside / (a * b * (n - 1)), both = m.error - rest / n,
                     caster = (m.rater - m.error) / a, foot = (m.between - m.error) / b;
        if (both <= 0.0 || caster <= 0.0 || foot <= 0.0) continue;
        ++positive;
        const Components c = components(t.values, t.sources, 0.95);
        REQUIRE(c.parts.size() == 4);
        CHECK(c.settled);
        CHECK(c.parts[0].variance.value == Approx(foot).epsilon(1e-3));
        CHECK(c.parts[1].variance.value == Approx(caster).epsilon(1e-3));
        CHECK(c.parts[2].variance.value == Approx(both).epsilon(1e-3));
        CHECK(c.parts[3].variance.value == Approx(rest).epsilon(1e-3));
        CHECK(c.mean == Approx(cell.mean()).epsilon(1e-9));
        for (const Component& part : c.parts) {
            CHECK(part.variance.low <= part.variance.value);
            CHECK(part.variance.high >= part.variance.value);
        }
    }
    CHECK(positive >= 15);
}

TEST_CASE("a component that would be negative is nothing, and the others share what it leaves") {
    // one-way: mean square between below that within; restricted likelihood then takes all values as one
    const std::vector<double> values{1.0, 3.0, 1.2, 2.9, 0.8, 3.1};
    const Components c = components(values, {{"foot", {0, 0, 1, 1, 2, 2}}}, 0.95);
    REQUIRE(c.parts.size() == 2);
    CHECK(c.parts[0].variance.value == 0.0);
    CHECK(c.parts[0].variance.low == 0.0);
    double squares = 0.0;
    for (const double v : values) squares += (v - 2.0) * (v - 2.0);
    CHECK(c.parts[1].variance.value == Approx(squares / 5.0).epsilon(1e-6));
}

TEST_CASE("sources that the table does not tell apart are said to be so") {
    const std::vector<double> values{1, 2, 4, 5, 3, 4};
    const Components c = components(values,
                                    {{"foot", {0, 0, 1, 1, 2, 2}},
                                     {"caster", {7, 7, 9, 9, 8, 8}},
                                     {"one", {0, 0, 0, 0, 0, 0}},
                                     {"each", {0, 1, 2, 3, 4, 5}}},
                                    0.95);
    CHECK(c.parts[0].known);
    CHECK_FALSE(c.parts[1].known);
    CHECK_FALSE(c.parts[2].known);
    CHECK_FALSE(c.parts[3].known);
    CHECK(c.parts[1].variance.value == 0.0);
    // and of nothing that varies nothing is said
    const Components none = components({2, 2, 2, 2}, {{"foot", {0, 0, 1, 1}}}, 0.95);
    CHECK(none.mean == 2.0);
    CHECK(none.parts[0].variance.value == 0.0);
}

TEST_CASE("known variances of 5 feet, 4 casters and 3 repeats lie within their limits") {
    const int rounds = tests::cases(200, 200, "generated studies, half of them with gaps");
    const double truth[] = {3.0 * 3.0, 1.2 * 1.2, 0.7 * 0.7, 0.9 * 0.9};
    int inside[4] = {0, 0, 0, 0};
    for (int round = 0; round < rounds; ++round) {
        std::mt19937_64 random(tests::seed() + 1000 + static_cast<std::uint64_t>(round));
        const StudyTable t = study(random, 3.0, 1.2, 0.7, 0.9, round % 2 == 0 ? 0.0 : 0.1);
        const Components c = components(t.values, t.sources, 0.95);
        REQUIRE(c.parts.size() == 4);
        CHECK(c.settled);
        for (std::size_t i = 0; i < 4; ++i)
            inside[i] += c.parts[i].variance.low <= truth[i] && truth[i] <= c.parts[i].variance.high;
    }
    for (std::size_t i = 0; i < 4; ++i) {
        std::cout << "component " << i << ": " << inside[i] << " of " << rounds << " within 95 % limits\n";
        CHECK(tests::share_holds(inside[i], rounds, 0.9));
    }
}
