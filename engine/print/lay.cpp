#include "engine/print/lay.hpp"

#include <numbers>
#include <numeric>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/topology.hpp"

namespace archwright::print {

namespace {

constexpr double in_radians = std::numbers::pi / 180.0;
/// Skin this near to the lowest place lies on the plate, mm: less than a layer.
constexpr double on_plate_mm = 0.05;
constexpr int spread_ways = 642;

/// Evenly spread directions: the golden spiral (R. Swinbank and R. J. Purser, Quarterly Journal of the Royal
/// Meteorological Society 132, 2006).
std::vector<Vec3> spread(int count) {
    static const double golden = std::numbers::pi * (3.0 - std::sqrt(5.0));
    std::vector<Vec3> ways;
    for (int i = 0; i < count; ++i) {
        const double z = 1.0 - (2.0 * i + 1.0) / count, out = std::sqrt(1.0 - z * z);
        ways.emplace_back(out * std::cos(golden * i), out * std::sin(golden * i), z);
    }
    return ways;
}

/// Is an overhang: looks down, and lies flatter than the limit.
bool overhangs(const Vec3& normal, const Vec3& up, double overhang_deg) {
    return overhang_deg > 0.0 && -normal.dot(up) > std::cos(overhang_deg * in_radians);
}

std::int32_t root_of(std::vector<std::int32_t>& parent, std::int32_t t) {
    while (parent[t] != t) t = parent[t] = parent[parent[t]];
    return t;
}

double score_of(const Laid& laid, const Printer& printer, double volume) {
    const Weights& w = printer.weights;
    constexpr double most_flats = 2.0;
    return w.height * laid.height_mm / printer.build_z_mm + w.overhang * laid.columns_mm3 / volume +
           w.flats * std::min(most_flats, laid.flat_mm2 / printer.flat_mm2.value) + w.across * laid.across;
}

}  // namespace

Skin::Skin(const TriangleMesh& mesh) : mesh_(mesh), opposite_(find_topology(mesh).opposite) {
    normals_.reserve(mesh.triangles.size());
    areas_.reserve(mesh.triangles.size());
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
        const Vec3 twice = mesh.normal2(t);
        const double size = twice.norm();
        normals_.push_back(size > 0.0 ? Vec3(twice / size) : Vec3(Vec3::Zero()));
        areas_.push_back(0.5 * size);
        area_ += areas_.back();
    }
    volume_ = std::max(mesh.volume(), 1e-9);
    std::vector<char> used(mesh.points.size(), 0);
    for (const Triangle& t : mesh.triangles)
        for (const std::int32_t p : t) used[p] = 1;
    // a corner of the hull has an edge that bends outward: the others need not be asked how high they lie
    std::vector<char> outer(mesh.points.size(), 0);
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
        for (int k = 0; k < 3; ++k) {
            const std::int32_t across = opposite_[3 * t + k];
            const Triangle& c = mesh.triangles[t];
            bool convex = true;
            if (across >= 0) {
                const Triangle& d = mesh.triangles[across / 3];
                const Vec3& beyond = mesh.points[d[(across % 3 + 2) % 3]];
                convex = (beyond - mesh.points[c[0]]).dot(normals_[t]) <= 1e-9;
            }
            if (convex) outer[c[k]] = outer[c[(k + 1) % 3]] = 1;
        }
    for (std::size_t p = 0; p < mesh.points.size(); ++p)
        if (used[p] && outer[p]) far_points_.push_back(mesh.points[p]);
}

