// Agreement and repeatability against the examples their authors printed.
#include "engine/statistic/agreement.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "engine/statistic/icc.hpp"
#include "tests/statistic/normal.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::statistic;

namespace {

Eigen::MatrixXd six_by_four() {
    Eigen::MatrixXd table(6, 4);
    table << 9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7;
    return table;
}

// Peak flow by two meters, twice each: J. M. Bland and D. G. Altman, Lancet i:307, 1986, table
const std::vector<double> w1{494, 395, 516, 434, 476, 557, 413, 442, 650,
                             433, 417, 656, 267, 478, 178, 423, 427};
const std::vector<double> w2{490, 397, 512, 401, 470, 611, 415, 431, 638,
                             429, 420, 633, 275, 492, 165, 372, 421};
const std::vector<double> m1{512, 430, 520, 428, 500, 600, 364, 380, 658,
                             445, 432, 626, 260, 477, 259, 350, 451};
const std::vector<double> m2{525, 415, 508, 444, 500, 625, 460, 390, 642,
                             432, 420, 605, 227, 467, 268, 370, 443};

std::vector<std::vector<double>> pairs(const std::vector<double>& a, const std::vector<double>& b) {
    std::vector<std::vector<double>> out;
    for (std::size_t i = 0; i < a.size(); ++i) out.push_back({a[i], b[i]});
    return out;
}

}  // namespace

TEST_CASE("the six intraclass correlations are those Shrout and Fleiss printed") {
    // Psychol Bull 86:420, 1979, tables 2 to 4
    const IntraclassCorrelations icc = intraclass_correlations(six_by_four(), 0.95);
    CHECK(icc.squares.between == Approx(11.24).margin(0.005));
    CHECK(icc.squares.within == Approx(6.26).margin(0.005));
    CHECK(icc.squares.rater == Approx(32.49).margin(0.005));
    CHECK(icc.squares.error == Approx(1.02).margin(0.005));
    const double printed[] = {0.17, 0.29, 0.71, 0.44, 0.62, 0.91};
    for (std::size_t i = 0; i < 6; ++i) CHECK(icc.all()[i]->value == Approx(printed[i]).margin(0.005));
    // their limits of ICC(1,1), (2,1) and (3,1): as every program since gives them
    CHECK(icc.one_way.low == Approx(-0.133).margin(0.001));
    CHECK(icc.one_way.high == Approx(0.723).margin(0.001));
    CHECK(icc.agreement.low == Approx(0.019).margin(0.001));
    CHECK(icc.agreement.high == Approx(0.761).margin(0.001));
    CHECK(icc.consistency.low == Approx(0.342).margin(0.001));
    CHECK(icc.consistency.high == Approx(0.946).margin(0.001));
    CHECK(error_of_consistency(icc.squares).sem == Approx(1.0097).margin(1e-4));
    CHECK(error_of_consistency(icc.squares).mdc95 == Approx(2.7987).margin(1e-4));
    CHECK(error_of_agreement(icc.squares).sem == Approx(2.5028).margin(1e-4));
    CHECK(error_of_agreement(icc.squares).mdc95 == Approx(6.9373).margin(1e-4));
}

TEST_CASE("intraclass correlations know what moves them and what does not") {
    for (int round = 0; round < 20; ++round) {
        std::mt19937_64 random(tests::seed() + static_cast<std::uint64_t>(round));
        const int targets = 3 + round % 7, raters = 2 + round % 4;
        Eigen::MatrixXd table(targets, raters);
        for (int i = 0; i < targets; ++i) {
            const double own = 3.0 * tests::polar_normal(random);
            for (int j = 0; j < raters; ++j) table(i, j) = own + tests::polar_normal(random);
        }
        const IntraclassCorrelations icc = intraclass_correlations(table, 0.95);
        for (const Estimate* e : icc.all()) {
            CHECK(e->low <= e->value);
            CHECK(e->value <= e->high);
        }
        // one rater who always reads 2 more: agreement falls, consistency does not know it
        Eigen::MatrixXd biased = table;
        biased.col(0).array() += 2.0;
        const IntraclassCorrelations other = intraclass_correlations(biased, 0.95);
        CHECK(other.consistency.value == Approx(icc.consistency.value).epsilon(1e-9));
        // another unit and another zero: nothing changes
        const Eigen::MatrixXd inches = table.array() / 25.4 + 7.0;
        const IntraclassCorrelations same = intraclass_correlations(inches, 0.95);
        for (std::size_t i = 0; i < 6; ++i)
            CHECK(same.all()[i]->value == Approx(icc.all()[i]->value).epsilon(1e-6));
        // mean squares within hold raters and error
        const MeanSquares& m = icc.squares;
        CHECK(m.within * targets * (raters - 1) ==
              Approx(m.rater * (raters - 1) + m.error * (targets - 1) * (raters - 1)).epsilon(1e-9));
    }
}

TEST_CASE("limits of agreement are those Bland and Altman printed") {
    const Agreement a = agreement(w1, m1, 0.95);
    CHECK(a.pairs == 17);
    CHECK(a.mean.value == Approx(-2.1).margin(0.05));
    CHECK(a.sd == Approx(38.8).margin(0.05));
    CHECK(a.mean.low == Approx(-22.0).margin(0.1));
    CHECK(a.mean.high == Approx(17.8).margin(0.1));
    // they take 2 for 1.96 (-79.7 and 75.5, from rounded figures)
    CHECK(a.mean.value - 2.0 * a.sd == Approx(-79.7).margin(0.1));
    CHECK(a.low_limit.value == Approx(-78.097).margin(0.002));
    CHECK(a.high_limit.value == Approx(73.862).margin(0.002));
    // standard error of a limit 16.3, t 2.12
    CHECK(a.high_limit.high - a.high_limit.value == Approx(2.12 * 16.285).margin(0.05));
    CHECK(a.correlation == Approx(0.94).margin(0.005));
}

TEST_CASE("coefficients of repeatability are those Bland and Altman printed") {
    const Repeatability wright = repeatability(pairs(w1, w2)), mini = repeatability(pairs(m1, m2));
    // theirs is twice the standard deviation of the differences about zero: 43.2 and 56.4
    CHECK(2.0 * std::sqrt(2.0) * wright.tem == Approx(43.2).margin(0.15));
    CHECK(2.0 * std::sqrt(2.0) * mini.tem == Approx(56.4).margin(0.15));
    CHECK(wright.tem == Approx(15.307).margin(0.001));
    CHECK(wright.tem_percent == Approx(3.418).margin(0.001));
    CHECK(mini.tem == Approx(19.911).margin(0.001));
    CHECK(mini.tem_percent == Approx(4.386).margin(0.001));
    CHECK(wright.coefficient == Approx(1.96 * std::sqrt(2.0) * 15.307).epsilon(1e-4));
    CHECK(wright.freedom == 17.0);
    // groups of one say nothing; three of a group count by their two
    const Repeatability three = repeatability({{1.0, 2.0, 3.0}, {5.0}});
    CHECK(three.groups == 1);
    CHECK(three.freedom == 2.0);
    CHECK(three.tem == Approx(1.0));
    CHECK(repeatability({{4.0}}).tem == 0.0);
}
