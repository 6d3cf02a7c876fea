#include "engine/examine/repair.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

#include "engine/base/text.hpp"
#include "engine/examine/course.hpp"
#include "engine/surface/fit.hpp"

namespace archwright::examine {

namespace {

constexpr double unreached = std::numeric_limits<double>::infinity();
// What lies round a zone: enough of it to tell how the foot goes on, little enough to be one smooth piece.
constexpr double least_surroundings_mm = 12.0;
constexpr double knots_mm = 3.0;
// Measured over generated dents and creases in 0.05 to 0.3 mm of noise: 5 and above cut corners, 0.1 carries
// the noise's slope across the zone.
constexpr double repair_fairness = 2.0;
// Of the ring that tells the course at large.
constexpr double course_breadth_mm = 8.0;
constexpr int sectors = 12, sectors_needed = 10;
// A surface that leans more than this away from the zone's plane has no height over it.
constexpr double least_cosine = 0.35;

double smooth_step(double t) {
    t = std::clamp(t, 0.0, 1.0);
    return t * t * (3.0 - 2.0 * t);
}

/// One zone, with all of the cast that it concerns. Lengths in mm.
class Place {
  public:
    Place(const TriangleMesh& scan, const ScanFrame& frame, const RepairZone& zone)
        : scan_(scan), frame_(frame), zone_(zone) {
        for (const Vec3& p : zone.points)  // a point said twice is one
            if (line_.empty() || frame.mm_per_unit * p != line_.back())
                line_.push_back(frame.mm_per_unit * p);
    }

    Fault fault(const std::string& message) const {
        return {FaultKind::input, "repair", "Repair \"" + zone_.name + "\": " + message, std::nullopt};
    }
    Vec3 point(std::int32_t i) const {
        return frame_.mm_per_unit * scan_.points[static_cast<std::size_t>(i)];
    }

    /// Finds the points within reach and round it that hang together with the zone's own.
    std::optional<Fault> gather() {
        const double around = zone_.reach_mm + std::max(least_surroundings_mm, zone_.reach_mm);
        distance_.assign(scan_.points.size(), unreached);
        Box3 box;
        for (const Vec3& p : line_) box.add(p);
        const Vec3 low = box.low - Vec3::Constant(around), high = box.high + Vec3::Constant(around);
        for (std::size_t i = 0; i < scan_.points.size(); ++i) {
            const Vec3 p = frame_.mm_per_unit * scan_.points[i];
            if ((p.array() < low.array()).any() || (p.array() > high.array()).any()) continue;
            if (const double d = distance_to_line(p, line_); d <= around) distance_[i] = d;
        }
        std::vector<std::size_t> near;  // triangles
        for (std::size_t t = 0; t < scan_.triangles.size(); ++t) {
            const Triangle& c = scan_.triangles[t];
            if (distance_[c[0]] < unreached && distance_[c[1]] < unreached && distance_[c[2]] < unreached)
                near.push_back(t);
        }
        if (!keep_connected(near)) return fault("there is no cast at its place. Mark it on the cast.");
        return std::nullopt;
    }

    double distance(std::int32_t i) const { return distance_[static_cast<std::size_t>(i)]; }
    const std::vector<std::int32_t>& points() const { return points_; }
    double area(std::size_t k) const { return areas_[k]; }
    /// Of a point's area what lies across the plane.
    double shadow(std::size_t k) const { return areas_[k] * normals_[k].normalized().dot(away_); }

