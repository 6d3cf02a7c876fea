// Distributions against printed tables and closed forms.
#include "engine/statistic/distribution.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace archwright::statistic;

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
        CHECK(student_within(t, 1.0) == Approx(2.0 / std::numbers::pi * std::atan(t)).epsilon(1e-10));
        CHECK(student_within(t, 2.0) == Approx(t / std::sqrt(2.0 + t * t)).epsilon(1e-10));
    }
}

TEST_CASE("Student's t of broken and least freedom is the inverse of its own probability") {
    for (const double freedom : {0.5, 0.7, 1.3, 4.6, 57.25, 200.0})
        for (const double within : {0.01, 0.5, 0.9, 0.95, 0.999})
            CHECK(student_within(student_t(within, freedom), freedom) == Approx(within).epsilon(1e-10));
}

TEST_CASE("F, chi squared and normal are those of the tables") {
    // upper 5 % and 1 %: R. A. Fisher and F. Yates, Statistical Tables, table V, to the digits printed there
    struct Printed {
        double one, two, five, hundredth;
    };
    for (const Printed& p :
         {Printed{1, 1, 161.4, 4052}, Printed{1, 10, 4.96, 10.04}, Printed{3, 4, 6.59, 16.69},
          Printed{5, 15, 2.90, 4.56}, Printed{24, 60, 1.70, 2.12}}) {
        CHECK(f_below(0.95, p.one, p.two) == Approx(p.five).epsilon(0.003));
        CHECK(f_below(0.99, p.one, p.two) == Approx(p.hundredth).epsilon(0.003));
    }
    // one over F with its freedoms exchanged; t squared is F of one
    CHECK(f_below(0.025, 5.0, 18.7) == Approx(1.0 / f_below(0.975, 18.7, 5.0)).epsilon(1e-10));
    CHECK(f_below(0.95, 1.0, 7.0) == Approx(std::pow(student_t(0.95, 7.0), 2)).epsilon(1e-10));
    // chi squared, table IV; of two degrees -2 log(1 - p)
    CHECK(chi_squared_below(0.95, 1.0) == Approx(3.841).margin(0.0005));
    CHECK(chi_squared_below(0.05, 10.0) == Approx(3.940).margin(0.0005));
    for (const double p : {0.01, 0.3, 0.95})
        CHECK(chi_squared_below(p, 2.0) == Approx(-2.0 * std::log1p(-p)).epsilon(1e-12));
    CHECK(normal_below(0.975) == Approx(1.959964).margin(5e-7));
    CHECK(normal_below(0.2) == Approx(-normal_below(0.8)).epsilon(1e-12));
}
