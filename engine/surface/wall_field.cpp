#include "engine/surface/wall_field.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::surface {

namespace {

constexpr int tile_nodes = 8;
// A sheet is calm where, over the reach of a ball, its centres are within a tenth of the radius of a plane's
// second-order continuation and radii change gently: then the exit has one top, and climbing finds it.
constexpr double calm_slope = 0.25;
constexpr double calm_bend = 0.35;
// How much the top of a hill can stand above the best node near it: spacing^2 / (8 radius) of balls two steps
// apart on a steep flank.
constexpr double hill_above_node_mm = 0.35;
constexpr int hills_climbed = 6;
constexpr int window_most = 24;  // nodes each way: bounds the work whatever radius is asked

}  // namespace

// Centre and radius as quadratics of (a, b), counted in nodes from the middle one.
struct BallSheet::Patch {
    Vec3 q, qa, qb, qaa, qab, qbb;
    double t, ta, tb, taa, tab, tbb;
    double most;  // radius among the nodes: where the map jumps, its continuation must not stand above it

    struct Value {
        Vec3 q, qa, qb;
        double t, ta, tb;
    };
    Value at(double a, double b) const {
        return {q + a * (qa + 0.5 * a * qaa + b * qab) + b * (qb + 0.5 * b * qbb),
                qa + a * qaa + b * qab,
                qb + a * qab + b * qbb,
                std::min(most, t + a * (ta + 0.5 * a * taa + b * tab) + b * (tb + 0.5 * b * tbb)),
                ta + a * taa + b * tab,
                tb + a * tab + b * tbb};
    }
};

namespace {

// What a search maximises, with its gradient and Hessian at one ball of a patch.
struct Hill {
    double value = -1e300;
    double ga = 0, gb = 0, haa = 0, hab = 0, hbb = 0;
};

// Exit of the ray s - t n from a ball: t = beta + sqrt(T^2 - h^2), h the ray's distance from the centre.
struct Exit {
    const Vec3& s;
    const Vec3& n;

    double node(const Vec3& q, double t) const {
        const Vec3 d = q - s;
        const double beta = -n.dot(d);
        const double root2 = t * t - (d.squaredNorm() - beta * beta);
        return root2 >= 0.0 ? beta + std::sqrt(root2) : -1e300;
    }
    template <class Patch, class Value>
    bool hill(const Patch& p, const Value& x, Hill& out) const {
        const Vec3 d = x.q - s;
        const double beta = -n.dot(d);
        const Vec3 e = d + beta * n;
        const double root2 = x.t * x.t - e.squaredNorm();
        if (root2 < tolerance::degenerate) return false;
        const double root = std::sqrt(root2), inverse = 1.0 / root;
        const double na = n.dot(x.qa), nb = n.dot(x.qb);
        const double ra = x.t * x.ta - e.dot(x.qa), rb = x.t * x.tb - e.dot(x.qb);
        out.value = beta + root;
        out.ga = -na + ra * inverse;
        out.gb = -nb + rb * inverse;
        const double cube = inverse * inverse * inverse;
        out.haa = -n.dot(p.qaa) +
                  (x.ta * x.ta + x.t * p.taa - (x.qa.squaredNorm() - na * na) - e.dot(p.qaa)) * inverse -
                  ra * ra * cube;
        out.hab = -n.dot(p.qab) +
                  (x.ta * x.tb + x.t * p.tab - (x.qa.dot(x.qb) - na * nb) - e.dot(p.qab)) * inverse -
                  ra * rb * cube;
        out.hbb = -n.dot(p.qbb) +
                  (x.tb * x.tb + x.t * p.tbb - (x.qb.squaredNorm() - nb * nb) - e.dot(p.qbb)) * inverse -
                  rb * rb * cube;
        return true;
    }
};

// Minus the clearance of a point: T - |x - q|.
struct Depth {
    const Vec3& x;

    double node(const Vec3& q, double t) const { return t - (x - q).norm(); }
    template <class Patch, class Value>
    bool hill(const Patch& p, const Value& v, Hill& out) const {
        const Vec3 r = x - v.q;
        const double rho = r.norm();
        if (rho < tolerance::degenerate) return false;
        const Vec3 w = r / rho;
        const double wa = w.dot(v.qa), wb = w.dot(v.qb);
        out.value = v.t - rho;
        out.ga = v.ta + wa;
        out.gb = v.tb + wb;
        out.haa = p.taa + w.dot(p.qaa) - (v.qa.squaredNorm() - wa * wa) / rho;
        out.hab = p.tab + w.dot(p.qab) - (v.qa.dot(v.qb) - wa * wb) / rho;
        out.hbb = p.tbb + w.dot(p.qbb) - (v.qb.squaredNorm() - wb * wb) / rho;
        return true;
    }
};

}  // namespace

