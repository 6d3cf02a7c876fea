// What matches of a photograph may prove, and what they may not: said twice, nonsense, mirrored, exact.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>

#include "engine/mark/photograph.hpp"
#include "tests/mark/camera.hpp"
#include "tests/mark/inked_foot.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using Catch::Contains;
using generator::Random;
using mark::Match;
using mark::Shown;
using mark::View;

namespace {

constexpr std::size_t wide_px = 3000, high_px = 2000;

tests::InkedFoot any_foot(std::uint64_t seed) {
    tests::InkAsked asked;
    asked.triangles = 40'000;
    for (;; ++seed)
        if (auto foot = tests::inked_foot(seed, asked)) return std::move(*foot);
}

/// The same in the cast file's own coordinates, as they are typed.
std::vector<Match> typed(const foot::Standing& standing, std::vector<Match> matches) {
    for (Match& m : matches) m.point /= standing.frame.mm_per_unit;
    return matches;
}

std::vector<Match> mirrored(std::vector<Match> matches) {
    for (Match& m : matches) m.pixel.x() = static_cast<double>(wide_px) - m.pixel.x();
    return matches;
}

Vec3 up_of(const foot::Standing& standing) {
    return mark::to_view(standing, Vec3::UnitZ()) - mark::to_view(standing, Vec3::Zero());
}

}  // namespace

TEST_CASE("What is said twice proves no more than said once", "[unsanitized]") {
    const auto foot = any_foot(tests::seed() + 40);
    Random random(tests::seed(), 95);
    const View camera = tests::random_camera(random, foot.standing, wide_px, high_px);
    const auto ten = tests::clicked(foot.standing, camera, 10, 0.3, random);
    REQUIRE(ten.size() == 10);
    const Vec3 up = up_of(foot.standing);
    // three places, each pointed at twice: to the letter, and with the hand's shake
    for (const double shake : {0.0, 0.4}) {
        std::vector<Match> six{ten[0], ten[3], ten[6], ten[0], ten[3], ten[6]};
        for (std::size_t k = 3; k < 6; ++k) {
            six[k].pixel += shake * Vec2(1.0, -1.0);
            six[k].point += shake * Vec3(1.0, 1.0, 0.0);
        }
        const auto fitted = mark::fit_view(six, up, wide_px, high_px);
        REQUIRE(fitted.ok());
        CHECK(fitted->view.model == View::Model::parallel);
        CHECK(fitted->matches.size() == 3);
        CHECK(fitted->numbers == std::vector<std::size_t>{1, 2, 3});
        CHECK(fitted->left_out_mm.empty());
        CHECK(fitted->check.verdict == Verdict::look);
        CHECK_THAT(fitted->check.message,
                   Contains("The 3 matched points") && Contains("3 matches say the same"));
    }
    // ten places, the first said again: the same camera, and numbers of those that were given
    std::vector<Match> more{ten[0]};
    more.insert(more.end(), ten.begin(), ten.end());
    const auto once = mark::fit_view(ten, up, wide_px, high_px),
               again = mark::fit_view(more, up, wide_px, high_px);
    REQUIRE((once.ok() && again.ok()));
    CHECK(again->numbers == std::vector<std::size_t>{1, 3, 4, 5, 6, 7, 8, 9, 10, 11});
    CHECK(again->rms_mm == Approx(once->rms_mm).margin(1e-9));
    CHECK(again->left_out_mm.size() == 10);
    // one place three times is one place
    const auto one = mark::fit_view({ten[0], ten[0], ten[0], ten[4]}, up, wide_px, high_px);
    REQUIRE_FALSE(one.ok());
    CHECK_THAT(one.fault().message, Contains("there are 4, in two places"));
    // what contradicts is not the same: one pixel said to be two places
    auto torn = ten;
    torn.push_back({ten[0].pixel, ten[5].point});
    CHECK(mark::fit_view(torn, up, wide_px, high_px)->matches.size() == 11);
}