    /// Lays the plane the heights stand on. Its axes follow the foot, so that a foot and its mirror image
    /// give mirrored results.
    std::optional<Fault> lay_plane() {
        away_ = Vec3::Zero();
        origin_ = Vec3::Zero();
        double whole = 0.0;
        for (std::size_t k = 0; k < points_.size(); ++k) {
            if (distance(points_[k]) > zone_.reach_mm) continue;
            away_ += normals_[k];
            origin_ += areas_[k] * point(points_[k]);
            whole += areas_[k];
        }
        if (!(whole > 0.0) || !(away_.norm() > 0.0))
            return fault("no point of the cast lies within its reach of " + rounded(zone_.reach_mm, 1) +
                         " mm. Mark it on the cast, or give it a larger reach.");
        away_.normalize();
        origin_ /= whole;
        for (std::size_t k = 0; k < points_.size(); ++k)
            if (distance(points_[k]) <= zone_.reach_mm && normals_[k].normalized().dot(away_) < least_cosine)
                return fault(
                    "the cast bends too far round there for one repair. Divide it into shorter or "
                    "smaller ones.");
        Vec3 along = frame_.toes - frame_.toes.dot(away_) * away_;
        if (along.norm() < 0.5) along = frame_.up - frame_.up.dot(away_) * away_;
        u_ = along.normalized();
        v_ = away_.cross(u_);
        return std::nullopt;
    }
    bool faces(std::size_t k) const { return normals_[k].normalized().dot(away_) >= least_cosine; }
    Vec2 place(const Vec3& p) const { return {(p - origin_).dot(u_), (p - origin_).dot(v_)}; }
    double height(const Vec3& p) const { return (p - origin_).dot(away_); }
    const Vec3& away() const { return away_; }
    const Vec3& origin() const { return origin_; }
    std::vector<Vec2> line_in_plane() const {
        std::vector<Vec2> flat;
        for (const Vec3& p : line_) flat.push_back(place(p));
        return flat;
    }

