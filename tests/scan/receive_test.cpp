// What is in this file? Real feet in random rotations, generated casts whose truth is known, refusals.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <random>

#include "assets/generator/cast.hpp"
#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;
using generator::CastSpec;

namespace {

double angle(const Vec3& a, const Vec3& b) {
    return degrees(std::acos(std::clamp(a.normalized().dot(b.normalized()), -1.0, 1.0)));
}

const Check& check_of(const scan::Reception& r, const std::string& id) {
    for (const Check& c : r.checks)
        if (c.id == id) return c;
    FAIL("no check " << id);
    return r.checks.front();
}

struct Made {
    generator::Foot foot;
    generator::Cast cast;
    TriangleMesh mesh;  ///< cleaned
};

/// The cast of a random foot; nothing where that foot cannot be made.
std::optional<Made> make(std::uint64_t seed, CastSpec spec,
                         const std::function<void(CastSpec&, const generator::FootShape&)>& set = {}) {
    const auto foot = generator::Foot::make(generator::under_plaster(generator::random_foot(seed)));
    if (!foot) return std::nullopt;
    spec.rotation = tests::random_rotation(seed);
    if (set) set(spec, foot->shape());
    auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    TriangleMesh mesh = scan::clean(cast->mesh).mesh;
    return Made{*foot, std::move(*cast), std::move(mesh)};
}

Vec3 direction(const Made& made, const Vec3& design) {
    return (made.cast.design_to_file.block<3, 3>(0, 0) * design).normalized();
}

/// Counts of what was found right.
struct Score {
    int cases = 0, unit = 0, up = 0, toes = 0, side = 0, inside = 0, clear = 0;

    void add(const scan::Reception& r, LengthUnit unit_, const Vec3& up_, const Vec3& toes_, Side side_,
             bool inside_) {
        ++cases;
        unit += r.unit.clear && r.unit.value == unit_;
        up += angle(r.up.value, up_) < 20.0;
        toes += r.toes.value.dot(toes_.normalized()) > 0.7;
        side += r.side.value == side_;
        inside += r.inside_out.value == inside_;
        clear += r.unit.clear && r.up.clear && r.toes.clear && r.side.clear && r.inside_out.clear;
    }
    void print(const std::string& what) const {
        std::printf("%s: of %d: unit %d, up %d, toes %d, side %d, inside-out %d, all clear %d\n",
                    what.c_str(), cases, unit, up, toes, side, inside, clear);
    }
    void require_all() const {
        CHECK(unit == cases);
        CHECK(up == cases);
        CHECK(toes == cases);
        CHECK(side == cases);
        CHECK(inside == cases);
    }
};

}  // namespace

TEST_CASE("Real feet are understood in any rotation and winding", "[receive]") {
    if (tests::scans_folder().empty()) {
        tests::skipped("real feet: ../shared/scans is absent");
        return;
    }
    const int rotations = tests::cases(24, 3, "rotations of each real foot");
    Score all;
    for (const tests::RealFoot& foot : tests::real_feet()) {
        const TriangleMesh mesh = tests::real_foot(foot);
        REQUIRE(!mesh.triangles.empty());
        Score score;
        for (int k = 0; k < rotations; ++k) {
            const Mat3 rotation = k == 0
                                      ? Mat3(Mat3::Identity())
                                      : tests::random_rotation(tests::seed() + static_cast<std::uint64_t>(k));
            TriangleMesh turned = mesh;
            for (Vec3& p : turned.points) p = rotation * p;
            const bool inside = k % 2 == 1;
            if (inside) turned.flip();
            const auto r = scan::receive(turned, std::nullopt, {});
            INFO(foot.file << " rotation " << k);
            REQUIRE(r.ok());
            score.add(*r, foot.unit, rotation * foot.up, rotation * foot.toes, foot.side, inside);
            all.add(*r, foot.unit, rotation * foot.up, rotation * foot.toes, foot.side, inside);
        }
        score.print(foot.file);
        INFO(foot.file);
        score.require_all();
    }
    all.print("all real feet");
    CHECK(all.clear >= all.cases * 95 / 100);
}