TEST_CASE("Good matches hold, nonsense is refused, and so is a mirrored picture", "[unsanitized]") {
    const int count = tests::cases(30, 3, "photographs, good, mirrored and nonsense");
    int nonsense = 0, refused = 0, three = 0, three_refused = 0;
    double worst_good = 0.0, least_bad = 1e9;
    for (int k = 0; k < count; ++k) {
        const auto foot = any_foot(tests::seed() + 50 + static_cast<std::uint64_t>(k));
        const foot::Standing& standing = foot.standing;
        Random random(tests::seed() + static_cast<std::uint64_t>(k), 96);
        for (const int n : {3, 4, 5, 6, 8, 10}) {
            const View camera = tests::random_camera(random, standing, wide_px, high_px);
            auto matches = tests::clicked(standing, camera, std::max(n, 4), 0.7, random);
            if (n == 3) matches.pop_back();  // the one in the middle: three all round
            const auto file = typed(standing, matches);
            const auto fit = [&](const std::vector<Match>& m, Shown shown) {
                return mark::fit_photograph(standing, m, shown, wide_px, high_px);
            };
            INFO("seed " << tests::seed() + 50 + static_cast<std::uint64_t>(k) << ", " << n << " matches");
            const auto good = fit(file, Shown::outside);
            if (!good.ok()) FAIL(good.fault().message);
            worst_good = std::max(worst_good, good->rms_mm);
            // the camera of a foot looks at its outside; one that looks into a negative sees it the other way
            const auto through = fit(file, Shown::inside);
            REQUIRE_FALSE(through.ok());
            CHECK_THAT(through.fault().message, Contains("--inside"));
            const auto turned = fit(mirrored(file), Shown::outside);
            REQUIRE_FALSE(turned.ok());
            CHECK(turned.fault().kind != FaultKind::cancelled);
            if (turned.fault().kind == FaultKind::usage)
                CHECK_THAT(turned.fault().message, Contains("mirrored") && Contains("--inside"));
            // points that were seen in other places than the pixels named
            auto wild = file;
            for (Match& m : wild)
                m.pixel =
                    Vec2{random.between(200.0, wide_px - 200.0), random.between(200.0, high_px - 200.0)};
            const auto nothing = fit(wild, Shown::outside);
            if (n == 3) {  // these are met whatever they say
                ++three;
                if (!nothing.ok())
                    ++three_refused;
                else
                    CHECK(nothing->check.verdict == Verdict::look);
                continue;
            }
            ++nonsense;
            if (!nothing.ok()) ++refused;
            if (!nothing.ok() && nothing.fault().kind == FaultKind::check)
                CHECK_THAT(nothing.fault().message, Contains("look at every match"));
            const auto raw = mark::fit_view(
                [&] {
                    auto in_view = wild;
                    for (Match& m : in_view) m.point *= standing.frame.mm_per_unit;
                    return in_view;
                }(),
                up_of(standing), wide_px, high_px);
            REQUIRE(raw.ok());
            if (n > 5) least_bad = std::min(least_bad, raw->rms_mm);
        }
    }
    std::printf(
        "matches of 0.7 mm: rms %.2f mm at most; nonsense: %.1f mm at least with 6 matches and more, refused "
        "%d of %d; of three "
        "matches %d of %d\n",
        worst_good, least_bad, refused, nonsense, three_refused, three);
    CHECK(tests::share_holds(refused, nonsense, 0.99));
}

TEST_CASE("A negative photographed from inside holds where it is said to be one") {
    const auto foot = any_foot(tests::seed() + 41);
    Random random(tests::seed(), 97);
    View camera = tests::random_camera(random, foot.standing, wide_px, high_px);
    // the same camera above the sole, looking down into the cast: half a turn about its own x
    const Vec3 target = mark::to_view(foot.standing, Vec3(0.33 * foot.standing.foot_length_mm, 0.0, 0.0));
    camera.rotation.row(1) *= -1.0;
    camera.rotation.row(2) *= -1.0;
    camera.translation = Vec3(0, 0, 450.0) - camera.rotation * target;
    const auto file = typed(foot.standing, tests::clicked(foot.standing, camera, 10, 0.3, random));
    REQUIRE(file.size() >= 8);
    const auto inside = mark::fit_photograph(foot.standing, file, Shown::inside, wide_px, high_px);
    if (!inside.ok()) FAIL(inside.fault().message);
    CHECK(inside->rms_mm < 1.0);
    CHECK_FALSE(mark::fit_photograph(foot.standing, file, Shown::outside, wide_px, high_px).ok());
}