  private:
    bool keep_connected(const std::vector<std::size_t>& near) {
        std::int32_t seed = -1;
        for (const std::size_t t : near)
            for (const std::int32_t i : scan_.triangles[t])
                if (seed < 0 || distance(i) < distance(seed)) seed = i;
        if (seed < 0 || distance(seed) > zone_.reach_mm) return false;
        // parts of the neighbourhood by union of triangles' corners
        std::vector<std::int32_t> slot(scan_.points.size(), -1), root;
        for (const std::size_t t : near)
            for (const std::int32_t i : scan_.triangles[t])
                if (slot[static_cast<std::size_t>(i)] < 0) {
                    slot[static_cast<std::size_t>(i)] = static_cast<std::int32_t>(points_.size());
                    points_.push_back(i);
                }
        root.resize(points_.size());
        std::iota(root.begin(), root.end(), 0);
        const auto find = [&](std::int32_t a) {
            while (root[static_cast<std::size_t>(a)] != a) {
                root[static_cast<std::size_t>(a)] =
                    root[static_cast<std::size_t>(root[static_cast<std::size_t>(a)])];
                a = root[static_cast<std::size_t>(a)];
            }
            return a;
        };
        for (const std::size_t t : near) {
            const Triangle& c = scan_.triangles[t];
            for (int k = 1; k < 3; ++k) {
                const std::int32_t a = find(slot[static_cast<std::size_t>(c[0])]),
                                   b = find(slot[static_cast<std::size_t>(c[static_cast<std::size_t>(k)])]);
                root[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
            }
        }
        const std::int32_t part = find(slot[static_cast<std::size_t>(seed)]);
        normals_.assign(points_.size(), Vec3::Zero());
        areas_.assign(points_.size(), 0.0);
        const double unit2 = frame_.mm_per_unit * frame_.mm_per_unit;
        for (const std::size_t t : near) {
            const Vec3 normal2 = (frame_.inside_out ? -unit2 : unit2) * scan_.normal2(t);
            for (const std::int32_t i : scan_.triangles[t]) {
                const auto k = static_cast<std::size_t>(slot[static_cast<std::size_t>(i)]);
                normals_[k] += normal2;
                areas_[k] += normal2.norm() / 6.0;
            }
        }
        std::size_t kept = 0;
        for (std::size_t k = 0; k < points_.size(); ++k) {
            if (find(static_cast<std::int32_t>(k)) != part || !(normals_[k].norm() > 0.0)) continue;
            points_[kept] = points_[k];
            normals_[kept] = normals_[k];
            areas_[kept] = areas_[k];
            ++kept;
        }
        points_.resize(kept);
        normals_.resize(kept);
        areas_.resize(kept);
        return kept > 0;
    }

    const TriangleMesh& scan_;
    const ScanFrame& frame_;
    const RepairZone& zone_;
    std::vector<Vec3> line_;
    std::vector<double> distance_;      ///< of every point of the scan from the zone's line
    std::vector<std::int32_t> points_;  ///< of the zone and round it
    std::vector<Vec3> normals_;
    std::vector<double> areas_;
    Vec3 away_ = Vec3::UnitZ(), origin_ = Vec3::Zero(), u_ = Vec3::UnitX(), v_ = Vec3::UnitY();
};

/// Whether samples stand all round both ends of the zone's line.
bool surrounded(const std::vector<Vec2>& line, const std::vector<Vec2>& samples) {
    for (const Vec2& end : {line.front(), line.back()}) {
        std::array<bool, sectors> seen{};
        for (const Vec2& at : samples) {
            const double turn = std::atan2((at - end).y(), (at - end).x()) / (2.0 * std::numbers::pi) + 0.5;
            seen[static_cast<std::size_t>(std::min(sectors - 1, static_cast<int>(turn * sectors)))] = true;
        }
        if (std::count(seen.begin(), seen.end(), true) < sectors_needed) return false;
    }
    return true;
}

/// A zone, or a part of a zone's line where it bends too far for one plane.
struct Piece {
    std::size_t zone;
    RepairZone what;
    Place place;
};

double length_of(const std::vector<Vec3>& line) {
    double length = 0.0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) length += (line[i + 1] - line[i]).norm();
    return length;
}

/// The line up to its middle and from there.
std::pair<std::vector<Vec3>, std::vector<Vec3>> halves(const std::vector<Vec3>& line) {
    const double half = 0.5 * length_of(line);
    double gone = 0.0;
    std::size_t i = 0;
    while (i + 2 < line.size() && gone + (line[i + 1] - line[i]).norm() < half)
        gone += (line[i + 1] - line[i]).norm(), ++i;
    const Vec3 way = line[i + 1] - line[i];
    const Vec3 middle = line[i] + (half - gone) / std::max(way.norm(), 1e-12) * way;
    std::vector<Vec3> first(line.begin(), line.begin() + static_cast<std::ptrdiff_t>(i) + 1), second{middle};
    first.push_back(middle);
    second.insert(second.end(), line.begin() + static_cast<std::ptrdiff_t>(i) + 1, line.end());
    return {first, second};
}

/// The zone's pieces, each over a plane of its own. What of a line bends too far for one is left out and adds
/// to `left_mm`.
std::optional<Fault> add_pieces(const TriangleMesh& scan, const ScanFrame& frame, std::size_t zone,
                                const RepairZone& what, std::vector<Piece>& pieces, double& left_mm) {
    Place place(scan, frame, what);
    if (auto fault = place.gather()) return fault;
    const auto bends = place.lay_plane();
    if (!bends) {
        pieces.push_back({zone, what, std::move(place)});
        return std::nullopt;
    }
    const double length = frame.mm_per_unit * length_of(what.points);
    if (length < what.reach_mm) {
        if (!(length > 0.0)) return bends;
        left_mm += length;
        return std::nullopt;
    }
    const auto [first, second] = halves(what.points);
    for (const std::vector<Vec3>& half : {first, second})
        if (auto fault = add_pieces(scan, frame, zone, {what.name, half, what.reach_mm}, pieces, left_mm))
            return fault;
    return std::nullopt;
}

/// The same for a whole zone: a fault where all of it bends too far.
std::optional<Fault> add_zone(const TriangleMesh& scan, const ScanFrame& frame, std::size_t zone,
                              const RepairZone& what, std::vector<Piece>& pieces, double& left_mm) {
    const std::size_t before = pieces.size();
    if (auto fault = add_pieces(scan, frame, zone, what, pieces, left_mm)) return fault;
    if (pieces.size() > before) return std::nullopt;
    Place place(scan, frame, what);
    if (auto fault = place.gather()) return fault;
    return place.lay_plane();
}

/// What lies round a piece, carried on through it: the course at large, and a surface of what is left of it.
struct Over {
    Course course;
    Vec2 low;
    surface::SplineSurface rest;
    double misfit2 = 0.0, area = 0.0;  ///< of what lies round the piece
    double height(const Vec2& at) const { return course.height(at) + rest.point(at - low).z(); }
};

/// The cast in and round a piece, over its plane.
struct Round {
    Vec2 low = Vec2::Constant(unreached), high = Vec2::Constant(-unreached);
    surface::FitPoints around;  ///< all that no zone takes out
    Samples ring, all;          ///< beside the piece, the nearer the surer; the same and what lies inside
    std::vector<Vec2> line;