BallSheet::BallSheet(const Lattice& lattice, std::vector<Vec3> centres, std::vector<double> radii)
    : lattice_(lattice), centres_(std::move(centres)), radii_(std::move(radii)) {
    tiles_u_ = (lattice_.nu + tile_nodes - 1) / tile_nodes;
    tiles_v_ = (lattice_.nv + tile_nodes - 1) / tile_nodes;
    own_.resize(static_cast<std::size_t>(tiles_u_) * static_cast<std::size_t>(tiles_v_));
    parallel_for(own_.size(), 16, [&](std::size_t begin, std::size_t end) {
        for (std::size_t c = begin; c < end; ++c) own_[c] = own_tile(c);
    });
    spread_reach();
}

void BallSheet::replace(const std::vector<std::size_t>& nodes, const std::vector<Vec3>& centres,
                        const std::vector<double>& radii) {
    std::vector<char> touched(own_.size(), 0);
    for (std::size_t n = 0; n < nodes.size(); ++n) {
        const std::size_t k = nodes[n];
        centres_[k] = centres[n];
        radii_[k] = radii[n];
        // a node counts in the differences of its neighbours, and the border's nodes take those further in
        constexpr int beside = 2;
        const int i = static_cast<int>(k) / lattice_.nv, j = static_cast<int>(k) % lattice_.nv;
        for (const int x : {std::max(0, i - beside), std::min(lattice_.nu - 1, i + beside)})
            for (const int y : {std::max(0, j - beside), std::min(lattice_.nv - 1, j + beside)})
                touched[static_cast<std::size_t>((x / tile_nodes) * tiles_v_ + y / tile_nodes)] = 1;
    }
    parallel_for(own_.size(), 16, [&](std::size_t begin, std::size_t end) {
        for (std::size_t c = begin; c < end; ++c)
            if (touched[c]) own_[c] = own_tile(c);
    });
    spread_reach();
}

BallSheet::Node BallSheet::nearest(const Vec2& uv) const {
    const auto round = [](double x, int nodes) {
        return std::clamp(static_cast<int>(std::lround(x)), 0, nodes - 1);
    };
    return {round(uv.x() / lattice_.step_u(), lattice_.nu), round(uv.y() / lattice_.step_v(), lattice_.nv)};
}

const BallSheet::Tile& BallSheet::tile(const Node& node) const {
    return tiles_[static_cast<std::size_t>((node.i / tile_nodes) * tiles_v_ + node.j / tile_nodes)];
}

BallSheet::Patch BallSheet::patch(const Node& node) const {
    const std::size_t row = static_cast<std::size_t>(lattice_.nv), k = lattice_.index(node.i, node.j);
    const auto differences = [&](const auto& x, auto& f, auto& fa, auto& fb, auto& faa, auto& fab,
                                 auto& fbb) {
        f = x[k];
        fa = 0.5 * (x[k + row] - x[k - row]);
        fb = 0.5 * (x[k + 1] - x[k - 1]);
        faa = x[k + row] - 2.0 * x[k] + x[k - row];
        fbb = x[k + 1] - 2.0 * x[k] + x[k - 1];
        fab = 0.25 * (x[k + row + 1] - x[k + row - 1] - x[k - row + 1] + x[k - row - 1]);
    };
    Patch p;
    differences(centres_, p.q, p.qa, p.qb, p.qaa, p.qab, p.qbb);
    differences(radii_, p.t, p.ta, p.tb, p.taa, p.tab, p.tbb);
    p.most = 0.0;
    for (std::size_t i : {k - row, k, k + row})
        p.most = std::max({p.most, radii_[i - 1], radii_[i], radii_[i + 1]});
    return p;
}

BallSheet::Tile BallSheet::own_tile(std::size_t c) const {
    const int i0 = static_cast<int>(c) / tiles_v_ * tile_nodes;
    const int j0 = static_cast<int>(c) % tiles_v_ * tile_nodes;
    Tile t;
    t.step_u = t.step_v = 1e300;
    for (int i = i0; i < std::min(i0 + tile_nodes, lattice_.nu); ++i)
        for (int j = j0; j < std::min(j0 + tile_nodes, lattice_.nv); ++j) {
            t.reach = std::max(t.reach, radii_[lattice_.index(i, j)]);
            const Node node{std::clamp(i, 1, lattice_.nu - 2), std::clamp(j, 1, lattice_.nv - 2)};
            const Patch p = patch(node);
            const double a = p.qa.norm(), b = p.qb.norm();
            t.step_u = std::min(t.step_u, a);
            t.step_v = std::min(t.step_v, b);
            const double slope = std::hypot(p.ta / a, p.tb / b);
            const Vec3 n = p.qa.cross(p.qb).normalized();
            const auto bend = [&](const Vec3& second, double radius, double steps) {
                return std::abs(second.dot(n) * p.t) / steps + std::abs(radius * p.t) / steps;
            };
            if (!(slope < calm_slope && bend(p.qaa, p.taa, a * a) < calm_bend &&
                  bend(p.qbb, p.tbb, b * b) < calm_bend && bend(p.qab, p.tab, a * b) < calm_bend))
                t.calm = false;
        }
    return t;
}

