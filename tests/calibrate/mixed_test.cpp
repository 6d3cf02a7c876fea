// The variances of devices, against closed forms.
#include "engine/calibrate/mixed.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/calibrate/synthetic_bench.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::calibrate;
using namespace archwright::tests;

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
