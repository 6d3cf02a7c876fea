#include "engine/compare/made.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::compare {

namespace {

/// Beyond this a point of the scan is no part of the device: a support, a clip, dust (mm).
constexpr double part_of_device_mm = 5.0;
/// A place of the design with nothing of the scan so near was not seen (mm).
constexpr double seen_mm = 1.5;
constexpr double facing_cosine = 0.5;
/// So near to the design a point lies on that face whichever way its normal leans (at a sharp edge it leans
/// half-way): far less than any wall (mm).
constexpr double on_face_mm = 0.3;
constexpr double rim_walls = 1.5;       ///< measured walls keep so many walls from the rim
constexpr double square_cosine = 0.95;  ///< a wall is measured where its faces are this parallel
constexpr double usual = 0.95;
constexpr std::size_t design_samples = 6000;

/// The value that this share of them stays at or below.
double ranked(std::vector<double> values, double share) {
    if (values.empty()) return 0.0;
    const auto at =
        values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

Check judged(std::string id, std::string title, const Limit& limit, double figure, const char* unit,
             std::string message) {
    Check check = named_check(std::move(id), std::move(title));
    check.figure = figure;
    check.limit = limit.look;
    check.unit = unit;
    check.signable = false;  // it is no part of the order: the device is mended or the limit is stated anew
    if (figure > limit.look) check.verdict = Verdict::look;
    if (figure > limit.stop) check.verdict = Verdict::stop;
    check.message = std::move(message) + " (look above " + rounded(limit.look, 2) + ", stop above " +
                    rounded(limit.stop, 2) + " " + unit + ").";
    return check;
}

Check not_measured(std::string id, std::string title, std::string why) {
    Check check = named_check(std::move(id), std::move(title));
    check.verdict = Verdict::look;
    check.message = "Not measured: " + std::move(why);
    check.signable = false;
    return check;
}

/// "heel_post" of "heel post": ids of checks have no blanks.
std::string post_key(std::string name) {
    std::replace(name.begin(), name.end(), ' ', '_');
    return name;
}

class Measuring {
  public:
    Measuring(const build::Device& design, const registration::Fixed& fixed, const MadeLimits& limits,
              Made& made)
        : shell_(design.made()), fixed_(fixed), limits_(limits), made_(made), tree_(made.scan) {}

    Outcome<Done> all(Progress& progress) {
        const Fault cancelled{FaultKind::cancelled, "verify", "Cancelled.", {}};
        deviations();
        if (!progress.report("Measuring the device", 0.6)) return cancelled;
        seen();
        walls();
        if (!progress.report("Measuring the device", 0.8)) return cancelled;
        posts();
        judge();
        return Done{};
    }

  private:
    FaceFigures& of(Face face) { return made_.faces[static_cast<std::size_t>(face)]; }
    void deviations();
    void seen();
    void walls();
    void posts();
    void judge();
    std::optional<double> wall_along(const Bvh& tree, const Vec3& p, const Vec3& n, std::int32_t& exit) const;

    const surface::ShellMesh& shell_;
    const registration::Fixed& fixed_;
    const MadeLimits& limits_;
    Made& made_;
    Bvh tree_;                      ///< of the scan
    std::vector<std::int32_t> on_;  ///< design's triangle under each point of the scan, -1: none
};

void Measuring::deviations() {
    const std::size_t count = made_.scan.points.size();
    made_.mm.assign(count, std::numeric_limits<double>::quiet_NaN());
    on_.assign(count, -1);
    const std::vector<Vec3> normals = made_.scan.point_normals();
    parallel_for(count, 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Vec3& p = made_.scan.points[i];
            const auto near = fixed_.tree().nearest(p, part_of_device_mm);
            if (!near) continue;
            const Vec3 n = shell_.mesh.normal2(static_cast<std::size_t>(near->triangle)).normalized();
            if (near->distance > on_face_mm && !(n.dot(normals[i]) > facing_cosine)) continue;
            made_.mm[i] = std::copysign(near->distance, n.dot(p - near->point));
            on_[i] = near->triangle;
        }
    });
    std::array<std::vector<double>, face_count> values;
    std::array<double, face_count> sums{}, squares{};
    for (std::size_t i = 0; i < count; ++i) {
        if (on_[i] < 0) continue;
        const Face face = face_of(shell_, static_cast<std::size_t>(on_[i]));
        const auto at = static_cast<std::size_t>(face);
        const double mm = made_.mm[i];
        FaceFigures& f = made_.faces[at];
        if (std::abs(mm) > std::max(f.most_added_mm, f.most_taken_mm)) f.worst = made_.scan.points[i];
        f.most_added_mm = std::max(f.most_added_mm, mm);
        f.most_taken_mm = std::max(f.most_taken_mm, -mm);
        sums[at] += mm;
        squares[at] += mm * mm;
        values[at].push_back(std::abs(mm));
    }
    for (std::size_t at = 0; at < face_count; ++at) {
        FaceFigures& f = made_.faces[at];
        f.points = values[at].size();
        if (f.points == 0) continue;
        f.mean_mm = sums[at] / static_cast<double>(f.points);
        f.rms_mm = std::sqrt(squares[at] / static_cast<double>(f.points));
        f.within_mm = ranked(std::move(values[at]), usual);
    }
}

