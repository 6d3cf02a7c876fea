// Casts: faults of the asked size at the asked place, the file's frame, the rim, the files.
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <set>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/cast_random.hpp"
#include "assets/generator/random.hpp"
#include "engine/mesh/soundness.hpp"
#include "tests/generator/measured.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::generator;

namespace {

Foot made(const FootShape& shape) {
    Outcome<Foot> foot = Foot::make(shape);
    if (!foot) FAIL(foot.fault().message);
    return std::move(foot).value();
}

Cast taken(const Foot& foot, const CastSpec& spec) {
    Outcome<Cast> cast = take_cast(foot, spec);
    if (!cast) FAIL(cast.fault().message);
    return std::move(cast).value();
}

/// Signed distance of a scanned point from the foot, mm, to second order: positive away from it.
double height(const Foot& foot, const Vec3& p) {
    const auto on = foot.project(p);
    if (!on) FAIL("a point of the cast leads nowhere");
    return (p - *on).dot(foot.normal(*on));
}

struct Extremes {
    double low = 1e9, high = -1e9;
    Vec3 low_at, high_at;
};
Extremes heights(const Foot& foot, const TriangleMesh& mesh) {
    Extremes e;
    for (const Vec3& p : mesh.points) {
        const double h = height(foot, p);
        if (h < e.low) e.low = h, e.low_at = p;
        if (h > e.high) e.high = h, e.high_at = p;
    }
    return e;
}

CastSpec small(std::size_t triangles = 60'000) {
    CastSpec s;
    s.triangles = triangles;
    return s;
}

}  // namespace