TEST_CASE("Exact matches of any usual lens pass, and none is called off", "[unsanitized]") {
    const int count = tests::cases(20, 3, "exact photographs");
    double rms = 0.0, worst = 0.0;
    for (int k = 0; k < count; ++k) {
        const auto foot = any_foot(tests::seed() + 60 + static_cast<std::uint64_t>(k));
        Random random(tests::seed() + static_cast<std::uint64_t>(k), 98);
        View camera = tests::random_camera(random, foot.standing, wide_px, high_px);
        // from wide to a short telephoto: what a usual camera is believed to be must not count against it
        camera.focal_px = 0.8 * static_cast<double>(wide_px) * random.between(0.8, 1.8);
        camera.radial = 0.0;
        const Vec3 target = mark::to_view(foot.standing, Vec3(0.33 * foot.standing.foot_length_mm, 0, 0));
        camera.translation = Vec3(0, 0, 450.0 * camera.focal_px / (0.8 * static_cast<double>(wide_px))) -
                             camera.rotation * target;
        const auto matches = tests::clicked(foot.standing, camera, 10, 0.0, random, 0.1);
        REQUIRE(matches.size() == 10);
        const auto fitted = mark::fit_view(matches, up_of(foot.standing), wide_px, high_px);
        REQUIRE(fitted.ok());
        INFO("seed " << tests::seed() + 60 + static_cast<std::uint64_t>(k) << ": " << fitted->check.message);
        rms = std::max(rms, fitted->rms_mm);
        worst = std::max(worst, *fitted->check.figure);
        CHECK(fitted->rms_mm < 0.1);
        CHECK(fitted->check.verdict == Verdict::pass);
    }
    std::printf("10 matches exact to 0.1 px: rms %.3f mm at most, left out %.2f mm at most\n", rms, worst);
}

TEST_CASE("Matching a photograph tells how far it is, and can be cancelled", "[unsanitized]") {
    const auto foot = any_foot(tests::seed() + 42);
    Random random(tests::seed(), 99);
    const View camera = tests::random_camera(random, foot.standing, wide_px, high_px);
    const auto matches = tests::clicked(foot.standing, camera, 6, 0.3, random);
    int told = 0;
    double last = 0.0;
    bool rises = true;
    Progress progress([&](std::string_view, double fraction) {
        ++told;
        rises = rises && fraction >= last;
        last = fraction;
        if (told == 3) progress.cancel();
    });
    const auto stopped = mark::fit_view(matches, up_of(foot.standing), wide_px, high_px, &progress);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.fault().kind == FaultKind::cancelled);
    CHECK(told == 3);
    CHECK(rises);
    int all = 0;
    Progress whole([&](std::string_view, double fraction) {
        ++all;
        last = fraction;
    });
    CHECK(mark::fit_view(matches, up_of(foot.standing), wide_px, high_px, &whole).ok());
    CHECK(all == static_cast<int>(matches.size()) + 2);
    CHECK(last == 1.0);
}

TEST_CASE("Places off the cast are found with their distance") {
    const auto foot = any_foot(tests::seed() + 43);
    const foot::Standing& standing = foot.standing;
    const Vec3 on = standing.mesh.points[standing.mesh.points.size() / 2];
    const Vec3 off(on.x(), on.y(), -80.0);  // the cast stands on z = 0
    const auto file = [&](const Vec3& p) { return standing.frame.to_scan(p); };
    CHECK_FALSE(mark::off_cast(standing, {file(on)}));
    const auto found = mark::off_cast(standing, {file(on), file(off)});
    REQUIRE(found);
    CHECK(found->which == 1);
    CHECK(found->distance_mm >= 80.0);
    CHECK(found->distance_mm <= (off - on).norm() + 1e-9);
    Random random(tests::seed(), 100);
    const View camera = tests::random_camera(random, standing, wide_px, high_px);
    auto matches = typed(standing, tests::clicked(standing, camera, 8, 0.0, random));
    matches[4].point = file(off);
    const auto fitted = mark::fit_photograph(standing, matches, Shown::outside, wide_px, high_px);
    REQUIRE_FALSE(fitted.ok());
    CHECK_THAT(fitted.fault().message, Contains("match 5") && Contains("mm from the cast"));
}