void Measuring::seen() {
    for (std::size_t i = 0; i < shell_.mesh.triangles.size(); ++i)
        of(face_of(shell_, i)).design_mm2 += shell_.mesh.area(i);
    // middles of the design's triangles, by their area
    std::array<double, face_count> there{};
    for (std::size_t i = 0; i < shell_.mesh.triangles.size(); ++i) {
        const Triangle& t = shell_.mesh.triangles[i];
        const Vec3 p = (shell_.mesh.points[t[0]] + shell_.mesh.points[t[1]] + shell_.mesh.points[t[2]]) / 3.0;
        const auto near = tree_.nearest(p, seen_mm);
        if (near &&
            made_.scan.normal2(static_cast<std::size_t>(near->triangle)).dot(shell_.mesh.normal2(i)) > 0.0)
            there[static_cast<std::size_t>(face_of(shell_, i))] += shell_.mesh.area(i);
    }
    for (std::size_t at = 0; at < face_count; ++at)
        if (made_.faces[at].design_mm2 > 0.0) made_.faces[at].seen = there[at] / made_.faces[at].design_mm2;
}

/// Material along -n below p: from where the line enters it near p to where it leaves it.
std::optional<double> Measuring::wall_along(const Bvh& tree, const Vec3& p, const Vec3& n,
                                            std::int32_t& exit) const {
    constexpr double above_mm = 3.0, below_mm = 25.0;
    std::optional<double> in;
    for (const Hit& hit : tree.ray_all(p + above_mm * n, -n, 0.0, above_mm + below_mm)) {
        const Vec3 across = tree.mesh().normal2(static_cast<std::size_t>(hit.triangle)).normalized();
        const double cosine = across.dot(n);
        if (!in && cosine > square_cosine && hit.t < 2.0 * above_mm) {
            in = hit.t;
        } else if (in && cosine < 0.0) {
            exit = hit.triangle;
            if (cosine > -square_cosine) return std::nullopt;
            return hit.t - *in;
        }
    }
    return std::nullopt;
}