    Vec2 middle() const { return 0.5 * (low + high); }
    double half() const { return 0.5 * (high - low).maxCoeff(); }
};

Outcome<Round> look_round(const Piece& piece, const std::vector<char>& taken_out) {
    const Place& place = piece.place;
    Round round;
    for (std::size_t k = 0; k < place.points().size(); ++k) {
        const std::int32_t i = place.points()[k];
        const Vec3 p = place.point(i);
        const bool inside = place.distance(i) <= piece.what.reach_mm;
        if (!inside && !place.faces(k)) continue;
        const Vec2 at = place.place(p);
        const double height = place.height(p), area = place.area(k);
        round.low = round.low.cwiseMin(at);
        round.high = round.high.cwiseMax(at);
        const bool out = taken_out[static_cast<std::size_t>(i)] != 0;
        if (!out) {
            round.around.uv.push_back(at);
            round.around.position.emplace_back(0, 0, height);
            round.around.weight.push_back(area);
        }
        if (out && !inside) continue;  // another zone's
        // the nearer the surer: how the foot goes on is told beside the zone
        const double away = std::max(0.0, (place.distance(i) - piece.what.reach_mm) / course_breadth_mm);
        if (away > 1.0) continue;
        const double weight = area * (1.0 - 0.9 * away);
        for (Samples* samples : {&round.ring, &round.all}) {
            if (samples == &round.ring && inside) continue;
            samples->at.push_back(at);
            samples->height.push_back(height);
            samples->weight.push_back(weight);
        }
    }
    round.line = place.line_in_plane();
    if (!surrounded(round.line, round.around.uv))
        return place.fault(
            "it reaches the end of the cast, or other repairs, so that nothing tells how the foot went on "
            "there. Make it smaller.");
    return round;
}

Outcome<Over> fit_over(const Piece& piece, const std::vector<char>& taken_out) {
    auto round = look_round(piece, taken_out);
    if (!round) return round.fault();
    surface::FitPoints& around = round->around;
    const Vec2 low = round->low, size = round->high - low, middle = round->middle();
    const auto basis = [](double length) {
        return surface::Basis{3 + std::max(1, static_cast<int>(std::ceil(length / knots_mm))), length};
    };
    const double half = round->half();
    std::optional<Course> course;
    if (round->line.size() == 1)
        course = below_dome(round->all, middle, half, round->line[0], piece.what.reach_mm);
    if (!course) course.emplace(round->ring, middle, half, nullptr);
    for (std::size_t k = 0; k < around.size(); ++k) {
        around.position[k].z() -= course->height(around.uv[k]);
        around.uv[k] -= low;
    }
    Over over{*course, low,
              surface::PenalisedFit(basis(size.x()), basis(size.y()), {repair_fairness}).fit(around)};
    for (std::size_t k = 0; k < around.size(); ++k) {
        const double off = over.rest.point(around.uv[k]).z() - around.position[k].z();
        over.misfit2 += around.weight[k] * off * off;
        over.area += around.weight[k];
    }
    return over;
}

}  // namespace

double distance_to_line(const Vec3& p, const std::vector<Vec3>& line) {
    double least = (p - line.front()).squaredNorm();
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const Vec3 way = line[i + 1] - line[i];
        const double length2 = way.squaredNorm();
        const double t = length2 > 0.0 ? std::clamp((p - line[i]).dot(way) / length2, 0.0, 1.0) : 0.0;
        least = std::min(least, (p - line[i] - t * way).squaredNorm());
    }
    return std::sqrt(least);
}

