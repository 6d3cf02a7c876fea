// Trial walls against whole devices, and the adjoint against differences.
#include "engine/ask/adjoint.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>

#include "assets/generator/random.hpp"
#include "engine/ask/search.hpp"
#include "engine/surface/post.hpp"
#include "tests/ask/asked_device.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::ask;
using namespace archwright::tests;

namespace {

constexpr double coarse_mm = 7.0;

Loading loading_on(const Trial& trial, flex::LoadCase load_case, double load, double friction) {
    Loading loading;
    loading.load_case = load_case;
    loading.load = load;
    loading.preload = flex::on_ground(load_case) ? 0.05 * load : 0.0;
    loading.support.friction = friction;
    loading.placed =
        flex::place_load(*trial.subject().rule, trial.built_body()->middle.model, load_case, Vec2::Zero());
    return loading;
}

}  // namespace

TEST_CASE("under another wall a trial is what the device built with it is") {
    for (const double post_deg : {0.0, 3.0}) {
        CAPTURE(post_deg);
        const auto device = asked_device(11, post_deg);
        REQUIRE(device);
        const auto trial = Trial::of(device->built, device->foot, device->subject(), coarse_mm, nullptr);
        REQUIRE(trial);
        const auto same = trial->middle(device->foot.wall);
        REQUIRE(same);
        for (std::size_t p = 0; p < same->uv.size(); ++p) {
            CHECK((same->model.points[p] - trial->built_body()->middle.model.points[p]).norm() < 1e-9);
            CHECK(same->model.wall_mm[p] ==
                  Approx(trial->built_body()->middle.model.wall_mm[p]).margin(1e-9));
            CHECK((same->place[p] - trial->built_body()->middle.place[p]).norm() < 1e-9);
        }
        design::Wall other = device->foot.wall;
        other.base_mm = 3.5;
        other.regions[0].wall_mm = 2.6;
        other.lateral_column.rigidity = 2.2;
        const auto built = device->with(other);
        REQUIRE(built);
        const auto tried = trial->middle(other);
        REQUIRE(tried);
        // the middle of the device built with it, at the same (u,v)
        double off_wall = 0.0, off_place = 0.0, off_point = 0.0, changed = 0.0;
        const surface::Shell& shell = built->shelled->shell;
        for (std::size_t p = 0; p < tried->uv.size(); ++p) {
            const surface::SurfacePoint foot = shell.foot_side.first(tried->uv[p]),
                                        under = shell.underside.first(tried->uv[p]);
            const Vec3 normal = (foot.normal() + under.normal()).normalized();
            off_point = std::max(off_point, (0.5 * (foot.s + under.s) - tried->model.points[p]).norm());
            if (tried->on_post[p]) continue;
            const double wall = (foot.s - under.s).dot(normal);
            off_wall = std::max(off_wall, std::abs(wall - tried->model.wall_mm[p]));
            off_place = std::max(off_place, (under.s - tried->place[p]).norm());
            changed = std::max(changed, std::abs(wall - trial->built_body()->middle.model.wall_mm[p]));
        }
        INFO("wall off by " << off_wall << ", place " << off_place << ", middle " << off_point << " mm, of "
                            << changed);
        CHECK(changed > 0.6);
        CHECK(off_wall < 0.04);  // both sides of it are fitted to 0.015 mm, blends to 0.045
        CHECK(off_place < 0.04);
        CHECK(off_point < 0.02);
        if (post_deg != 0.0) {
            REQUIRE(shell.posts.size() == 1);
            double off_floor = 0.0;
            std::size_t on_post = 0;
            for (std::size_t p = 0; p < tried->uv.size(); ++p)
                if (tried->on_post[p]) {
                    ++on_post;
                    off_floor = std::max(
                        off_floor, std::abs(surface::height_above_floor(shell.posts[0], tried->place[p])));
                }
            INFO("floor off by " << off_floor << " mm");
            REQUIRE(on_post > 10);
            CHECK(off_floor < 0.05);
        }
    }
}

TEST_CASE("the adjoint says what differences of whole answers say, contact and friction in it") {
    const int count = cases(60, 6, "slopes of stiffness");
    generator::Random random(seed() + 77);
    const auto below = [&](int most) { return static_cast<int>(random.between(0.0, most)); };
    int compared = 0, kinks = 0, devices = 0, far = 0;
    double worst = 0.0;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t number = 1 + static_cast<std::uint64_t>(below(40));
        const double post = below(3) == 0 ? 3.0 : 0.0;
        const double friction = below(3) == 0 ? 0.0 : 0.15 + 0.4 * random.uniform();
        const double load_n = 30.0 + 150.0 * random.uniform();
        const auto load_case = flex::all_load_cases[below(5)];
        const bool bed = below(4) == 0;
        CAPTURE(i, number, post, friction, load_n, flex::key(load_case), bed);
        const auto device = asked_device(number, post);
        if (!device) continue;
        ++devices;
        const auto trial = Trial::of(device->built, device->foot, device->subject(), coarse_mm, nullptr);
        REQUIRE(trial);
        Loading loading = loading_on(*trial, load_case, load_n, friction);
        if (bed) loading.support.bed_n_mm3 = 1.0;
        loading.far = below(2) == 0;
        CAPTURE(loading.far);
        const auto course = take_course(trial->subject(), trial->built_body(), loading, nullptr, nullptr);
        if (!course) continue;  // a load that tips it, or under which it does not give
        far += loading.far;
        const auto adjoint = Adjoint::of(*course, loading, nullptr);
        REQUIRE(adjoint);
        Question question;
        question.walls = {{"base", {}, {}}, {"arch", {}, {}}, {"lateral_column", {}, {}}};
        const auto asked = asked_walls(question, device->foot.wall, device->built.shelled->material);
        REQUIRE(asked);
        for (std::size_t w = 0; w < asked->size(); ++w) {
            CAPTURE((*asked)[w].name);
            const double width = 2e-4 * (*asked)[w].now;
            const BodyAt at = [&](double change) {
                std::vector<double> values;
                for (const AskedWall& one : *asked) values.push_back(one.now);
                values[w] += change;
                return trial->body(with_values(device->foot.wall, *asked, values), nullptr);
            };
            const auto slope = adjoint->log_slope(trial->subject(), at, width);
            REQUIRE(slope);
            std::optional<Course> sides[2];
            for (int side = 0; side < 2; ++side) {
                const auto body = at(side == 0 ? width : -width);
                REQUIRE(body);
                auto found = take_course(trial->subject(), *body, loading, &*course, nullptr);
                INFO((found ? std::string() : found.fault().message));
                REQUIRE(found);
                sides[side] = std::move(*found);
            }
            if (sides[0]->state() != course->state() || sides[1]->state() != course->state()) {
                ++kinks;
                continue;
            }
            ++compared;
            const double difference = std::log(sides[0]->stiffness / sides[1]->stiffness) / (2.0 * width);
            const double off = std::abs(*slope - difference) / std::max(std::abs(difference), 0.02);
            worst = std::max(worst, off);
            INFO("adjoint " << *slope << ", difference " << difference);
            CHECK(off < 0.005);
        }
    }
    std::printf("adjoint: %d slopes on %d devices compared, worst %.3f %%; %d kinks left out\n", compared,
                devices, 100.0 * worst, kinks);
    CHECK(compared > 2 * kinks / 3);
    if (count >= 6) CHECK(far > 0);
    CHECK(compared > 0);
}