void Measuring::walls() {
    const registration::Samples samples = registration::samples_of(shell_.mesh, design_samples);
    // the rim: what lies on it, to keep away from
    TriangleMesh rim;
    rim.points = shell_.mesh.points;
    for (std::size_t i = shell_.underside_end; i < shell_.rims_end; ++i)
        rim.triangles.push_back(shell_.mesh.triangles[i]);
    const Bvh rim_tree(rim);
    std::vector<double> off;
    double sum = 0.0, squares = 0.0;
    for (std::size_t i = 0; i < samples.points.size(); ++i) {
        const Vec3 &p = samples.points[i], &n = samples.normals[i];
        const auto on = fixed_.tree().nearest(p, 1.0);
        if (!on || face_of(shell_, static_cast<std::size_t>(on->triangle)) != Face::foot_side) continue;
        std::int32_t exit = -1;
        const auto designed = wall_along(fixed_.tree(), p, n, exit);
        if (!designed || face_of(shell_, static_cast<std::size_t>(exit)) != Face::underside) continue;
        if (rim_tree.nearest(p, rim_walls * *designed)) continue;
        const auto made = wall_along(tree_, p, n, exit);
        if (!made) continue;
        const double d = *made - *designed;
        if (off.empty() || *made < made_.wall.least_mm) {
            made_.wall.least_mm = *made;
            made_.wall.least_designed_mm = *designed;
            made_.wall.least_where = p;
        }
        off.push_back(d);
        sum += d;
        squares += d * d;
    }
    MadeWall& wall = made_.wall;
    wall.places = off.size();
    if (off.empty()) return;
    const auto count = static_cast<double>(off.size());
    wall.mean_mm = sum / count;
    wall.sd_mm = std::sqrt(std::max(squares / count - wall.mean_mm * wall.mean_mm, 0.0));
    wall.thinner_mm = std::max(-ranked(off, 1.0 - usual), 0.0);
    wall.thicker_mm = std::max(ranked(off, usual), 0.0);
}

struct Plane {
    Vec3 middle = Vec3::Zero(), normal = Vec3::UnitZ();
    double rms_mm = 0.0;
    std::size_t points = 0;

    /// Standing on it a device is inverted by this: thicker at its medial side.
    double across_deg() const { return degrees(std::atan2(normal.y(), normal.z())); }
    double along_deg() const { return degrees(std::atan2(normal.x(), normal.z())); }
};

/// Of least squares, its normal up; points further than thrice the rms are left out once.
std::optional<Plane> plane_of(std::vector<Vec3> points) {
    std::optional<Plane> plane;
    for (int round = 0; round < 2; ++round) {
        constexpr std::size_t least_points = 12;
        if (points.size() < least_points) return std::nullopt;
        Plane now;
        for (const Vec3& p : points) now.middle += p;
        now.middle /= static_cast<double>(points.size());
        Mat3 spread = Mat3::Zero();
        for (const Vec3& p : points) spread += (p - now.middle) * (p - now.middle).transpose();
        const Eigen::SelfAdjointEigenSolver<Mat3> eigen(spread);
        now.normal = eigen.eigenvectors().col(0);
        if (now.normal.z() < 0.0) now.normal = -now.normal;
        now.rms_mm = std::sqrt(std::max(eigen.eigenvalues()[0], 0.0) / static_cast<double>(points.size()));
        now.points = points.size();
        plane = now;
        const double limit = 3.0 * std::max(now.rms_mm, 1e-6);
        std::erase_if(points,
                      [&](const Vec3& p) { return std::abs((p - now.middle).dot(now.normal)) > limit; });
    }
    return plane;
}