TEST_CASE("A scan without a sole is refused, saying how much is open", "[receive]") {
    if (tests::scans_folder().empty()) {
        tests::skipped("real foot without sole: ../shared/scans is absent");
    } else {
        const TriangleMesh mesh = tests::real_foot(tests::foot_without_sole());
        REQUIRE(!mesh.triangles.empty());
        for (int k = 0; k < tests::cases(24, 4, "rotations of the foot without sole"); ++k) {
            TriangleMesh turned = mesh;
            const Mat3 rotation = tests::random_rotation(static_cast<std::uint64_t>(k) + 77);
            for (Vec3& p : turned.points) p = rotation * p;
            const auto r = scan::receive(turned, std::nullopt, {});
            REQUIRE_FALSE(r.ok());
            CHECK(r.fault().kind == FaultKind::input);
            CHECK(r.fault().message.find("% of it is open") != std::string::npos);
        }
    }
    for (int k = 0; k < tests::cases(40, 4, "generated scans without a sole"); ++k) {
        CastSpec spec;
        spec.triangles = 40'000;
        spec.sole_missing = true;
        const auto made = make(300 + static_cast<std::uint64_t>(k), spec);
        if (!made) continue;
        const auto r = scan::receive(made->mesh, std::nullopt, {});
        INFO("seed " << 300 + k);
        // refused, or, where nothing tells up, not clear: then stating it makes it refused
        if (r.ok()) {
            CHECK_FALSE(r->up.clear);
            scan::Stated stated;
            stated.up = direction(*made, Vec3::UnitZ());
            CHECK_FALSE(scan::receive(made->mesh, std::nullopt, stated).ok());
        }
    }
}

TEST_CASE("Generated casts of every kind are understood", "[receive]") {
    struct Kind {
        const char* name;
        std::function<void(CastSpec&, const generator::FootShape&)> set;
    };
    const auto negative = [](CastSpec& s) { s.kind = CastSpec::Kind::plaster_negative; };
    const std::vector<Kind> kinds{
        {"foot", [](CastSpec&, const auto&) {}},
        {"plaster negative, noisy",
         [&](CastSpec& s, const auto&) {
             negative(s);
             s.noise_mm = 0.1;
         }},
        {"plaster negative, toes cut",
         [&](CastSpec& s, const generator::FootShape& f) {
             negative(s);
             s.toe_cut_x_mm = 0.62 * f.length_mm;
         }},
        {"plaster negative, rim folded",
         [&](CastSpec& s, const auto&) {
             negative(s);
             s.rim.fold_mm = 10.0;
         }},
        {"plaster negative, both faces",
         [&](CastSpec& s, const auto&) {
             negative(s);
             s.outer_wall_mm = 5.0;
         }},
    };
    const int count = tests::cases(40, 4, "feet of each kind of cast");
    constexpr std::array units{LengthUnit::millimetre, LengthUnit::inch, LengthUnit::metre};
    for (const Kind& kind : kinds) {
        Score score;
        for (int k = 0; k < count; ++k) {
            CastSpec spec;
            spec.triangles = 40'000;
            spec.unit = units[static_cast<std::size_t>(k) % units.size()];
            const std::uint64_t seed = tests::seed() + static_cast<std::uint64_t>(k);
            const auto made = make(seed, spec, kind.set);
            if (!made) continue;
            const auto r = scan::receive(made->mesh, std::nullopt, {});
            INFO(kind.name << ", seed " << seed);
            REQUIRE(r.ok());
            const bool is_negative = std::string(kind.name).find("negative") != std::string::npos;
            // children's feet in inches and the like may fit two units: then it must ask
            scan::Reception asked = *r;
            if (!asked.unit.clear) {
                int plausible = 0;
                for (const auto& u : asked.units) plausible += u.plausible_adult || u.plausible_child;
                CHECK(plausible > 1);
                asked.unit = {spec.unit, 1.0, true, ""};
            }
            score.add(asked, spec.unit, direction(*made, Vec3::UnitZ()), direction(*made, Vec3::UnitX()),
                      made->foot.shape().side, is_negative);
            const std::string name = kind.name;
            if (name.find("cut") != std::string::npos) {
                CHECK(r->toes_cut);
                CHECK(std::abs(r->foot_length * mm_per(spec.unit) / made->foot.shape().length_mm - 1.0) <
                      0.06);
            }
            if (name.find("folded") != std::string::npos) CHECK(r->rim.folded);
            if (name.find("both") != std::string::npos) {
                REQUIRE(r->usable.size() == made->mesh.triangles.size());
                // what is kept lies on the foot, not 5 mm outside it; and most of the inner face is kept
                double kept = 0.0, astray = 0.0, inner = 0.0;
                const Eigen::Matrix4d back = made->cast.design_to_file.inverse();
                for (std::size_t i = 0; i < r->usable.size(); i += 7) {
                    const Triangle& t = made->mesh.triangles[i];
                    const Vec3 centre =
                        (made->mesh.points[t[0]] + made->mesh.points[t[1]] + made->mesh.points[t[2]]) / 3.0;
                    const Eigen::Vector4d p = back * centre.homogeneous();
                    const bool on_foot = std::abs(made->foot.implicit(p.head<3>())) < 1.0;
                    if (on_foot) inner += made->mesh.area(i);
                    if (r->usable[i]) kept += made->mesh.area(i);
                    if (r->usable[i] && !on_foot) astray += made->mesh.area(i);
                }
                CHECK(astray < 0.002 * kept);
                CHECK(kept > 0.8 * inner);
            }
        }
        score.print(kind.name);
        INFO(kind.name);
        score.require_all();
    }
}

