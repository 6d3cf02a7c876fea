// Figures of a section: none that is flagged is dropped, and they keep apart. The bar on the page is true.
#include <algorithm>
#include <catch2/catch.hpp>
#include <random>

#include "engine/base/tolerances.hpp"
#include "engine/picture/board.hpp"
#include "tests/picture/synthetic.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::picture;

TEST_CASE("figures keep apart and lie as near to their places as may be") {
    const int count = tests::cases(20000, 2000, "rows of figures");
    std::mt19937_64 random(tests::seed());
    std::uniform_int_distribution<int> how_many(1, 14);
    std::uniform_real_distribution<double> at(-40, 640);
    for (int i = 0; i < count; ++i) {
        std::vector<double> wanted(static_cast<std::size_t>(how_many(random)));
        for (double& w : wanted) w = at(random);
        std::sort(wanted.begin(), wanted.end());
        const double low = 20, high = 580, apart = 31;
        const std::vector<double> stand = spread(wanted, apart, low, high);
        REQUIRE(stand.size() == wanted.size());
        double worth = 0;
        for (std::size_t k = 0; k < stand.size(); ++k) {
            CHECK(stand[k] >= low - 1e-9);
            CHECK(stand[k] <= high + 1e-9);
            if (k > 0) CHECK(stand[k] - stand[k - 1] >= apart - 1e-9);
            worth += (stand[k] - wanted[k]) * (stand[k] - wanted[k]);
        }
        // no other row that was tried does better
        for (int trial = 0; trial < 8; ++trial) {
            std::vector<double> other = stand;
            for (double& x : other) x += std::uniform_real_distribution<double>(-12, 12)(random);
            std::sort(other.begin(), other.end());
            bool valid = other.front() >= low && other.back() <= high;
            double cost = 0;
            for (std::size_t k = 0; k < other.size(); ++k) {
                if (k > 0 && other[k] - other[k - 1] < apart) valid = false;
                cost += (other[k] - wanted[k]) * (other[k] - wanted[k]);
            }
            if (valid) CHECK(cost >= worth - 1e-6);
        }
        const auto free = spread({100, 200, 300}, apart, low, high);
        CHECK(free == std::vector<double>{100, 200, 300});
    }
    // more than there is room for: even, and still in order
    std::vector<double> crowd(40, 100.0);
    const auto even = spread(crowd, 31, 0, 390);
    CHECK(even.front() == Approx(0));
    CHECK(even.back() == Approx(390));
}

TEST_CASE("every stretch of a section that is too thin has its figure, however near to another") {
    const TriangleMesh cast = synthetic::foot();
    const synthetic::Device device = synthetic::device(cast, 150.0, 14.0);
    PictureInput input;
    input.cast = &cast;
    input.shell = &device.shell;
    input.shell_mesh = &device.mesh;
    input.base_wall_mm = 3.2;
    std::size_t thin_ones = 0;
    for (const double least : {0.0, 2.2, 3.0, 3.25}) {
        input.minimum_wall_mm = least;
        const Subject subject(input);
        for (const SectionCut& cut : subject.cuts())
            for (const double apart : {10.0, 40.0}) {
                const auto figures = wall_figures(subject, cut, apart);
                REQUIRE_FALSE(figures.empty());
                for (std::size_t i = 1; i < figures.size(); ++i) {
                    const double gap =
                        std::abs(cut.across(figures[i].foot_side) - cut.across(figures[i - 1].foot_side));
                    const bool both =
                        too_thin(subject, figures[i].wall_mm) && too_thin(subject, figures[i - 1].wall_mm);
                    if (!both) CHECK(gap >= apart - 1e-9);
                }
                // walk the foot side: from one sound place to the next there is a figure of the thin stretch
                for (const Chain& chain : cut_section(subject.shell(), cut, subject.foot_side())) {
                    const double clear = 1.5 * input.base_wall_mm, length = chain.length();
                    double travelled = 0;
                    bool open = false, shown = false;
                    for (std::size_t i = 1; i < chain.points.size(); ++i) {
                        travelled += (chain.points[i] - chain.points[i - 1]).norm();
                        if (travelled < clear + 2 || travelled > length - clear - 2) continue;
                        const bool thin = too_thin(subject, subject.wall_at(chain.points[i]).wall_mm - 0.02);
                        if (thin) {
                            open = true;
                            for (const WallFigure& f : figures)
                                if ((f.foot_side - chain.points[i]).norm() < 3.0 &&
                                    too_thin(subject, f.wall_mm))
                                    shown = true;
                        }
                        if (!thin && open) {
                            // stretches shorter than the step of the candidates may be passed over
                            if (shown) ++thin_ones;
                            open = shown = false;
                        }
                    }
                }
            }
    }
    CHECK(thin_ones > 0);
}

TEST_CASE("the bar on the page is as long as it says, within a pixel") {
    for (const double scale : {1.0, 1.5, 2.0})
        for (const double per_mm : {1.37, 2.0, 3.3, 6.1}) {
            Canvas canvas(300, 60, scale, Colour::hex(0xFFFFFF));
            const Theme& t = theme(false);
            draw_scale_bar(canvas, {290, 50}, 124, t, per_mm);
            const Image image = canvas.take();
            // the longest run of ink in any row
            int longest = 0;
            for (int y = 0; y < image.height; ++y) {
                int run = 0;
                for (int x = 0; x < image.width; ++x) {
                    const std::uint32_t p = image.pixels[static_cast<std::size_t>(y * image.width + x)];
                    run = ((p >> 8) & 255u) < 140 ? run + 1 : 0;
                    longest = std::max(longest, run);
                }
            }
            INFO(scale << " at " << per_mm);
            CHECK(std::abs(longest - scale_bar_mm(per_mm, 124) * per_mm * scale) <= 1.0);
        }
}

TEST_CASE("seen from below the plan is turned over") {
    const TriangleMesh cast = synthetic::foot();
    PictureInput input;
    input.cast = &cast;
    for (const Side side : {Side::left, Side::right}) {
        input.side = side;
        const Subject subject(input);
        const PlanFrame above = plan_frame({0, 0, 300, 500}, subject),
                        below = plan_frame({0, 0, 300, 500}, subject, true);
        CHECK(above.axes.sign == -below.axes.sign);
        CHECK(above.axes.scale == below.axes.scale);
        // medial of a right foot lies left from above
        CHECK((above.axes.at(20, 50).x() < above.axes.at(0, 50).x()) == (side == Side::right));
    }
}