void Measuring::posts() {
    // the floors, one part of the mesh each; a hinged one is no plane and is told by its main part
    TriangleMesh floors;
    floors.points = shell_.mesh.points;
    for (std::size_t i = shell_.walls_end; i < shell_.mesh.triangles.size(); ++i)
        floors.triangles.push_back(shell_.mesh.triangles[i]);
    if (floors.triangles.empty()) return;
    const Parts parts = find_parts(floors, find_topology(floors));
    const double length = fixed_.mesh().box().size().x(), rear = fixed_.mesh().box().low.x();
    for (std::size_t part = 0; part < parts.count(); ++part) {
        std::vector<Vec3> designed, made;
        for (std::size_t i = 0; i < floors.triangles.size(); ++i)
            if (parts.of_triangle[i] == static_cast<std::int32_t>(part))
                for (const auto corner : floors.triangles[i])
                    designed.push_back(floors.points[static_cast<std::size_t>(corner)]);
        for (std::size_t i = 0; i < made_.scan.points.size(); ++i) {
            if (on_[i] < static_cast<std::int32_t>(shell_.walls_end)) continue;
            const auto at = static_cast<std::size_t>(on_[i]) - shell_.walls_end;
            if (parts.of_triangle[at] == static_cast<std::int32_t>(part))
                made.push_back(made_.scan.points[i]);
        }
        Vec3 middle = Vec3::Zero();
        for (const Vec3& p : designed) middle += p;
        middle /= static_cast<double>(std::max<std::size_t>(designed.size(), 1));
        MadePost post;
        post.name = (middle.x() - rear) < 0.5 * length ? "heel post" : "forefoot post";
        for (const MadePost& other : made_.posts)
            if (other.name == post.name) post.name += " 2";
        post.where = middle;
        // a floor of few triangles spans its plane by their corners; it needs no twelve of them
        while (!designed.empty() && designed.size() < 12)
            designed.insert(designed.end(), designed.begin(), designed.end());
        const auto asked = plane_of(designed), got = plane_of(made);
        if (!asked) continue;
        post.designed_deg = asked->across_deg();
        if (!got) {
            made_.checks.push_back(not_measured("made.post." + post_key(post.name),
                                                "Angle of the " + post.name,
                                                "the scan does not show its face."));
            continue;
        }
        post.made_deg = got->across_deg();
        post.pitch_off_deg = got->along_deg() - asked->along_deg();
        const Vec3 at = asked->middle;
        post.height_off_mm =
            got->middle.z() - at.z() -
            (got->normal.x() * (at.x() - got->middle.x()) + got->normal.y() * (at.y() - got->middle.y())) /
                got->normal.z();
        post.flat_mm = got->rms_mm;
        made_.posts.push_back(post);
    }
}

void Measuring::judge() {
    for (const Face face : {Face::foot_side, Face::underside}) {
        const FaceFigures& f = of(face);
        const std::string id = std::string("made.") + key(face);
        if (f.seen < limits_.least_seen) {
            made_.checks.push_back(not_measured(id, title(face),
                                                "the scan shows " + rounded(100.0 * f.seen, 0) +
                                                    " % of it; " + rounded(100.0 * limits_.least_seen, 0) +
                                                    " % are needed."));
            continue;
        }
        Check check =
            judged(id, title(face), limits_.surface_mm, f.within_mm, "mm",
                   "95 of 100 places lie within " + rounded(f.within_mm, 2) +
                       " mm of the design, on the mean " + rounded(std::abs(f.mean_mm), 2) +
                       (f.mean_mm < 0.0 ? " mm inside it" : " mm outside it") + "; most is added " +
                       rounded(f.most_added_mm, 2) + " mm, taken " + rounded(f.most_taken_mm, 2) + " mm");
        check.where = f.worst;
        made_.checks.push_back(std::move(check));
    }
    const MadeWall& w = made_.wall;
    constexpr std::size_t least_places = 50;
    if (w.places < least_places) {
        made_.checks.push_back(
            not_measured("made.wall", "Wall", "the scan does not show both faces over one another."));
    } else {
        made_.checks.push_back(judged("made.wall", "Wall", limits_.wall_mm, std::abs(w.mean_mm), "mm",
                                      "On the mean of " + std::to_string(w.places) + " places the wall is " +
                                          rounded(std::abs(w.mean_mm), 2) + " mm " +
                                          (w.mean_mm < 0.0 ? "thinner" : "thicker") + " than designed"));
        Check thin =
            judged("made.thin", "Thinnest wall", limits_.thin_mm, w.thinner_mm, "mm",
                   "95 of 100 walls are thinner than designed by less than " + rounded(w.thinner_mm, 2) +
                       " mm; the least wall is " + rounded(w.least_mm, 2) + " mm where " +
                       rounded(w.least_designed_mm, 2) + " were designed");
        thin.where = w.least_where;
        made_.checks.push_back(std::move(thin));
    }
    for (const MadePost& post : made_.posts) {
        const double off = post.made_deg - post.designed_deg;
        const double worse = std::max(std::abs(off), std::abs(post.pitch_off_deg));
        Check check =
            judged("made.post." + post_key(post.name), "Angle of the " + post.name, limits_.angle_deg, worse,
                   "degrees",
                   "Its face is " + inclination(post.made_deg) + " where " + inclination(post.designed_deg) +
                       " were designed (" + rounded(std::abs(off), 2) + " degrees off across, " +
                       rounded(std::abs(post.pitch_off_deg), 2) + " along the foot)");
        check.where = post.where;
        made_.checks.push_back(std::move(check));
    }
}

}  // namespace