TEST_CASE("Holes in the sole are found with place and size", "[receive]") {
    CastSpec spec;
    spec.triangles = 150'000;
    spec.holes = {{Vec2(5.0, 3.0), 6.0}, {Vec2(120.0, -20.0), 4.0}};
    const auto foot = generator::Foot::make({});
    REQUIRE(foot.ok());
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    const auto r = scan::receive(scan::clean(cast->mesh).mesh, std::nullopt, {});
    REQUIRE(r.ok());
    REQUIRE(r->sole.holes.size() == 2);
    for (std::size_t i = 0; i < 2; ++i) {
        CHECK(r->sole.holes[i].diameter_mm == Approx(2.0 * spec.holes[i].radius_mm).margin(1.5));
        const Eigen::Vector4d at = cast->design_to_file.inverse() * r->sole.holes[i].centre.homogeneous();
        CHECK((at.head<2>() - spec.holes[i].at).norm() < 1.0);
    }
    CHECK(check_of(*r, "receive.sole").verdict == Verdict::look);
    CHECK(r->sole.open_share < tolerance::sole_open_look);
}

TEST_CASE("What a person stated wins, and a clear contradiction stops", "[receive]") {
    CastSpec spec;
    spec.triangles = 40'000;
    const auto foot = generator::Foot::make({});
    REQUIRE(foot.ok());
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());

    scan::Stated stated;
    stated.side = Side::left;
    auto r = scan::receive(cast->mesh, std::nullopt, stated);
    REQUIRE(r.ok());
    CHECK(check_of(*r, "receive.side").verdict == Verdict::stop);
    CHECK_FALSE(check_of(*r, "receive.side").signable);
    CHECK(r->side.value == Side::right);  // the shape is not overruled, and nothing is mirrored

    stated.side = Side::right;
    r = scan::receive(cast->mesh, std::nullopt, stated);
    CHECK(check_of(*r, "receive.side").verdict == Verdict::pass);

    r = scan::receive(cast->mesh, std::nullopt, {});
    CHECK(check_of(*r, "receive.side").verdict == Verdict::look);  // until a person states it

    stated.unit = LengthUnit::inch;
    r = scan::receive(cast->mesh, std::nullopt, stated);
    CHECK(check_of(*r, "receive.unit").verdict == Verdict::stop);
    CHECK(r->unit.value == LengthUnit::inch);

    scan::Stated directions;
    directions.up = Vec3(0.1, 0.0, 2.0);
    directions.toes = Vec3(1.0, 0.2, 0.0);
    directions.inside_out = true;
    r = scan::receive(cast->mesh, std::nullopt, directions);
    REQUIRE(r.ok());
    CHECK(angle(r->up.value, Vec3::UnitZ()) < 8.0);
    CHECK(check_of(*r, "receive.inside_out").verdict == Verdict::stop);
    CHECK(r->inside_out.value);
    directions.toes = Vec3(-1.0, 0.0, 0.0);
    r = scan::receive(cast->mesh, std::nullopt, directions);
    REQUIRE(r.ok());
    CHECK(r->toes.value.x() < -0.9);
    directions.up = Vec3(0.0, 0.0, 0.0);
    CHECK_FALSE(scan::receive(cast->mesh, std::nullopt, directions).ok());
}

