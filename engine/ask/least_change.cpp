#include "engine/ask/least_change.hpp"

#include <Eigen/Dense>
#include <vector>

namespace archwright::ask {

namespace {

/// Of the size of a step and of a slope of what is made least, below which they are nothing.
constexpr double no_step = 1e-13;

}  // namespace

Eigen::VectorXd least_change_step(const Eigen::VectorXd& misses, const Eigen::MatrixXd& slopes,
                                  const Eigen::VectorXd& from, double least_change,
                                  const Eigen::VectorXd& low, const Eigen::VectorXd& high) {
    const Eigen::Index count = from.size();
    const Eigen::MatrixXd bend =
        slopes.transpose() * slopes + least_change * Eigen::MatrixXd::Identity(count, count);
    const Eigen::VectorXd fall = -(slopes.transpose() * misses + least_change * from);
    Eigen::VectorXd step = Eigen::VectorXd::Zero(count);
    std::vector<int> held(count, 0);  // -1 at its low limit, 1 at its high one
    for (Eigen::Index i = 0; i < count; ++i) held[i] = low[i] >= 0.0 ? -1 : high[i] <= 0.0 ? 1 : 0;
    const int most_rounds = 20 + 10 * static_cast<int>(count);
    bool settled = false;  // the last step was taken in full: what is left of it is rounding
    for (int round = 0; round < most_rounds; ++round) {
        std::vector<Eigen::Index> free;
        for (Eigen::Index i = 0; i < count; ++i)
            if (held[i] == 0) free.push_back(i);
        const Eigen::VectorXd left = fall - bend * step;
        const auto size = static_cast<Eigen::Index>(free.size());
        Eigen::MatrixXd equations(size, size);
        Eigen::VectorXd right(size);
        for (Eigen::Index a = 0; a < size; ++a) {
            right[a] = left[free[a]];
            for (Eigen::Index b = 0; b < size; ++b) equations(a, b) = bend(free[a], free[b]);
        }
        Eigen::VectorXd way = size > 0 ? Eigen::VectorXd(equations.ldlt().solve(right)) : right;
        if (size == 0 || settled || way.cwiseAbs().maxCoeff() <= no_step) {
            // let go of the limit that most wants to be left
            Eigen::Index most = -1;
            double by = no_step;
            for (Eigen::Index i = 0; i < count; ++i)
                if (held[i] != 0 && -held[i] * left[i] > by) {
                    by = -held[i] * left[i];
                    most = i;
                }
            if (most < 0) break;
            held[most] = 0;
            settled = false;
            continue;
        }
        double share = 1.0;
        Eigen::Index stops = -1;
        bool upwards = false;
        for (Eigen::Index a = 0; a < size; ++a) {
            const Eigen::Index i = free[a];
            const double limit = way[a] > 0.0 ? high[i] : low[i];
            if (way[a] != 0.0 && (limit - step[i]) / way[a] < share) {
                share = (limit - step[i]) / way[a];
                stops = i;
                upwards = way[a] > 0.0;
            }
        }
        for (Eigen::Index a = 0; a < size; ++a) step[free[a]] += share * way[a];
        settled = stops < 0;
        if (stops >= 0) {
            held[stops] = upwards ? 1 : -1;
            step[stops] = held[stops] > 0 ? high[stops] : low[stops];
        }
    }
    return step.cwiseMax(low).cwiseMin(high);
}

}  // namespace archwright::ask
