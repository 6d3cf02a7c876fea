#include "engine/statistic/distribution.hpp"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>

namespace archwright::statistic {

namespace {

namespace policies = boost::math::policies;
/// Nothing is thrown: an argument outside its range gives not a number, an overflow infinity. In double
/// alone, the same on every machine.
using Quiet =
    policies::policy<policies::domain_error<policies::ignore_error>,
                     policies::pole_error<policies::ignore_error>,
                     policies::overflow_error<policies::ignore_error>,
                     policies::evaluation_error<policies::ignore_error>, policies::promote_double<false>>;

}  // namespace

double student_within(double t, double freedom) {
    return 1.0 - 2.0 * boost::math::cdf(boost::math::students_t_distribution<double, Quiet>(freedom), -t);
}

double student_t(double within, double freedom) {
    return -boost::math::quantile(boost::math::students_t_distribution<double, Quiet>(freedom),
                                  0.5 - 0.5 * within);
}

double f_below(double below, double numerator_freedom, double denominator_freedom) {
    return boost::math::quantile(
        boost::math::fisher_f_distribution<double, Quiet>(numerator_freedom, denominator_freedom), below);
}

double chi_squared_below(double below, double freedom) {
    return boost::math::quantile(boost::math::chi_squared_distribution<double, Quiet>(freedom), below);
}

double normal_below(double below) {
    return boost::math::quantile(boost::math::normal_distribution<double, Quiet>(), below);
}

}  // namespace archwright::statistic
