// Student's t and the variances of devices, against published figures and closed forms.
#include "engine/calibrate/mixed.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "engine/calibrate/statistic.hpp"
#include "tests/calibrate/synthetic_bench.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::calibrate;
using namespace archwright::tests;

TEST_CASE("Student's t is that of the tables") {
    // two-sided 95 % and 99 %: R. A. Fisher and F. Yates, Statistical Tables, table III, to the digits
    // printed there
    struct Printed {
        double freedom, t95, t99;
    };
    for (const Printed& one : {Printed{1, 12.706, 63.657}, Printed{2, 4.303, 9.925}, Printed{3, 3.182, 5.841},
                               Printed{4, 2.776, 4.604}, Printed{5, 2.571, 4.032}, Printed{10, 2.228, 3.169},
                               Printed{30, 2.042, 2.750}, Printed{120, 1.980, 2.617}}) {
        CHECK(student_t(0.95, one.freedom) == Approx(one.t95).margin(0.0005));
        CHECK(student_t(0.99, one.freedom) == Approx(one.t99).margin(0.0005));
    }
    // closed forms of one and two degrees: 2 atan(t) / pi and t / sqrt(2 + t^2)
    for (const double t : {0.01, 0.5, 1.0, 3.0, 40.0}) {
        CHECK(student_within(t, 1.0) == Approx(2.0 / 3.14159265358979 * std::atan(t)).epsilon(1e-10));
        CHECK(student_within(t, 2.0) == Approx(t / std::sqrt(2.0 + t * t)).epsilon(1e-10));
    }
}

TEST_CASE("variances of a balanced table of devices are those of its analysis of variance") {
    // Restricted likelihood of a one-way table with equal counts: noise^2 is the mean square within, spread^2
    // the mean square between less it over the count; the mean's variance is the mean square between over all
    // readings with devices - 1 degrees of freedom (S. R. Searle, G. Casella and C. E. McCulloch, Variance
    // Components, sections 3.3 and 3.8).
    const int devices = 7, count = 9, all = devices * count;
    int between_tables = 0;
    for (int round = 0; round < 20; ++round) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
        MixedSums sums;
        sums.fixed = 1;
        sums.devices = devices;
        const int n = devices + 2;
        for (Eigen::MatrixXd& kind : sums.sums) kind.setZero(n, n);
        Eigen::MatrixXd y(devices, count);
        for (int d = 0; d < devices; ++d) {
            const double own = 0.2 * normal(random);
            for (int i = 0; i < count; ++i) {
                y(d, i) = 3.0 + own + 0.1 * normal(random);
                Eigen::VectorXd row = Eigen::VectorXd::Zero(n);
                row[0] = row[1 + d] = 1.0;
                row[n - 1] = y(d, i);
                sums.sums[0] += row * row.transpose();
            }
        }
        sums.rows[0] = all;
        double within = 0.0;
        for (int d = 0; d < devices; ++d) within += (y.row(d).array() - y.row(d).mean()).square().sum();
        within /= devices * (count - 1.0);
        const double between =
            count * (y.rowwise().mean().array() - y.mean()).square().sum() / (devices - 1.0);
        if (between < 1.5 * within) continue;
        ++between_tables;
        Variances start;
        start.noise = {1.0, 1.0};
        start.spread = 0.05;
        const Variances found = restricted_variances(sums, start, {}, true);
        CHECK(found.noise[0] == Approx(std::sqrt(within)).epsilon(2e-3));
        CHECK(found.spread == Approx(std::sqrt((between - within) / count)).epsilon(5e-3));
        // exactly there, so that what is checked below is the formula and not the search
        Variances exact = found;
        exact.noise[0] = std::sqrt(within);
        exact.spread = std::sqrt((between - within) / count);
        const FixedVariance mean = fixed_variance(sums, exact, 0, {true, true}, true);
        CHECK(mean.variance == Approx(between / all).epsilon(1e-9));
        CHECK(mean.freedom == Approx(devices - 1.0).epsilon(1e-3));
        // with the noise known and no spread looked for the mean is as sure as it is
        CHECK(fixed_variance(sums, exact, 0, {false, false}, false).freedom == most_freedom);
    }
    CHECK(between_tables >= 15);
}