const char* title(Face face) {
    constexpr std::array<const char*, face_count> titles{"Foot side", "Underside", "Rim", "Walls of posts",
                                                         "Faces of posts"};
    return titles[static_cast<std::size_t>(face)];
}

const char* key(Face face) {
    constexpr std::array<const char*, face_count> keys{"foot_side", "underside", "rim", "post_walls",
                                                       "post_faces"};
    return keys[static_cast<std::size_t>(face)];
}

Face face_of(const surface::ShellMesh& mesh, std::size_t triangle) {
    if (triangle < mesh.foot_side_end) return Face::foot_side;
    if (triangle < mesh.underside_end) return Face::underside;
    if (triangle < mesh.rims_end) return Face::rim;
    if (triangle < mesh.walls_end) return Face::post_walls;
    return Face::post_floors;
}

Verdict Made::verdict() const {
    Verdict worst = Verdict::pass;
    for (const Check& check : checks) worst = std::max(worst, check.verdict);
    return worst;
}

Outcome<Made> verify_made(const build::Device& design, TriangleMesh scan, const MadeLimits& limits,
                          Progress& progress) {
    if (!design.shelled)
        return Fault{FaultKind::internal, "verify", "The design has no shell to compare with.", {}};
    Made made;
    // a closed scan tells inside from outside by its volume
    if (find_topology(scan).open_edges == 0 && scan.volume() < 0.0) scan.flip();
    made.scan = foot::to_export(scan, design.side);  // the mirror is its own way back
    const registration::Fixed fixed(design.made().mesh);
    registration::Settings how;
    constexpr double same_device_mm = 2.0;  // a warped device is still this one
    how.same_mm = same_device_mm;
    how.least_overlap = 0.75;  // the rest may be clips and supports
    const Progress::Stretch stretch(progress, "Laying the scan on the design", 0.0, 0.5);
    auto laid = registration::register_surfaces(made.scan, fixed, how, progress);
    if (!laid) return laid.fault();
    made.registration = std::move(*laid);
    const registration::Motion motion = made.registration.fit.motion;
    for (Vec3& p : made.scan.points) p = motion(p);
    Check check = named_check("made.laid", "Scan on the design");
    check.signable = false;
    if (!made.registration.ok()) {
        check.verdict = Verdict::stop;
        check.message = made.registration.words;
        made.mm.assign(made.scan.points.size(), std::numeric_limits<double>::quiet_NaN());
        made.checks.push_back(std::move(check));
        return made;
    }
    check.figure = made.registration.fit.median_mm;
    check.unit = "mm";
    check.message = "Half of the scan lies within " + rounded(made.registration.fit.median_mm, 2) +
                    " mm of the design; " + rounded(100.0 * made.registration.fit.overlap, 0) +
                    " % of it lies on the device.";
    made.checks.push_back(std::move(check));
    if (const auto done = Measuring(design, fixed, limits, made).all(progress); !done) return done.fault();
    return made;
}

}  // namespace archwright::compare