Laid Skin::laid(const Vec3& up, double overhang_deg) const {
    Laid laid;
    laid.up = up;
    double low = 1e300, high = -1e300;
    for (const Vec3& p : far_points_) {
        const double z = p.dot(up);
        low = std::min(low, z);
        high = std::max(high, z);
    }
    laid.height_mm = high - low;
    const double flat = std::cos(flat_within_deg * in_radians);
    std::vector<std::int32_t> flats, slot(normals_.size(), -1);
    double largest = 0.0;
    for (std::size_t t = 0; t < normals_.size(); ++t) {
        const double looks = normals_[t].dot(up);
        if (std::abs(looks) >= flat) {
            slot[t] = static_cast<std::int32_t>(flats.size());
            flats.push_back(static_cast<std::int32_t>(t));
        }
        if (looks >= 0.0) continue;
        const Triangle& c = mesh_.triangles[t];
        double top = -1e300;
        for (const std::int32_t p : c) top = std::max(top, mesh_.points[p].dot(up));
        if (top < low + on_plate_mm) {
            laid.plate_mm2 += areas_[t];
        } else if (overhangs(normals_[t], up, overhang_deg)) {
            laid.overhang_mm2 += areas_[t];
            const Vec3 middle = (mesh_.points[c[0]] + mesh_.points[c[1]] + mesh_.points[c[2]]) / 3.0;
            laid.columns_mm3 += areas_[t] * -looks * (middle.dot(up) - low);
            if (areas_[t] > largest) {
                largest = areas_[t];
                laid.overhang_where = middle;
            }
        }
    }
    // patches: flats that share an edge and look the same way
    std::vector<std::int32_t> parent(flats.size());
    std::iota(parent.begin(), parent.end(), 0);
    for (std::size_t f = 0; f < flats.size(); ++f)
        for (int k = 0; k < 3; ++k) {
            const std::int32_t across = opposite_[3 * flats[f] + k];
            if (across < 0 || slot[across / 3] < 0) continue;
            if (normals_[flats[f]].dot(up) * normals_[across / 3].dot(up) < 0.0) continue;
            const std::int32_t a = root_of(parent, static_cast<std::int32_t>(f)),
                               b = root_of(parent, slot[across / 3]);
            if (a != b) parent[std::max(a, b)] = std::min(a, b);
        }
    std::vector<double> patch(flats.size(), 0.0);
    std::vector<Vec3> moment(flats.size(), Vec3::Zero());
    for (std::size_t f = 0; f < flats.size(); ++f) {
        const std::int32_t r = root_of(parent, static_cast<std::int32_t>(f));
        const Triangle& c = mesh_.triangles[flats[f]];
        patch[r] += areas_[flats[f]];
        moment[r] += areas_[flats[f]] / 3.0 * (mesh_.points[c[0]] + mesh_.points[c[1]] + mesh_.points[c[2]]);
    }
    for (std::size_t r = 0; r < patch.size(); ++r)
        if (patch[r] > laid.flat_mm2) {
            laid.flat_mm2 = patch[r];
            laid.flat_where = moment[r] / patch[r];
        }
    return laid;
}

double Skin::supports(const Vec3& up, double overhang_deg) const {
    if (!(overhang_deg > 0.0)) return 0.0;
    double low = 1e300;
    for (const Vec3& p : far_points_) low = std::min(low, p.dot(up));
    const Bvh tree(mesh_);
    double volume = 0.0;
    for (std::size_t t = 0; t < normals_.size(); ++t) {
        if (!overhangs(normals_[t], up, overhang_deg)) continue;
        const Triangle& c = mesh_.triangles[t];
        const Vec3 p = (mesh_.points[c[0]] + mesh_.points[c[1]] + mesh_.points[c[2]]) / 3.0;
        double deep = p.dot(up) - low;
        if (const auto hit = tree.ray(p, -up, 1e-5, deep + 1.0)) deep = std::min(deep, hit->t);
        volume += areas_[t] * -normals_[t].dot(up) * deep;
    }
    return volume;
}

std::vector<Vec2> Skin::outline(const Mat3& turn) const {
    std::vector<Vec2> all;
    all.reserve(far_points_.size());
    for (const Vec3& p : far_points_) all.emplace_back((turn * p).head<2>());
    // the hull, by A. M. Andrew's monotone chain (Information Processing Letters 9, 1979)
    std::sort(all.begin(), all.end(), [](const Vec2& a, const Vec2& b) {
        return a.x() < b.x() || (a.x() == b.x() && a.y() < b.y());
    });
    if (all.size() < 3) return all;
    const auto left = [](const Vec2& a, const Vec2& b, const Vec2& c) {
        return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x()) > 0.0;
    };
    std::vector<Vec2> hull;
    const auto walk = [&](const auto begin, const auto end) {
        const std::size_t from = hull.size();
        for (auto at = begin; at != end; ++at) {
            while (hull.size() >= from + 2 && !left(hull[hull.size() - 2], hull.back(), *at)) hull.pop_back();
            hull.push_back(*at);
        }
        hull.pop_back();
    };
    walk(all.begin(), all.end());
    walk(all.rbegin(), all.rend());
    return hull;
}

TriangleMesh Placed::of(const TriangleMesh& mesh) const {
    TriangleMesh out = mesh;
    for (Vec3& p : out.points) p = turn * p + shift;
    return out;
}

Placed place_on(const Skin& skin, const Vec3& up, const Vec3& room) {
    // the shortest turn that brings `up` to +z; upside down: about x
    Mat3 lift = Mat3::Identity();
    if (up.z() < -1.0 + 1e-12)
        lift = Vec3(1.0, -1.0, -1.0).asDiagonal();
    else
        lift = Eigen::Quaterniond::FromTwoVectors(up, Vec3::UnitZ()).toRotationMatrix();
    const std::vector<Vec2> hull = skin.outline(lift);
    double least = -1e300, best = 0.0;
    for (int degrees = 0; degrees < 180; ++degrees) {
        const double c = std::cos(degrees * in_radians), s = std::sin(degrees * in_radians);
        Vec2 low = Vec2::Constant(1e300), high = -low;
        for (const Vec2& p : hull) {
            const Vec2 q(c * p.x() - s * p.y(), s * p.x() + c * p.y());
            low = low.cwiseMin(q);
            high = high.cwiseMax(q);
        }
        const double free = (room.head<2>() - (high - low)).minCoeff();
        if (free > least + 1e-9) {
            least = free;
            best = degrees;
        }
    }
    Placed placed;
    placed.turn = Eigen::AngleAxisd(best * in_radians, Vec3::UnitZ()).toRotationMatrix() * lift;
    Box3 box;
    for (const Vec3& p : skin.mesh().points) box.add(placed.turn * p);
    placed.shift = {-box.centre().x(), -box.centre().y(), -box.low.z()};
    placed.size = box.size();
    placed.fits = (placed.size.array() <= room.array() + 1e-9).all();
    return placed;
}