TEST_CASE("A dent, a void and a crease have the asked height at the asked place") {
    const Foot foot = made(FootShape{});
    SECTION("dent") {
        CastSpec s = small(200'000);
        s.dents = {Dent{Vec2(100, -30), 8.0, 2.5}};
        const Extremes e = heights(foot, taken(foot, s).mesh);
        CHECK(e.low == Approx(-2.5).margin(0.05));
        CHECK(e.high < 1e-6);
        CHECK((e.low_at.head<2>() - Vec2(100, -30)).norm() < 1.2);
    }
    SECTION("void") {
        CastSpec s = small(200'000);
        s.voids = {AirVoid{Vec2(60, -25), 10.0, 1.6}};
        const Extremes e = heights(foot, taken(foot, s).mesh);
        CHECK(e.high == Approx(1.6).margin(0.03));
        CHECK(e.low > -1e-6);
        CHECK((e.high_at.head<2>() - Vec2(60, -25)).norm() < 1.2);
    }
    SECTION("crease") {
        CastSpec s = small(400'000);
        s.creases = {Crease{Vec2(60, -25), Vec2(90, 5), 3.0, 2.4, 1.2}};
        const TriangleMesh mesh = taken(foot, s).mesh;
        const Extremes e = heights(foot, mesh);
        CHECK(e.high == Approx(1.2).margin(0.06));
        // half its height at half its width from the line, measured by the field of faults itself along
        // the sole across the middle of the chord
        const Vec2 middle = Vec2(75, -10) + 3.0 * Vec2(-1, 1).normalized();
        const Vec2 across = Vec2(-1, 1).normalized();
        const auto on = [&](double d) {
            const Vec2 q = middle + d * across;
            return fault_height(foot, s, *foot.sole(q.x(), q.y()));
        };
        CHECK(on(0.0) == Approx(1.2).margin(0.01));
        CHECK(on(1.2) == Approx(0.6).margin(0.12));
        CHECK(on(5.0) < 0.01);
    }
}

TEST_CASE("A flattened heel is a plane of the asked depth") {
    const Foot foot = made(FootShape{});
    CastSpec s = small(200'000);
    s.heel_flat = HeelFlat{2.0, 3.0, -2.0};
    const TriangleMesh mesh = taken(foot, s).mesh;
    const Vec3 low = foot.truth().landmarks.at("heel_lowest");
    const Vec3 up = Vec3(std::tan(-2.0 * std::numbers::pi / 180), -std::tan(3.0 * std::numbers::pi / 180), 1)
                        .normalized();
    double least = 1e9;
    int on_plane = 0;
    for (const Vec3& p : mesh.points) {
        if (p.x() > 0.2 * 246) continue;
        const double d = (p - low).dot(up);
        least = std::min(least, d);
        if (std::abs(d - 2.0) < 1e-9) ++on_plane;
    }
    CHECK(least == Approx(2.0).margin(1e-9));
    CHECK(on_plane > 300);
}

TEST_CASE("A seam rises by its height and fades") {
    const Foot foot = made(FootShape{});
    CastSpec s = small();
    s.seam = Seam{90.0, 0.0, 1.5, 1.0, 30.0};
    const auto on = [&](double x) { return fault_height(foot, s, *foot.sole(x, -15.0)); };
    CHECK(on(88.0) == 0.0);
    CHECK(on(90.8) == Approx(std::exp(-0.8 / 30)).margin(0.01));
    CHECK(on(120.0) == Approx(std::exp(-1.0)).margin(0.01));
}

TEST_CASE("Noise has the asked size: white, and 0.3 of it in long waves") {
    const Foot foot = made(FootShape{});
    CastSpec s = small();
    s.noise_mm = 0.2;
    double sum = 0.0, square = 0.0;
    const TriangleMesh mesh = taken(foot, s).mesh;
    for (const Vec3& p : mesh.points) {
        const double h = height(foot, p);
        sum += h;
        square += h * h;
    }
    const double n = static_cast<double>(mesh.points.size());
    CHECK(sum / n == Approx(0.0).margin(0.02));
    CHECK(std::sqrt(square / n) == Approx(0.2 * std::sqrt(1.0 + 0.09)).epsilon(0.05));
}

TEST_CASE("The design frame goes to the file by the matrix the cast states; truth goes with it") {
    for (int i = 0; i < tests::cases(40, 4, "files in any unit, axes and side"); ++i) {
        const std::uint64_t seed = tests::seed() + static_cast<std::uint64_t>(i);
        INFO("seed " << seed);
        const Foot foot = made(random_foot(seed));
        CastSpec s = small(20'000);
        s.rotation = random_tilt(seed);
        s.translation_mm = Vec3(100, -40, 12);
        constexpr LengthUnit units[] = {LengthUnit::millimetre, LengthUnit::centimetre, LengthUnit::inch,
                                        LengthUnit::metre};
        s.unit = units[i % 4];
        const Cast cast = taken(foot, s);
        const double mm = mm_per(s.unit);
        const double determinant = cast.design_to_file.topLeftCorner<3, 3>().determinant() * mm * mm * mm;
        CHECK(determinant == Approx(foot.shape().side == Side::left ? -1.0 : 1.0));
        const Eigen::Matrix4d back = cast.design_to_file.inverse();
        double worst = 0.0;
        for (const Vec3& p : cast.mesh.points) {
            const Vec3 q = (back * p.homogeneous()).head<3>();
            worst = std::max(worst, std::abs(foot.implicit(q)));
        }
        CHECK(worst < 1e-9);
        for (const auto& [key, p] : cast.truth.landmarks) {
            const Vec3 q = (back * p.homogeneous()).head<3>();
            CHECK((q - foot.truth().landmarks.at(key)).norm() < 1e-9);
        }
        // outward in the file too: enough to look at the lowest point's triangle fan
        const auto normals = cast.mesh.point_normals();
        std::size_t inward = 0;
        for (std::size_t k = 0; k < normals.size(); ++k) {
            const Vec3 q = (back * cast.mesh.points[k].homogeneous()).head<3>();
            const Vec3 out = cast.design_to_file.topLeftCorner<3, 3>() * foot.gradient(q);
            if (normals[k].dot(out) <= 0.0) ++inward;
        }
        CHECK(inward == 0);
    }
}

TEST_CASE("Left is the exact mirror of right") {
    FootShape shape = random_foot(tests::seed() + 3);
    CastSpec s = small();
    s.noise_mm = 0.1;
    s.kind = CastSpec::Kind::plaster_negative;
    shape.side = Side::right;
    const Cast right = taken(made(shape), s);
    shape.side = Side::left;
    const Cast left = taken(made(shape), s);
    REQUIRE(left.mesh.points.size() == right.mesh.points.size());
    double worst = 0.0;
    for (std::size_t i = 0; i < left.mesh.points.size(); ++i) {
        const Vec3& p = left.mesh.points[i];
        worst = std::max(worst, (Vec3(p.x(), -p.y(), p.z()) - right.mesh.points[i]).norm());
    }
    CHECK(worst < 1e-12);
    for (const auto& [key, p] : left.truth.landmarks)
        CHECK((Vec3(p.x(), -p.y(), p.z()) - right.truth.landmarks.at(key)).norm() < 1e-12);
    std::size_t unlike = 0;
    for (std::size_t i = 0; i < left.mesh.triangles.size(); ++i) {
        const Triangle &a = left.mesh.triangles[i], &b = right.mesh.triangles[i];
        if (std::set<std::int32_t>(a.begin(), a.end()) != std::set<std::int32_t>(b.begin(), b.end()))
            ++unlike;
        const Vec3 n = left.mesh.normal2(i), m = right.mesh.normal2(i);
        if (Vec3(n.x(), -n.y(), n.z()).dot(m) <= 0.0) ++unlike;
    }
    CHECK(unlike == 0);
}

TEST_CASE("A plaster negative: inside of the cast up to a ragged rim, facing the foot's inside") {
    const Foot foot = made(under_plaster(FootShape{}));
    CastSpec s = small(100'000);
    s.kind = CastSpec::Kind::plaster_negative;
    const Cast cast = taken(foot, s);
    CHECK(static_cast<double>(cast.mesh.triangles.size()) == Approx(1e5).epsilon(0.04));
    CHECK(cast.truth.landmarks.count("medial_malleolus") == 0);
    CHECK(cast.truth.landmarks.count("first_head_plantar") == 1);
    const Soundness sound = find_soundness(cast.mesh);
    CHECK(sound.non_manifold_edges == 0);
    CHECK(sound.misoriented_edges == 0);
    CHECK(sound.open_edges > 200);
    const auto normals = cast.mesh.point_normals();
    std::size_t outward = 0;
    for (std::size_t k = 0; k < normals.size(); ++k)
        if (normals[k].dot(foot.gradient(cast.mesh.points[k])) > 0.0) ++outward;
    CHECK(outward == 0);
    const double top = tests::farthest(cast.mesh, Vec3::UnitZ()).z();
    CHECK(top > 0.21 * 246 - 2);
    CHECK(top < 0.21 * 246 + 10);
    // ragged: the rim round the heel is not of one height
    double low = 1e9, high = 0;
    const auto rim = [&](const Vec3& p) { return p.x() < 0.1 * 246; };
    for (int bin = 0; bin < 40; ++bin) {
        const double from = -40.0 + 2.0 * bin;
        const double z = tests::farthest(cast.mesh, Vec3::UnitZ(), [&](const Vec3& p) {
                             return rim(p) && p.y() > from && p.y() < from + 2.0;
                         }).z();
        if (z < 30.0) continue;  // no rim in this bin
        low = std::min(low, z);
        high = std::max(high, z);
    }
    CHECK(high - low > 2.0);
}

TEST_CASE("Toe cut, missing sole, holes, debris, outer wall, fold: each does what its name says") {
    const Foot foot = made(under_plaster(FootShape{}));
    CastSpec s = small();
    s.kind = CastSpec::Kind::plaster_negative;
    const Soundness plain = find_soundness(taken(foot, s).mesh);
    SECTION("toe cut") {
        s.toe_cut_x_mm = 165.0;
        const Cast cast = taken(foot, s);
        CHECK(tests::farthest(cast.mesh, Vec3::UnitX()).x() == Approx(165.0).margin(0.2));
        CHECK(cast.truth.landmarks.count("toe_tip") == 0);
    }
    SECTION("sole missing") {
        s.kind = CastSpec::Kind::foot_surface;
        s.sole_missing = true;
        const Cast cast = taken(foot, s);
        CHECK(tests::farthest(cast.mesh, -Vec3::UnitZ()).z() > 0.05 * 246);
        CHECK(cast.truth.landmarks.count("first_head_plantar") == 0);
    }
    SECTION("holes") {
        s.holes = {Hole{Vec2(30, 0), 5.0}, Hole{Vec2(100, -20), 4.0}};
        const Cast cast = taken(foot, s);
        CHECK(find_soundness(cast.mesh).open_edges > plain.open_edges + 40);
        const Vec3 at = *foot.sole(30, 0);
        for (const Vec3& p : cast.mesh.points) CHECK_FALSE((p - at).norm() < 3.0);
    }
    SECTION("debris") {
        s.debris = 5;
        const Soundness sound = find_soundness(taken(foot, s).mesh);
        CHECK(sound.components == plain.components + 5);
        CHECK(sound.open_edges == plain.open_edges);
    }
    SECTION("outer wall closes the plaster into a solid") {
        s.outer_wall_mm = 5.0;
        const TriangleMesh mesh = taken(foot, s).mesh;
        const Soundness sound = find_soundness(mesh);
        CHECK(sound.open_edges == 0);
        CHECK(sound.misoriented_edges == 0);
        // about 5 mm times the inside's area
        CHECK(sound.volume / (0.5 * sound.area) == Approx(5.0).margin(0.6));
    }
    SECTION("fold hangs inside the rim") {
        s.rim.fold_mm = 12.0;
        s.rim.fold_at_deg = 180.0;
        const Cast cast = taken(foot, s);
        // at the back, material stands 5 mm inside the heel's wall, a double layer
        int inside = 0;
        for (const Vec3& p : cast.mesh.points)
            if (p.x() < -20 && p.z() > 25 && foot.implicit(p) < -3.0) ++inside;
        CHECK(inside > 50);
    }
}

TEST_CASE("Ink darkens where it was drawn, and only there, under uneven light") {
    const Foot foot = made(FootShape{});
    CastSpec s = small(300'000);
    Colours colours = usual_ink(foot);
    colours.grain = 0.0;
    s.colours = colours;
    const Cast cast = taken(foot, s);
    REQUIRE(cast.mesh.colours.size() == cast.mesh.points.size());
    Colours bare = colours;
    bare.lines.clear();
    bare.spots.clear();
    s.colours = bare;
    const Cast clean = taken(foot, s);
    int darker = 0;
    double far_from_marks = 0.0, brightest = 0, darkest = 255;
    for (std::size_t i = 0; i < cast.mesh.points.size(); ++i) {
        const double a = clean.mesh.colours[i][0], b = cast.mesh.colours[i][0];
        brightest = std::max(brightest, a);
        darkest = std::min(darkest, a);
        if (b > a - 20) continue;
        ++darker;
        const Vec3& p = cast.mesh.points[i];
        double distance = (p - foot.truth().landmarks.at("fifth_base")).norm() - 4.0;
        for (std::size_t k = 0; k + 1 < colours.lines[0].path.size(); ++k) {
            const Vec2 u = colours.lines[0].path[k], e = colours.lines[0].path[k + 1] - u, q = p.head<2>();
            const double t = std::clamp((q - u).dot(e) / e.squaredNorm(), 0.0, 1.0);
            distance = std::min(distance, (q - u - t * e).norm() - 0.6);
        }
        if (p.z() < 40) far_from_marks = std::max(far_from_marks, distance);
    }
    CHECK(darker > 200);
    CHECK(far_from_marks < 0.5);
    CHECK(brightest - darkest > 30);
}

TEST_CASE("Same seed, same bytes; another seed, others") {
    const FootShape shape = under_plaster(random_foot(21));
    CastSpec s = small(30'000);
    s.seed = 21;
    s.noise_mm = 0.1;
    s.kind = CastSpec::Kind::plaster_negative;
    const Foot foot = made(shape);
    place_faults(s, foot, 3, 3, 2);
    s.colours = usual_ink(foot);
    const auto bytes = [&] { return encode(taken(made(shape), s).mesh, CastFormat::ply_binary, "cast"); };
    const std::string first = bytes();
    CHECK(first == bytes());
    s.seed = 22;
    CHECK(first != bytes());
}

TEST_CASE("Casts that cannot be taken are refused with the name of what is wrong") {
    const Foot foot = made(FootShape{});
    CastSpec s = small();
    s.dents = {Dent{Vec2(400, 0), 8, 2}};
    CHECK(!take_cast(foot, s).ok());
    s = small();
    s.noise_mm = std::numeric_limits<double>::quiet_NaN();
    const auto noise = take_cast(foot, s);
    REQUIRE(!noise.ok());
    CHECK(noise.fault().message.find("noise_mm") != std::string::npos);
    s = small();
    s.rotation = Vec3(1, -1, 1).asDiagonal();
    CHECK(!take_cast(foot, s).ok());
    s = small();
    s.toe_cut_x_mm = -300;
    CHECK(!take_cast(foot, s).ok());
}