std::optional<double> dome_height(const TriangleMesh& cast, const ScanFrame& frame, const RepairZone& zone) {
    Place place(cast, frame, zone);
    if (place.gather() || place.lay_plane()) return std::nullopt;
    const Piece piece{0, zone, std::move(place)};
    std::vector<char> taken_out(cast.points.size(), 0);
    for (const std::int32_t i : piece.place.points())
        if (piece.place.distance(i) <= zone.reach_mm) taken_out[static_cast<std::size_t>(i)] = 1;
    const auto round = look_round(piece, taken_out);
    if (!round) return std::nullopt;
    // enough samples for 29 terms; more cost time and tell little
    constexpr std::size_t enough = 800;
    const std::size_t stride = 1 + round->all.at.size() / enough;
    Samples some;
    for (std::size_t k = 0; k < round->all.at.size(); k += stride) {
        some.at.push_back(round->all.at[k]);
        some.height.push_back(round->all.height[k]);
        some.weight.push_back(round->all.weight[k]);
    }
    const auto course = below_dome(some, round->middle(), round->half(), round->line.front(), zone.reach_mm);
    return course ? std::optional(course->dome_height()) : std::nullopt;
}

Outcome<Repaired> repair(const TriangleMesh& scan, const ScanFrame& frame,
                         const std::vector<RepairZone>& zones, Progress* progress) {
    Repaired repaired{scan, {}};
    std::vector<Piece> pieces;
    std::vector<double> left_mm(zones.size(), 0.0);
    std::vector<char> taken_out(scan.points.size(), 0);
    for (std::size_t z = 0; z < zones.size(); ++z) {
        if (progress != nullptr && progress->cancelled())
            return Fault{FaultKind::cancelled, "repair", "Cancelled.", std::nullopt};
        if (auto fault = add_zone(scan, frame, z, zones[z], pieces, left_mm[z])) return *fault;
    }
    for (const Piece& piece : pieces)
        for (const std::int32_t i : piece.place.points())
            if (piece.place.distance(i) <= piece.what.reach_mm) taken_out[static_cast<std::size_t>(i)] = 1;

    // where pieces overlap a point goes the mean of their ways
    std::vector<Vec3> way(scan.points.size(), Vec3::Zero());
    std::vector<double> share(scan.points.size(), 0.0);
    std::vector<double> misfit2(zones.size(), 0.0), around(zones.size(), 0.0);
    for (const Piece& piece : pieces) {
        const auto over = fit_over(piece, taken_out);
        if (!over) return over.fault();
        misfit2[piece.zone] += over->misfit2;
        around[piece.zone] += over->area;
        for (const std::int32_t i : piece.place.points()) {
            const double inward = piece.what.reach_mm - piece.place.distance(i);
            if (inward <= 0.0) continue;
            const Vec3 p = piece.place.point(i);
            const double weight = smooth_step(inward / repair_blend_mm);
            way[static_cast<std::size_t>(i)] +=
                weight * (over->height(piece.place.place(p)) - piece.place.height(p)) * piece.place.away();
            share[static_cast<std::size_t>(i)] += weight;
        }
    }
    for (std::size_t z = 0; z < zones.size(); ++z) {
        RepairFigure& figure = repaired.figures.emplace_back();
        figure.name = zones[z].name;
        figure.reach_mm = zones[z].reach_mm;
        figure.left_mm = left_mm[z];
        figure.around_mm = std::sqrt(misfit2[z] / std::max(around[z], 1e-12));
        Vec3 middle = Vec3::Zero();
        double whole = 0.0;
        for (const Piece& piece : pieces) {
            if (piece.zone != z) continue;
            for (std::size_t k = 0; k < piece.place.points().size(); ++k) {
                const auto i = static_cast<std::size_t>(piece.place.points()[k]);
                if (piece.place.distance(piece.place.points()[k]) > zones[z].reach_mm) continue;
                const Vec3 moved = way[i] / std::max(1.0, share[i]);
                const double move = moved.dot(piece.place.away());
                const Vec3 now = scan.points[i] + moved / frame.mm_per_unit;
                // a point of two pieces counts once
                const bool counted = repaired.mesh.points[i] != scan.points[i];
                repaired.mesh.points[i] = now;
                if (counted) continue;
                middle += piece.place.area(k) * now;
                whole += piece.place.area(k);
                figure.volume_mm3 += move * piece.place.shadow(k);
                ++figure.moved;
                if (std::abs(move) > std::abs(figure.largest_mm)) {
                    figure.largest_mm = move;
                    figure.where = now;
                }
            }
        }
        figure.place = whole > 0.0 ? Vec3(middle / whole) : zones[z].points.front();
    }
    return repaired;
}

}  // namespace archwright::examine
