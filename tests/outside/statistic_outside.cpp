// The statistics of repeated measurements by other people's programs: R's package psych on random tables, and
// R's own quantiles.
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <iostream>
#include <random>
#include <sstream>

#include "engine/base/text.hpp"
#include "engine/statistic/components.hpp"
#include "engine/statistic/distribution.hpp"
#include "engine/statistic/icc.hpp"
#include "tests/outside/programs.hpp"
#include "tests/statistic/normal.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::tests;

namespace {

/// Numbers on the line of R's output that begins with this word.
std::vector<double> line_of(const std::string& text, const std::string& word) {
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        if (line.rfind(word + " ", 0) != 0) continue;
        std::istringstream words(line.substr(word.size()));
        std::vector<double> numbers;
        for (std::string one; words >> one;)
            if (const auto number = parse_number(one)) numbers.push_back(*number);
        return numbers;
    }
    return {};
}

bool has_package(const std::string& name, const std::filesystem::path& folder) {
    if (!installed("Rscript")) return false;
    const std::string said =
        output_of("Rscript -e 'cat(requireNamespace(\"" + name + "\", quietly = TRUE))' 2>/dev/null", folder);
    if (said.find("TRUE") != std::string::npos) return true;
    skipped("R's package " + name + " not installed");
    return false;
}

}  // namespace

TEST_CASE("intraclass correlations and their limits are those of R's psych on random tables") {
    const TemporaryFolder folder;
    if (!has_package("psych", folder.path())) return;
    const int rounds = cases(200, 25, "random tables of targets and raters");
    std::vector<Eigen::MatrixXd> tables;
    std::ofstream script(folder.path() / "icc.R");
    script << "suppressMessages(library(psych))\noptions(digits = 17)\n";
    for (int round = 0; round < rounds; ++round) {
        std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
        const int targets = 3 + static_cast<int>(uniform(random, 0.0, 18.0));
        const int raters = 2 + static_cast<int>(uniform(random, 0.0, 5.0));
        const double rater_sd = uniform(random, 0.0, 2.0);
        Eigen::MatrixXd table(targets, raters);
        std::vector<double> bias;
        for (int j = 0; j < raters; ++j) bias.push_back(rater_sd * polar_normal(random));
        for (int i = 0; i < targets; ++i) {
            const double own = 3.0 * polar_normal(random);
            for (int j = 0; j < raters; ++j)
                table(i, j) = own + bias[static_cast<std::size_t>(j)] + polar_normal(random);
        }
        script << "x <- ICC(matrix(c(";
        for (int i = 0; i < targets; ++i)
            for (int j = 0; j < raters; ++j) script << (i + j > 0 ? "," : "") << exact(table(i, j));
        script << "), ncol = " << raters << ", byrow = TRUE), lmer = FALSE)$results\ncat('T" << round
               << "', format(c(x$ICC, x$`lower bound`, x$`upper bound`), digits = 17), '\\n')\n";
        tables.push_back(std::move(table));
    }
    script.close();
    const std::string said = output_of("Rscript icc.R 2>&1", folder.path());
    double worst = 0.0;
    for (int round = 0; round < rounds; ++round) {
        const std::vector<double> theirs = line_of(said, "T" + std::to_string(round));
        INFO(said.substr(0, 600));
        REQUIRE(theirs.size() == 18);
        const statistic::IntraclassCorrelations ours =
            statistic::intraclass_correlations(tables[static_cast<std::size_t>(round)], 0.95);
        // theirs come as ICC1, ICC2, ICC3, ICC1k, ICC2k, ICC3k
        for (std::size_t i = 0; i < 6; ++i) {
            CHECK(ours.all()[i]->value == Approx(theirs[i]).margin(1e-9));
            CHECK(ours.all()[i]->low == Approx(theirs[6 + i]).margin(1e-6));
            CHECK(ours.all()[i]->high == Approx(theirs[12 + i]).margin(1e-6));
            worst = std::max(worst, std::abs(ours.all()[i]->value - theirs[i]));
        }
    }
    std::cout << "psych: " << rounds << " tables, correlations differ by at most " << worst << "\n";
}

