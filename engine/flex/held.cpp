// Whether supports and springs leave a piece of the shell free to move as a rigid body.
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <numeric>
#include <string>

#include "engine/base/text.hpp"
#include "engine/flex/limits.hpp"
#include "engine/flex/linear.hpp"

namespace archwright::flex {

namespace {

/// Piece of each point, numbered by their first points.
std::vector<std::int32_t> pieces_of(const Model& model) {
    std::vector<std::int32_t> of(model.points.size());
    std::iota(of.begin(), of.end(), 0);
    const auto root = [&](std::int32_t p) {
        while (of[p] != p) p = of[p] = of[of[p]];
        return p;
    };
    for (const Triangle& t : model.triangles)
        for (int i = 1; i < 3; ++i) {
            const std::int32_t a = root(t[0]), b = root(t[i]);
            of[std::max(a, b)] = std::min(a, b);
        }
    for (std::int32_t p = 0; p < static_cast<std::int32_t>(of.size()); ++p) of[p] = root(p);
    return of;
}

/// Freedoms of a point for the six rigid motions about `middle`; turns are scaled by 1 / size.
Mat6 rigid_motion(const Vec3& point, const Vec3& middle, double size) {
    Mat6 motion = Mat6::Identity();
    const Vec3 arm = (point - middle) / size;
    for (int axis = 0; axis < 3; ++axis) motion.block<3, 1>(0, 3 + axis) = Vec3(Vec3::Unit(axis)).cross(arm);
    motion.block<3, 3>(3, 3) /= size;
    return motion;
}

std::string words_of(const Vec6& motion) {
    const Vec3 along = motion.head<3>(), turn = motion.tail<3>();
    const auto direction = [](const Vec3& v) {
        const Vec3 unit = v.normalized();
        return "(" + rounded(unit.x(), 2) + ", " + rounded(unit.y(), 2) + ", " + rounded(unit.z(), 2) + ")";
    };
    return turn.norm() > 1e-3 * motion.norm() ? "turn about " + direction(turn)
                                              : "move along " + direction(along);
}

/// The piece that is held worst, its motion, and how it is held.
struct WorstHeld {
    double share = 1.0;
    Vec3 middle = Vec3::Zero();
    Vec6 motion = Vec6::Zero();
};

WorstHeld worst_held(const Model& model, const std::vector<char>& fixed,
                     const std::vector<PointStiffness>& springs) {
    const std::vector<std::int32_t> piece = pieces_of(model);
    struct Body {
        Vec3 middle = Vec3::Zero();
        double points = 0.0, size = 0.0;
        Mat6 hold = Mat6::Zero();
    };
    std::vector<Body> bodies(model.points.size());  // at the first point of each piece
    for (std::size_t p = 0; p < model.points.size(); ++p) {
        bodies[piece[p]].middle += model.points[p];
        bodies[piece[p]].points += 1.0;
    }
    for (Body& body : bodies) body.middle /= std::max(1.0, body.points);
    for (std::size_t p = 0; p < model.points.size(); ++p) {
        Body& body = bodies[piece[p]];
        body.size = std::max(body.size, (model.points[p] - body.middle).norm());
    }
    for (std::size_t p = 0; p < model.points.size(); ++p) {
        Body& body = bodies[piece[p]];
        const Mat6 motion = rigid_motion(model.points[p], body.middle, body.size);
        for (int c = 0; c < 6; ++c) {
            const double arm = c < 3 ? 1.0 : body.size;
            if (fixed[6 * p + c]) body.hold += arm * arm * motion.row(c).transpose() * motion.row(c);
        }
    }
    for (const PointStiffness& spring : springs) {
        Body& body = bodies[piece[spring.point]];
        const Mat6 motion = rigid_motion(model.points[spring.point], body.middle, body.size);
        const Mat6 held = motion.transpose() * spring.block * motion;
        if (const double most = held.cwiseAbs().maxCoeff(); most > 0.0) body.hold += held / most;
    }
    WorstHeld worst;
    for (const Body& body : bodies) {
        if (body.points == 0.0) continue;
        const Eigen::SelfAdjointEigenSolver<Mat6> modes(body.hold);
        const double share = modes.eigenvalues()[0] / std::max(1.0, modes.eigenvalues()[5]);
        if (share < worst.share) worst = {share, body.middle, modes.eigenvectors().col(0)};
    }
    return worst;
}

}  // namespace

double least_hold(const Model& model, const std::vector<char>& fixed,
                  const std::vector<PointStiffness>& springs) {
    return std::max(0.0, worst_held(model, fixed, springs).share);
}

Outcome<Done> check_held(const Model& model, const std::vector<char>& fixed,
                         const std::vector<PointStiffness>& springs) {
    const WorstHeld worst = worst_held(model, fixed, springs);
    if (worst.share > limit::least_hold) return Done{};
    return Fault{FaultKind::input, "flex",
                 "The shell is not held: with these supports its piece about " + coordinates(worst.middle) +
                     " may " + words_of(worst.motion) + ". Support it against that.",
                 worst.middle};
}

}  // namespace archwright::flex