void BallSheet::spread_reach() {
    const std::vector<Tile>& own = own_;
    // what lies within reach of a tile: its neighbours, as many as the greatest radius spans
    double reach = 0.0, step_u = 1e300, step_v = 1e300;
    for (const Tile& t : own) {
        reach = std::max(reach, t.reach);
        step_u = std::min(step_u, std::max(t.step_u, 0.25 * lattice_.step_u()));
        step_v = std::min(step_v, std::max(t.step_v, 0.25 * lattice_.step_v()));
    }
    const auto spread = [reach](double step) {
        // capped before it becomes an int: the map may ask for any radius
        return 1 + static_cast<int>(std::min(reach / (step * tile_nodes), 1.0 * window_most / tile_nodes));
    };
    const int su = spread(step_u), sv = spread(step_v);
    tiles_ = own;
    for (int i = 0; i < tiles_u_; ++i)
        for (int j = 0; j < tiles_v_; ++j) {
            Tile& t = tiles_[static_cast<std::size_t>(i * tiles_v_ + j)];
            for (int x = std::max(0, i - su); x <= std::min(tiles_u_ - 1, i + su); ++x)
                for (int y = std::max(0, j - sv); y <= std::min(tiles_v_ - 1, j + sv); ++y) {
                    const Tile& o = own[static_cast<std::size_t>(x * tiles_v_ + y)];
                    t.reach = std::max(t.reach, o.reach);
                    t.calm = t.calm && o.calm;
                }
        }
}

// Newton's method on the patches, walking to the neighbour when the top lies beyond a patch's own cell. Every
// value seen belongs to a ball of the sheet, so the best of them is returned whatever became of the last
// step.
template <class Objective>
double BallSheet::climb(const Objective& objective, Node node) const {
    constexpr int most_patches = 12, most_steps = 6;
    constexpr double cell = 0.75, converged = 1e-5;  // nodes; the value's error goes with the square
    double best =
        objective.node(centres_[lattice_.index(node.i, node.j)], radii_[lattice_.index(node.i, node.j)]);
    double a = 0.0, b = 0.0;
    for (int patches = 0; patches < most_patches; ++patches) {
        const Node inner{std::clamp(node.i, 1, lattice_.nu - 2), std::clamp(node.j, 1, lattice_.nv - 2)};
        a += node.i - inner.i;
        b += node.j - inner.j;
        node = inner;
        const double low_a = node.i == 1 ? -1.0 : -cell, high_a = node.i == lattice_.nu - 2 ? 1.0 : cell;
        const double low_b = node.j == 1 ? -1.0 : -cell, high_b = node.j == lattice_.nv - 2 ? 1.0 : cell;
        const Patch p = patch(node);
        for (int step = 0; step < most_steps; ++step) {
            Hill hill;
            if (!objective.hill(p, p.at(a, b), hill)) return best;
            best = std::max(best, hill.value);
            const double det = hill.haa * hill.hbb - hill.hab * hill.hab;
            double da, db;
            if (hill.haa < 0.0 && det > 0.0) {
                da = -(hill.hbb * hill.ga - hill.hab * hill.gb) / det;
                db = -(hill.haa * hill.gb - hill.hab * hill.ga) / det;
            } else {  // not a hilltop here: half a node uphill
                const double size = std::hypot(hill.ga, hill.gb);
                if (size < tolerance::degenerate) return best;
                da = 0.5 * hill.ga / size;
                db = 0.5 * hill.gb / size;
            }
            const double longest = std::max(std::abs(da), std::abs(db));
            if (longest > 1.0) {
                da /= longest;
                db /= longest;
            }
            const double next_a = std::clamp(a + da, low_a, high_a),
                         next_b = std::clamp(b + db, low_b, high_b);
            const double moved = std::max(std::abs(next_a - a), std::abs(next_b - b));
            a = next_a;
            b = next_b;
            if (moved < converged) break;
        }
        Hill last;
        if (objective.hill(p, p.at(a, b), last)) best = std::max(best, last.value);
        const int over_a = std::abs(a) > 0.7 ? (a > 0 ? 1 : -1) : 0,
                  over_b = std::abs(b) > 0.7 ? (b > 0 ? 1 : -1) : 0;
        const Node next{std::clamp(node.i + over_a, 1, lattice_.nu - 2),
                        std::clamp(node.j + over_b, 1, lattice_.nv - 2)};
        if (next.i == node.i && next.j == node.j) break;
        a -= next.i - node.i;
        b -= next.j - node.j;
        node = next;
    }
    return best;
}

