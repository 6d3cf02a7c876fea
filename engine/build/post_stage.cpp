#include "engine/build/post_stage.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/rest.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plan_loop.hpp"

namespace archwright::build {

namespace {

constexpr double radian = std::numbers::pi / 180.0;
// Of a post's outline from borders and distal edge: rim, the margin of loops, and a little air (our choice).
constexpr double inset_mm = 7.0;
constexpr double corner_mm = 7.0;

// Corners rounded by arcs, a point every 2.5 mm.
std::vector<Vec2> rounded_polygon(const std::vector<Vec2>& corners, const std::vector<double>& radii) {
    constexpr int per_arc = 32;
    constexpr double apart_mm = 0.5;
    std::vector<Vec2> out;
    const std::size_t n = corners.size();
    for (std::size_t i = 0; i < n; ++i) {
        const Vec2 &p = corners[i], &before = corners[(i + n - 1) % n], &after = corners[(i + 1) % n];
        const Vec2 a = (before - p).normalized(), b = (after - p).normalized();
        const double half = 0.5 * std::acos(std::clamp(a.dot(b), -1.0, 1.0));
        const double reach = radii[i] / std::tan(half);
        constexpr double bend_mm = 1.0;  // a corner as slight as this is no corner
        if (reach < bend_mm) {
            out.push_back(p);
            continue;
        }
        const Vec2 centre = p + (a + b).normalized() * (radii[i] / std::sin(half));
        const Vec2 from = p + reach * a - centre, to = p + reach * b - centre;
        const double turn = std::atan2(from.x() * to.y() - from.y() * to.x(), from.dot(to));
        if (!out.empty()) {
            const Vec2 start = out.back(), end = centre + from;
            const int pieces = static_cast<int>((end - start).norm() / apart_mm);
            for (int k = 1; k < pieces; ++k) out.push_back(start + (end - start) * k / pieces);
        }
        for (int k = 0; k <= per_arc; ++k) {
            const double t = turn * k / per_arc, c = std::cos(t), s = std::sin(t);
            out.push_back(centre + Vec2(c * from.x() - s * from.y(), s * from.x() + c * from.y()));
        }
    }
    const Vec2 start = out.back(), end = out.front();
    const int pieces = static_cast<int>((end - start).norm() / apart_mm);
    for (int k = 1; k < pieces; ++k) out.push_back(start + (end - start) * k / pieces);
    // the curve through them is smooth: unevenly spaced points would make it swing
    constexpr double spacing_mm = 2.5;
    std::vector<double> along{0.0};
    for (std::size_t i = 1; i <= out.size(); ++i)
        along.push_back(along.back() + (out[i % out.size()] - out[i - 1]).norm());
    const int count = std::max(12, static_cast<int>(along.back() / spacing_mm));
    std::vector<Vec2> even;
    std::size_t i = 0;
    for (int k = 0; k < count; ++k) {
        const double s = along.back() * k / count;
        while (i + 2 < along.size() && along[i + 1] <= s) ++i;
        const double t = (s - along[i]) / std::max(along[i + 1] - along[i], 1e-12);
        even.push_back((1.0 - t) * out[i] + t * out[(i + 1) % out.size()]);
    }
    return even;
}

std::vector<Vec2> rearfoot_outline(const feature::RearfootPost& post, const surface::TrimRule& rule) {
    const Vec2 heel = rule.heel_centre.head<2>();
    const double half = 0.5 * post.width_mm, rear = heel.x() - half, front = rear + post.length_mm;
    const double round = std::min(0.98 * half, 0.9 * post.length_mm);
    const double corner = std::min(corner_mm, 0.4 * half);
    return rounded_polygon({{rear, heel.y() - half},
                            {front, heel.y() - half},
                            {front, heel.y() + half},
                            {rear, heel.y() + half}},
                           {round, corner, corner, round});
}

// Breadth of the underside behind the distal edge that is flat enough to stand a post under: in every row
// across from `length` behind the edge to its margin.
struct Breadth {
    double lateral = -1e300, medial = 1e300;
};
Breadth flat_breadth(const surface::SplineSurface& underside, const Surfaced& surfaced, double length) {
    constexpr double spacing_mm = 1.0, flat_cosine = 0.8, row_mm = 3.0;
    const surface::TrimRegion inside{surface::Outline(surfaced.trim.curve)};
    const surface::Lattice lattice = surface::Lattice::spaced(underside.u, underside.v, spacing_mm);
    const surface::LatticeFrames frames = surface::sample_frames(underside, lattice);
    std::map<int, std::pair<double, double>> rows;
    for (std::size_t k = 0; k < frames.points.size(); ++k) {
        const Vec3& p = frames.points[k];
        const double behind = surface::distal_edge_x(surfaced.rule, p.y()) - p.x();
        if (behind < inset_mm || behind > inset_mm + length) continue;
        if (std::abs(frames.normals[k].z()) < flat_cosine) continue;
        const Vec2 uv = lattice.uv(k);
        if (!inside.inside(uv) || inside.distance(uv, inset_mm) < inset_mm) continue;
        auto [row, made] = rows.try_emplace(static_cast<int>(behind / row_mm), p.y(), p.y());
        row->second.first = std::min(row->second.first, p.y());
        row->second.second = std::max(row->second.second, p.y());
    }
    Breadth breadth;
    for (const auto& [row, ends] : rows) {
        breadth.lateral = std::max(breadth.lateral, ends.first);
        breadth.medial = std::min(breadth.medial, ends.second);
    }
    return breadth;
}

Outcome<std::vector<Vec2>> forefoot_outline(const feature::ForefootPost& post, const Surfaced& surfaced,
                                            const surface::SplineSurface& underside) {
    const Breadth flat = flat_breadth(underside, surfaced, post.length_mm);
    constexpr double least_mm = 20.0;
    if (!(flat.medial - flat.lateral > least_mm))
        return Fault{FaultKind::check, "posts",
                     "There is no room for a forefoot post of " + rounded(post.length_mm, 0) +
                         " mm behind the distal edge: the underside is flat over less than 20 mm there. Make "
                         "it shorter (posts.forefoot.length_mm).",
                     surfaced.rule.fifth_head};
    const auto edge = [&](double y) { return surface::distal_edge_x(surfaced.rule, y) - inset_mm; };
    const double middle = 0.5 * (flat.lateral + flat.medial),
                 corner = std::min(corner_mm, 0.4 * post.length_mm);
    return rounded_polygon({{edge(flat.lateral), flat.lateral},
                            {edge(middle), middle},
                            {edge(flat.medial), flat.medial},
                            {edge(flat.medial) - post.length_mm, flat.medial},
                            {edge(middle) - post.length_mm, middle},
                            {edge(flat.lateral) - post.length_mm, flat.lateral}},
                           {corner, 0.5, corner, corner, 0.5, corner});
}

struct Below {
    surface::PeriodicCurve curve;
    std::vector<Vec3> points;  // of the underside inside it
};

Outcome<Below> below(const surface::SplineSurface& underside, const std::vector<Vec2>& plan) {
    auto curve = surface::plan_loop(underside, plan);
    if (!curve) return curve.fault();
    Below b{std::move(*curve), {}};
    const surface::TrimRegion inside{surface::Outline(b.curve)};
    const surface::Lattice lattice = surface::Lattice::spaced(underside.u, underside.v, 1.0);
    const std::vector<Vec3> points = surface::sample_points(underside, lattice);
    for (std::size_t k = 0; k < points.size(); ++k)
        if (inside.inside(lattice.uv(k))) b.points.push_back(points[k]);
    for (double s = 0.0; s < b.curve.period(); s += 0.25)
        b.points.push_back(underside.point(b.curve.point(s)));
    return b;
}

// The highest plane z = slope_x x + slope_y y + c that lies `height` below all the points.
double plane_below(const std::vector<Vec3>& points, double slope_x, double slope_y, double height) {
    double least = 1e300;
    for (const Vec3& p : points) least = std::min(least, p.z() - slope_x * p.x() - slope_y * p.y());
    return least - height;
}

surface::Post post_on(const char* name, Below at, double flare, double slope_x, double slope_y,
                      double height) {
    const double c = plane_below(at.points, slope_x, slope_y, height);
    surface::Post post;
    post.name = name;
    post.curve = std::move(at.curve);
    post.draft_deg = -flare;
    post.floor_point = Vec3(0.0, 0.0, c);
    post.floor_normal = Vec3(slope_x, slope_y, -1.0).normalized();
    return post;
}

}  // namespace

std::optional<double> forefoot_face_deg(const Received& received, const design::FootDesign& foot) {
    const feature::ForefootPost& post = foot.posts.forefoot;
    if (!post.on) return std::nullopt;
    if (received.balance.platform_deg) return *received.balance.platform_deg - post.extrinsic_deg;
    if (!received.balance.after.forefoot) return std::nullopt;
    return received.balance.after.forefoot->value - post.extrinsic_deg;
}

Outcome<std::vector<surface::Post>> lay_posts(const Received& received, const Surfaced& surfaced,
                                              const surface::SplineSurface& underside,
                                              const design::FootDesign& foot) {
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    const feature::ForefootPost& fore = foot.posts.forefoot;
    std::vector<surface::Post> posts;
    if (!rear.on && !fore.on) return posts;
    const surface::TrimRule& rule = surfaced.rule;
    auto heel = below(underside, rearfoot_outline(rear, rule));
    if (!heel) return heel.fault();
    const auto across = forefoot_outline(fore, surfaced, underside);
    if (!across && fore.on) return across.fault();
    // without a post the front stands on the distal edge; where nothing there is flat the floor stays level
    auto front = across ? below(underside, *across) : Outcome<Below>(Below{});
    if (!front) return front.fault();
    const auto face = forefoot_face_deg(received, foot);
    if (fore.on && !face)
        return Fault{
            FaultKind::ask,
            "posts",
            "A forefoot post takes its angle from the forefoot's inclination, which is not known: set "
            "the heel bisection's points and the plantar heads.",
            {}};
    // standing on a face tilted by s about +x the device is turned back by s
    const double rear_slope = -std::tan(rear.angle_deg * radian),
                 fore_slope = face ? std::tan(*face * radian) : 0.0;
    const auto middle = [](const std::vector<Vec3>& points) {
        Vec3 sum = Vec3::Zero();
        for (const Vec3& p : points) sum += p;
        return Vec3(sum / static_cast<double>(points.size()));
    };
    const Vec3 rear_at = middle(heel->points), fore_at = across ? middle(front->points) : rear_at;
    double slope_x = 0.0;
    constexpr int settle = 4;  // the planes' heights move a little with their pitch
    for (int k = 0; k < settle && across; ++k) {
        const double rear_y = rear.on ? rear_slope : 0.0, fore_y = fore.on ? fore_slope : 0.0;
        const double rear_c = plane_below(heel->points, slope_x, rear_y, rear.on ? rear.height_mm : 0.0),
                     fore_c = plane_below(front->points, slope_x, fore_y, fore.on ? fore.height_mm : 0.0);
        const double rear_z = rear_c + slope_x * rear_at.x() + rear_y * rear_at.y(),
                     fore_z = fore_c + slope_x * fore_at.x() + fore_y * fore_at.y();
        slope_x = (fore_z - rear_z) / (fore_at.x() - rear_at.x());
    }
    if (rear.on)
        posts.push_back(
            post_on("rearfoot post", std::move(*heel), rear.flare_deg, slope_x, rear_slope, rear.height_mm));
    if (fore.on)
        posts.push_back(
            post_on("forefoot post", std::move(*front), fore.flare_deg, slope_x, fore_slope, fore.height_mm));
    return posts;
}

std::vector<Check> check_posts(const Received& received, const Surfaced& surfaced,
                               const design::FootDesign& foot, const TriangleMesh& device) {
    std::vector<Check> checks;
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    const feature::ForefootPost& fore = foot.posts.forefoot;
    if (!rear.on && !fore.on) return checks;
    if (const auto face = forefoot_face_deg(received, foot); face && rear.on) {
        const double apart = std::abs(-*face - rear.angle_deg);
        Check faces = named_check("post.faces", "Faces of the posts");
        faces.figure = apart;
        faces.limit = tolerance::post_faces_look_deg;
        faces.unit = "degrees";
        faces.message = "On the rearfoot post the device is " + inclination(rear.angle_deg) +
                        ", on the forefoot's face " + inclination(-*face);
        if (apart > tolerance::post_faces_look_deg) {
            faces.verdict = Verdict::look;
            faces.message += ": it would rock between them by " + rounded(apart, 1) + " degrees";
        }
        faces.message += ".";
        checks.push_back(faces);
    }
    const Vec2 heel = surfaced.rule.heel_centre.head<2>();
    const Vec2 heads = 0.5 * (surfaced.rule.first_head + surfaced.rule.fifth_head).head<2>();
    constexpr double load_share = 0.42, wander_along_mm = 15.0, wander_across_mm = 8.0, rocks_deg = 0.5;
    const Vec2 load = heel + load_share * (heads - heel);
    const auto rest = foot::rest_under(device.points, load);
    if (!rest) return checks;
    Check stands = named_check("post.rest", "What the device stands on");
    stands.figure = rest->inclination_deg();
    stands.unit = "degrees";
    stands.where = rest->contacts.front();
    stands.message = "It stands on " + place(rest->contacts[0]) + "; " + place(rest->contacts[1]) + "; " +
                     place(rest->contacts[2]) + ", " + inclination(-rest->inclination_deg()) + ", pitched " +
                     rounded(rest->pitch_deg(), 1) + " degrees";
    double widest = 0.0;
    for (const Vec2& move : {Vec2(wander_along_mm, 0.0), Vec2(-wander_along_mm, 0.0),
                             Vec2(0.0, wander_across_mm), Vec2(0.0, -wander_across_mm)})
        if (const auto other = foot::rest_under(device.points, load + move))
            widest =
                std::max(widest, std::acos(std::clamp(rest->normal.dot(other->normal), -1.0, 1.0)) / radian);
    if (widest > rocks_deg) {
        stands.verdict = Verdict::look;
        stands.message += "; under a load that wanders it rocks by " + rounded(widest, 1) + " degrees";
    }
    stands.message += ".";
    checks.push_back(stands);
    return checks;
}

}  // namespace archwright::build