TEST_CASE("Receiving is the same on any number of threads, can be cancelled, and refuses nonsense",
          "[receive]") {
    CastSpec spec;
    spec.kind = CastSpec::Kind::plaster_negative;
    spec.triangles = 60'000;
    const auto foot = generator::Foot::make({});
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    std::vector<Vec3> ups;
    std::vector<std::vector<std::uint8_t>> usable;
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const auto r = scan::receive(cast->mesh, std::nullopt, {});
        REQUIRE(r.ok());
        ups.push_back(r->up.value);
        usable.push_back(r->usable);
    }
    set_thread_count(0);
    CHECK(ups[0] == ups[1]);
    CHECK(ups[0] == ups[2]);
    CHECK(usable[0] == usable[1]);
    CHECK(usable[0] == usable[2]);

    Progress progress;
    progress.cancel();
    const auto cancelled = scan::receive(cast->mesh, std::nullopt, {}, &progress);
    REQUIRE_FALSE(cancelled.ok());
    CHECK(cancelled.fault().kind == FaultKind::cancelled);

    CHECK_FALSE(scan::receive({}, std::nullopt, {}).ok());
    TriangleMesh flat;  // a square sheet of 2,048 triangles: no foot, and no crash
    for (int i = 0; i <= 32; ++i)
        for (int j = 0; j <= 32; ++j) flat.points.emplace_back(8.0 * i, 3.0 * j, 0.0);
    for (int i = 0; i < 32; ++i)
        for (int j = 0; j < 32; ++j) {
            const int a = 33 * i + j;
            flat.triangles.push_back({a, a + 33, a + 34});
            flat.triangles.push_back({a, a + 34, a + 1});
        }
    const auto sheet = scan::receive(flat, std::nullopt, {});
    if (sheet.ok()) CHECK_FALSE((sheet->toes.clear && sheet->side.clear));
    for (Vec3& p : flat.points) p = Vec3::Zero();
    CHECK_FALSE(scan::receive(flat, std::nullopt, {}).ok());
}

TEST_CASE("Triangles that fan out from one point show no foot, and crash nothing") {
    std::mt19937_64 random(1);
    for (const int count : {500, 2000, 20'000}) {
        TriangleMesh fan;
        fan.points.push_back(Vec3::Zero());
        for (int i = 0; i < 2 * count; ++i)
            fan.points.push_back(Vec3{tests::uniform(random, -100, 100), tests::uniform(random, -100, 100),
                                      tests::uniform(random, -100, 100)});
        for (int i = 0; i < count; ++i) fan.triangles.push_back({0, 2 * i + 1, 2 * i + 2});
        const auto received = scan::receive(fan, std::nullopt, {});
        REQUIRE_FALSE(received.ok());
        CHECK(received.fault().kind == FaultKind::input);
    }
}