// All nodes within `distance` of the start, then up every hill that could be the highest.
template <class Objective>
double BallSheet::search(const Objective& objective, Node node, double distance, double at_least) const {
    const auto [wu, wv] = reach_in_nodes(node, distance);
    const int i0 = std::max(0, node.i - wu), i1 = std::min(lattice_.nu - 1, node.i + wu);
    const int j0 = std::max(0, node.j - wv), j1 = std::min(lattice_.nv - 1, node.j + wv);
    constexpr int side = 2 * window_most + 1;
    std::array<double, side * side> values;
    const int columns = j1 - j0 + 1;
    double best = at_least;
    for (int i = i0; i <= i1; ++i)
        for (int j = j0; j <= j1; ++j) {
            const std::size_t k = lattice_.index(i, j);
            const double value = objective.node(centres_[k], radii_[k]);
            values[static_cast<std::size_t>((i - i0) * columns + j - j0)] = value;
            best = std::max(best, value);
        }
    struct Top {
        double value;
        Node node;
    };
    std::array<Top, hills_climbed> tops;
    int count = 0;
    const double least = best - hill_above_node_mm;
    for (int i = i0; i <= i1; ++i)
        for (int j = j0; j <= j1; ++j) {
            const double value = values[static_cast<std::size_t>((i - i0) * columns + j - j0)];
            if (value < least) continue;
            bool top = true;
            for (int x = std::max(i0, i - 1); x <= std::min(i1, i + 1) && top; ++x)
                for (int y = std::max(j0, j - 1); y <= std::min(j1, j + 1); ++y)
                    if (values[static_cast<std::size_t>((x - i0) * columns + y - j0)] > value) {
                        top = false;
                        break;
                    }
            if (!top) continue;
            int at = count < hills_climbed ? count++
                                           : (tops[hills_climbed - 1].value < value ? hills_climbed - 1 : -1);
            if (at < 0) continue;
            for (; at > 0 && tops[static_cast<std::size_t>(at - 1)].value < value; --at)
                tops[static_cast<std::size_t>(at)] = tops[static_cast<std::size_t>(at - 1)];
            tops[static_cast<std::size_t>(at)] = {value, {i, j}};
        }
    for (int h = 0; h < count; ++h)
        best = std::max(best, climb(objective, tops[static_cast<std::size_t>(h)].node));
    return best;
}

std::pair<int, int> BallSheet::reach_in_nodes(const Node& node, double distance) const {
    const Tile& t = tile(node);
    const auto nodes = [distance](double step, double flat) {
        return static_cast<int>(std::min(distance / std::max(step, 0.25 * flat) + 1.0, 1.0 * window_most));
    };
    return {nodes(t.step_u, lattice_.step_u()), nodes(t.step_v, lattice_.step_v())};
}

BallSheet::Window BallSheet::window(const Vec2& uv) const {
    // a hill is climbed a little beyond the nodes that were looked at, over the differences of its patches
    constexpr int beyond = 3;
    const Node node = nearest(uv);
    const auto [wu, wv] = reach_in_nodes(node, tile(node).reach);
    return {std::max(0, node.i - wu - beyond), std::min(lattice_.nu - 1, node.i + wu + beyond),
            std::max(0, node.j - wv - beyond), std::min(lattice_.nv - 1, node.j + wv + beyond)};
}

double BallSheet::exit(const Vec3& s, const Vec3& n, const Vec2& uv, double at_least) const {
    const Node node = nearest(uv);
    const Tile& t = tile(node);
    return t.calm ? std::max(at_least, climb(Exit{s, n}, node)) : search(Exit{s, n}, node, t.reach, at_least);
}

double BallSheet::clearance(const Vec3& x, const Vec2& uv) const {
    const Node node = nearest(uv);
    const Tile& t = tile(node);
    return -(t.calm ? climb(Depth{x}, node) : search(Depth{x}, node, t.reach, -1e300));
}

BallSheet sample_layer(const Lattice& lattice, const LatticeFrames& carpet, const BallLayer& layer) {
    std::vector<Vec3> centres(carpet.points);
    std::vector<double> radii(lattice.size());
    parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
        for (std::size_t k = begin; k < end; ++k) {
            const Vec2 uv = lattice.uv(k);
            radii[k] = layer.radius(uv, carpet.points[k]);
            if (layer.height) centres[k] += layer.height(uv) * carpet.normals[k];
        }
    });
    return {lattice, std::move(centres), std::move(radii)};
}

}  // namespace archwright::surface