Outcome<Proposal> propose(const Skin& skin, const Printer& printer, const Pull& pull, Progress* progress) {
    const double limit = printer.overhang_deg.value;
    const Vec3 room = printer.room();
    // what fits however it lies need not be turned about to see
    const bool small = skin.mesh().box().size().norm() <= room.minCoeff();
    struct Tried {
        Laid laid;
        double over_mm = 0.0;  ///< how much it is too large for the room; 0: it fits
    };
    const auto judge = [&](const Vec3& up) {
        Tried tried;
        tried.laid = skin.laid(up, limit);
        tried.laid.across = pull.across(up);
        tried.laid.score = score_of(tried.laid, printer, skin.volume());
        if (small) return tried;
        const Placed placed = place_on(skin, up, room);
        if (!placed.fits) tried.over_mm = (placed.size - room).maxCoeff();
        return tried;
    };
    const auto better = [](const Tried& a, const Tried& b) {
        if (a.over_mm != b.over_mm) return a.over_mm < b.over_mm;
        return a.laid.score < b.laid.score - 1e-12;
    };
    std::vector<Vec3> ways = spread(spread_ways);
    for (int axis = 0; axis < 3; ++axis) {
        ways.push_back(Vec3::Unit(axis));
        ways.push_back(-Vec3::Unit(axis));
    }
    Tried best;
    bool first = true;
    constexpr double first_step_deg = 4.0, last_step_deg = 0.25;
    double step = first_step_deg;
    for (int round = 0;; ++round) {
        std::vector<Tried> tried(ways.size());
        parallel_for(ways.size(), 4, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i)
                if (!progress || !progress->cancelled()) tried[i] = judge(ways[i]);
        });
        if (progress && progress->cancelled())
            return Fault{FaultKind::cancelled, "print", "Cancelled; nothing was proposed.", {}};
        bool moved = false;
        for (const Tried& one : tried)
            if (first || better(one, best)) {
                best = one;
                first = false;
                moved = true;
            }
        if (round > 0 && !moved) step *= 0.5;
        constexpr int most_rounds = 40;
        if (step < last_step_deg || round == most_rounds) break;
        const Vec3 up = best.laid.up, e = up.unitOrthogonal(), f = up.cross(e);
        ways.clear();
        for (int k = 0; k < 8; ++k) {
            const double angle = k * std::numbers::pi / 4.0;
            ways.push_back((up + std::tan(step * in_radians) * (std::cos(angle) * e + std::sin(angle) * f))
                               .normalized());
        }
    }
    Proposal proposal;
    proposal.laid = best.laid;
    proposal.fits = best.over_mm <= 0.0;
    proposal.as_it_stands = judge(Vec3::UnitZ()).laid;
    proposal.placed = place_on(skin, best.laid.up, room);
    proposal.standing = place_on(skin, Vec3::UnitZ(), room);
    proposal.laid.support_mm3 = skin.supports(best.laid.up, limit);
    proposal.as_it_stands.support_mm3 = skin.supports(Vec3::UnitZ(), limit);
    return proposal;
}

std::string words_of_up(const Vec3& up) {
    const double pitch = std::asin(std::clamp(up.x(), -1.0, 1.0)) / in_radians;
    const double roll = std::atan2(up.y(), std::abs(up.z())) / in_radians;
    constexpr double nothing_deg = 0.5, upright_deg = 89.5;
    std::string words;
    if (std::abs(pitch) >= nothing_deg)
        words =
            std::string(pitch > 0.0 ? "toes" : "heel") + " up by " + rounded(std::abs(pitch), 0) + " degrees";
    if (std::abs(pitch) < upright_deg && std::abs(roll) >= nothing_deg)
        words += (words.empty() ? "" : ", ") + std::string(roll > 0.0 ? "medial" : "lateral") +
                 " border up by " + rounded(std::abs(roll), 0) + " degrees";
    if (up.z() < 0.0 && std::abs(pitch) < upright_deg)
        words = "underside up" + (words.empty() ? "" : ", " + words);
    return words.empty() ? "as it stands" : words;
}

}  // namespace archwright::print