TEST_CASE("quantiles are those of R") {
    const TemporaryFolder folder;
    if (!installed("Rscript")) return;
    std::ofstream(folder.path() / "q.R")
        << "options(digits = 17)\n"
           "cat('t', format(qt(c(.975, .995, .75), c(4.6, .7, 33)), digits = 17), '\\n')\n"
           "cat('f', format(qf(c(.975, .025, .5), c(3, 17.3, 1), c(8.2, 4, 1)), digits = 17), '\\n')\n"
           "cat('c', format(qchisq(c(.025, .975, .95), c(2.5, 40, 1)), digits = 17), '\\n')\n";
    const std::string said = output_of("Rscript q.R 2>&1", folder.path());
    const auto t = line_of(said, "t"), f = line_of(said, "f"), c = line_of(said, "c");
    INFO(said);
    REQUIRE(t.size() == 3);
    REQUIRE(f.size() == 3);
    REQUIRE(c.size() == 3);
    CHECK(statistic::student_t(0.95, 4.6) == Approx(t[0]).epsilon(1e-9));
    CHECK(statistic::student_t(0.99, 0.7) == Approx(t[1]).epsilon(1e-9));
    CHECK(statistic::student_t(0.5, 33.0) == Approx(t[2]).epsilon(1e-9));
    CHECK(statistic::f_below(0.975, 3.0, 8.2) == Approx(f[0]).epsilon(1e-9));
    CHECK(statistic::f_below(0.025, 17.3, 4.0) == Approx(f[1]).epsilon(1e-9));
    CHECK(statistic::f_below(0.5, 1.0, 1.0) == Approx(f[2]).epsilon(1e-9));
    CHECK(statistic::chi_squared_below(0.025, 2.5) == Approx(c[0]).epsilon(1e-9));
    CHECK(statistic::chi_squared_below(0.975, 40.0) == Approx(c[1]).epsilon(1e-9));
    CHECK(statistic::chi_squared_below(0.95, 1.0) == Approx(c[2]).epsilon(1e-9));
}

TEST_CASE("variance components of tables with gaps are those of R's nlme, by restricted likelihood") {
    // nlme comes with psych; foot and person within foot, nested, is what it does without tricks
    const TemporaryFolder folder;
    if (!has_package("nlme", folder.path())) return;
    const int rounds = cases(40, 8, "nested tables with gaps");
    std::ofstream script(folder.path() / "lme.R");
    script << "suppressMessages(library(nlme))\noptions(digits = 17)\n";
    std::vector<statistic::Components> ours;
    for (int round = 0; round < rounds; ++round) {
        std::mt19937_64 random(seed() + 300 + static_cast<std::uint64_t>(round));
        std::vector<double> values;
        std::vector<statistic::Source> sources{{"foot", {}}, {"person", {}}};
        std::string y, foot, person;
        for (int f = 0; f < 6; ++f) {
            const double of_foot = 3.0 * polar_normal(random);
            for (int p = 0; p < 3; ++p) {
                const double of_person = 1.5 * polar_normal(random);
                for (int r = 0; r < 4; ++r) {
                    const double value = 20.0 + of_foot + of_person + polar_normal(random);
                    if (uniform(random, 0.0, 1.0) < 0.2) continue;
                    values.push_back(value);
                    sources[0].level.push_back(f);
                    sources[1].level.push_back(3 * f + p);
                    const std::string comma = y.empty() ? "" : ",";
                    y += comma + exact(value);
                    foot += comma + std::to_string(f);
                    person += comma + std::to_string(3 * f + p);
                }
            }
        }
        ours.push_back(statistic::components(values, sources, 0.95));
        script << "d <- data.frame(y = c(" << y << "), f = factor(c(" << foot << ")), p = factor(c(" << person
               << ")))\nm <- lme(y ~ 1, random = ~ 1 | f/p, data = d, method = 'REML', control = "
                  "lmeControl(msTol = 1e-12, tolerance = 1e-10, msMaxIter = 500))\nv <- VarCorr(m)\ncat('L"
               << round << "', v[2, 1], v[4, 1], v[5, 1], format(fixef(m), digits = 17), '\\n')\n";
    }
    script.close();
    const std::string said = output_of("Rscript lme.R 2>&1", folder.path());
    for (int round = 0; round < rounds; ++round) {
        const std::vector<double> theirs = line_of(said, "L" + std::to_string(round));
        INFO(said.substr(0, 600));
        REQUIRE(theirs.size() == 4);
        const statistic::Components& mine = ours[static_cast<std::size_t>(round)];
        // VarCorr prints five digits or so
        for (std::size_t i = 0; i < 3; ++i)
            CHECK(mine.parts[i].variance.value == Approx(theirs[i]).epsilon(2e-3).margin(2e-3));
        CHECK(mine.mean == Approx(theirs[3]).epsilon(1e-4));
    }
}
