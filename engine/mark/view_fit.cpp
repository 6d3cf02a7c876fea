#include <Eigen/Cholesky>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mark/photograph.hpp"

namespace archwright::mark {

namespace {

// What is believed before any match: a camera is usual to about a factor of 1.5, and matches are good to half
// a mm, which counts as much as two figures of theirs: how good they are shows in how they meet, and the
// better they are the less the usual camera counts.
constexpr double usual_focal = 0.8;    // of the longer side: 28 mm before 36 mm of film
constexpr double focal_doubt = 0.4;    // of its logarithm
constexpr double radial_doubt = 0.15;  // of the distortion at a radius of one focal length
constexpr double match_doubt_mm = 0.5;
constexpr double match_doubt_counts = 2.0;
constexpr double least_depth = 1e-3;  // of the distance: nearer is behind the camera
constexpr int turns = 3;              // rotation vector, place, focal length, distortion
constexpr int values = 8;
using Values = Eigen::Matrix<double, values, 1>;

Fault wrong(const std::string& message) {
    return {FaultKind::usage, "photo", message, {}};
}

Mat3 rotation_of(const Vec3& turn) {
    const double angle = turn.norm();
    return angle > 0.0 ? Eigen::AngleAxisd(angle, turn / angle).toRotationMatrix() : Mat3(Mat3::Identity());
}

/// A problem of least squares over a turn away from `start`, a place, focal length and distortion.
struct Problem {
    const std::vector<Match>& matches;
    View::Model model;
    Mat3 start;
    Vec3 centre;            ///< of the matched points
    Vec2 middle;            ///< of the picture
    double usual_px;        ///< usual focal length
    double scale_px;        ///< about one mm of the cast
    double doubt_mm = 1.0;  ///< how good a match is taken to be

    /// How many of the values are free: parallel leaves depth, distortion; perspective distortion.
    bool free(int k) const {
        if (model == View::Model::parallel) return k != 5 && k != 7;
        return k != 7 || model == View::Model::distorted;
    }

    View view(const Values& x) const {
        View v;
        v.model = model;
        v.middle = middle;
        v.rotation = rotation_of(x.head<turns>()) * start;
        v.focal_px = std::exp(x[6]);
        v.radial = x[7];
        v.translation = x.segment<3>(3) - v.rotation * centre;
        return v;
    }

    Eigen::VectorXd residuals(const Values& x) const {
        const View v = view(x);
        Eigen::VectorXd r = Eigen::VectorXd::Zero(static_cast<Eigen::Index>(2 * matches.size() + 2));
        for (std::size_t i = 0; i < matches.size(); ++i) {
            constexpr double lost = 1e3;
            const auto seen = v.seen(matches[i].point);
            const Vec2 off =
                seen ? Vec2((*seen - matches[i].pixel) / (scale_px * doubt_mm)) : Vec2(lost, lost);
            r.segment<2>(static_cast<Eigen::Index>(2 * i)) = off;
        }
        if (model != View::Model::parallel) {
            r[r.size() - 2] = (x[6] - std::log(usual_px)) / focal_doubt;
            r[r.size() - 1] = x[7] / radial_doubt;
        }
        return r;
    }

    /// The doubt of a match that these residuals speak for, with what was believed before.
    double doubt_seen(const Values& x) const {
        double count = 2.0 * static_cast<double>(matches.size()) + match_doubt_counts;
        for (int k = 0; k < values; ++k) count -= free(k) ? 1.0 : 0.0;
        const Eigen::VectorXd r = residuals(x);
        const double sum = doubt_mm * doubt_mm * r.head(r.size() - 2).squaredNorm() +
                           match_doubt_counts * match_doubt_mm * match_doubt_mm;
        return std::sqrt(sum / std::max(1.0, count));
    }

    double solve(Values& x, int rounds) const {
        Eigen::VectorXd r = residuals(x);
        double cost = r.squaredNorm(), damping = 1e-3;
        for (int round = 0; round < rounds; ++round) {
            Eigen::MatrixXd slope = Eigen::MatrixXd::Zero(r.size(), values);
            for (int k = 0; k < values; ++k) {
                if (!free(k)) continue;
                const double step = (k >= 3 && k < 6) ? 1e-4 * std::max(1.0, std::abs(x[k])) : 1e-6;
                Values more = x, less = x;
                more[k] += step;
                less[k] -= step;
                slope.col(k) = (residuals(more) - residuals(less)) / (2.0 * step);
            }
            const Eigen::Matrix<double, values, values> normal = slope.transpose() * slope;
            const Values right = slope.transpose() * r;
            bool better = false;
            for (int attempt = 0; attempt < 8 && !better; ++attempt) {
                Eigen::Matrix<double, values, values> damped = normal;
                for (int k = 0; k < values; ++k)
                    damped(k, k) += damping * normal(k, k) + (free(k) ? 1e-12 : 1.0);
                const Values next = x - Values(damped.ldlt().solve(right));
                const Eigen::VectorXd there = residuals(next);
                if (there.allFinite() && there.squaredNorm() < cost) {
                    const double gain = cost - there.squaredNorm();
                    x = next;
                    r = there;
                    cost = r.squaredNorm();
                    damping = std::max(1e-12, 0.2 * damping);
                    better = true;
                    if (gain < 1e-12 * (1.0 + cost)) return cost;
                } else {
                    damping *= 8.0;
                }
            }
            if (!better) break;
        }
        return cost;
    }
};

struct Found {
    Values x;
    Mat3 start;
    double cost = 1e300;
};

View::Model model_for(std::size_t count) {
    return count < 4 ? View::Model::parallel : count < 6 ? View::Model::perspective : View::Model::distorted;
}

/// Middles of the matches.
Match middle_of(const std::vector<Match>& matches) {
    Match middle;
    for (const Match& m : matches) {
        middle.point += m.point / static_cast<double>(matches.size());
        middle.pixel += m.pixel / static_cast<double>(matches.size());
    }
    return middle;
}

/// About how many pixels a mm has; 0 where all points are one.
double px_per_mm(const std::vector<Match>& matches) {
    const Match middle = middle_of(matches);
    double points = 0.0, pixels = 0.0;
    for (const Match& m : matches) {
        points += (m.point - middle.point).squaredNorm();
        pixels += (m.pixel - middle.pixel).squaredNorm();
    }
    return points > 0.0 ? std::sqrt(pixels / points) : 0.0;
}

View best_view(const std::vector<Match>& matches, const Vec3& up, double width, double height) {
    const auto [middle_px, centre] = middle_of(matches);
    const double scale = px_per_mm(matches);
    Problem problem{matches, View::Model::parallel,     Mat3::Identity(),
                    centre,  0.5 * Vec2(width, height), usual_focal * std::max(width, height),
                    scale};
    // from all round: the faces and corners of a cube, four ways up each
    std::vector<Found> starts;
    for (int a = -1; a <= 1; ++a)
        for (int b = -1; b <= 1; ++b)
            for (int c = -1; c <= 1; ++c) {
                const Vec3 away(a, b, c);
                if (a * a + b * b + c * c == 0) continue;
                const Vec3 z = away.normalized();
                const Vec3 side = z.cross(std::abs(z.x()) < 0.7 ? Vec3::UnitX() : Vec3::UnitY()).normalized();
                for (int turn = 0; turn < 4; ++turn) {
                    Found f;
                    const double angle = 0.5 * 3.14159265358979 * turn;
                    const Vec3 x = std::cos(angle) * side + std::sin(angle) * z.cross(side);
                    f.start.row(0) = x.transpose();
                    f.start.row(1) = z.cross(x).transpose();
                    f.start.row(2) = z.transpose();
                    problem.start = f.start;
                    f.x.setZero();
                    f.x[6] = std::log(scale);
                    f.x.segment<2>(3) = (middle_px - problem.middle) / scale;
                    f.cost = problem.solve(f.x, 40);
                    starts.push_back(f);
                }
            }
    // of views that fit alike the one more square to the sole
    const auto square = [&](const Found& f) {
        return std::abs((rotation_of(f.x.head<turns>()) * f.start).row(2).dot(up));
    };
    std::stable_sort(starts.begin(), starts.end(), [&](const Found& one, const Found& two) {
        constexpr double alike = 0.02;  // mm squared
        const double p = std::floor(one.cost / alike), q = std::floor(two.cost / alike);
        return p != q ? p < q : square(one) > square(two);
    });
    const View::Model model = model_for(matches.size());
    Found best = starts.front();
    if (model != View::Model::parallel) {
        best.cost = 1e300;
        constexpr std::size_t tried = 12;
        for (std::size_t k = 0; k < std::min(tried, starts.size()); ++k)
            for (const double focal : {0.6, 1.0, 1.8}) {
                Found f = starts[k];
                problem.start = f.start;
                problem.model = View::Model::perspective;
                const double px = focal * problem.usual_px;
                const double depth = px / std::exp(f.x[6]);
                f.x[6] = std::log(px);
                f.x[5] = depth;
                f.cost = problem.solve(f.x, 40);
                problem.model = model;
                f.cost = problem.solve(f.x, 60);
                if (f.cost < best.cost) best = f;
            }
    }
    problem.model = model;
    problem.start = best.start;
    if (model != View::Model::parallel) {
        constexpr int times = 4;
        for (int k = 0; k < times; ++k) {
            problem.doubt_mm = std::min(1.0, problem.doubt_seen(best.x));
            problem.solve(best.x, 60);
        }
    }
    return problem.view(best.x);
}

/// How far off a match is on the cast: pixels over the pixels a mm has there.
double off_mm(const View& view, const Match& match) {
    constexpr double lost_mm = 1e3;
    const auto seen = view.seen(match.point);
    if (!seen) return lost_mm;
    const double depth = (view.rotation * match.point + view.translation).z();
    const double px_per_mm = view.model == View::Model::parallel ? view.focal_px : view.focal_px / depth;
    return (*seen - match.pixel).norm() / px_per_mm;
}

/// Matches that say the same made one, their mean: what is pointed at twice is no second witness.
void merge(const std::vector<Match>& given, Fitted& fitted) {
    const double px = tolerance::photo_same_match_mm * px_per_mm(given);
    std::vector<double> counts;
    for (std::size_t i = 0; i < given.size(); ++i) {
        std::size_t k = 0;
        for (; k < fitted.matches.size(); ++k)
            if ((fitted.matches[k].point - given[i].point).norm() < tolerance::photo_same_match_mm &&
                (fitted.matches[k].pixel - given[i].pixel).norm() < std::max(1.0, px))
                break;
        if (k == fitted.matches.size()) {
            fitted.matches.push_back(given[i]);
            fitted.numbers.push_back(i + 1);
            counts.push_back(1.0);
            continue;
        }
        counts[k] += 1.0;
        fitted.matches[k].pixel += (given[i].pixel - fitted.matches[k].pixel) / counts[k];
        fitted.matches[k].point += (given[i].point - fitted.matches[k].point) / counts[k];
    }
}

Check fit_check(const Fitted& fitted, std::size_t given) {
    Check check = named_check("photo.fit", "Photograph on the cast");
    const bool left_out = !fitted.left_out_mm.empty();
    const std::vector<double>& told = left_out ? fitted.left_out_mm : fitted.residual_mm;
    const auto worst = std::max_element(told.begin(), told.end());
    check.figure = *worst;
    check.limit = tolerance::photo_fit_look_mm;
    check.unit = "mm";
    const auto which = static_cast<std::size_t>(worst - told.begin());
    const std::string number = std::to_string(fitted.numbers[which]);
    const std::size_t same = given - fitted.matches.size();
    check.message = "The " + std::to_string(fitted.matches.size()) + " matched points meet to " +
                    rounded(fitted.rms_mm, 2) + " mm rms";
    if (left_out)
        check.message +=
            "; each left out in turn, point " + number + " is off the most, by " + rounded(*worst, 2) + " mm";
    check.message += fitted.view.model == View::Model::parallel
                         ? ". Three matches are met by the model itself and prove nothing; it leaves out "
                           "that what is nearer looks larger: match more points."
                     : fitted.view.model == View::Model::perspective
                         ? ". With fewer than six matches the lens's distortion is left out."
                         : ".";
    if (same > 0)
        check.message += " " + std::to_string(same) + (same == 1 ? " match says" : " matches say") +
                         " the same as others, and each place counts once.";
    if (fitted.rms_mm > tolerance::photo_fit_stop_mm) {
        check.verdict = Verdict::stop;
        check.signable = false;
        check.figure = fitted.rms_mm;
        check.limit = tolerance::photo_fit_stop_mm;
        check.message += " More than " + rounded(tolerance::photo_fit_stop_mm, 0) +
                         " mm rms lays ink beside the place it marks: look at every match, point " + number +
                         " first.";
    } else if (*worst > tolerance::photo_fit_look_mm) {
        check.verdict = Verdict::look;
        check.message += " Look at match " + number + ", and match more points round the sole.";
    } else if (fitted.view.model == View::Model::parallel) {
        check.verdict = Verdict::look;
    }
    return check;
}

}  // namespace

std::optional<Vec2> View::seen(const Vec3& p) const {
    const Vec3 q = rotation * p + translation;
    if (model == Model::parallel) return Vec2(middle + focal_px * q.head<2>());
    if (!(q.z() > least_depth * q.norm())) return std::nullopt;
    const Vec2 x = q.head<2>() / q.z();
    const double r2 = x.squaredNorm();
    if (!(1.0 + 3.0 * radial * r2 > 0.0)) return std::nullopt;  // beyond it the picture would fold over
    return Vec2(middle + focal_px * (1.0 + radial * r2) * x);
}

void View::ray(const Vec2& pixel, Vec3& from, Vec3& way) const {
    const Vec2 d = (pixel - middle) / focal_px;
    if (model == Model::parallel) {
        way = rotation.row(2).transpose();
        from = rotation.transpose() * (Vec3(d.x(), d.y(), 0.0) - translation);
        constexpr double back_mm = 1e4;
        from -= back_mm * way;
        return;
    }
    const double target = d.norm();
    double r = target;
    for (int k = 0; k < 30; ++k) {  // Newton; the distortion is mild
        const double slope = 1.0 + 3.0 * radial * r * r;
        if (!(slope > 0.1)) break;
        r -= (r * (1.0 + radial * r * r) - target) / slope;
    }
    const Vec2 x = target > 0.0 ? Vec2(r / target * d) : d;
    way = (rotation.transpose() * Vec3(x.x(), x.y(), 1.0)).normalized();
    from = -(rotation.transpose() * translation);
}

Outcome<Fitted> fit_view(const std::vector<Match>& matches, const Vec3& up, std::size_t width,
                         std::size_t height, Progress* progress) {
    const std::string how =
        " Match a place of the photograph with the point of the cast seen there: U,V=X,Y,Z.";
    constexpr std::size_t most = 200;
    if (matches.size() > most)
        return wrong("A photograph takes at most " + std::to_string(most) + " matched points; there are " +
                     std::to_string(matches.size()) + ".");
    for (std::size_t i = 0; i < matches.size(); ++i) {
        const Vec2& p = matches[i].pixel;
        if (!(p.x() >= 0.0 && p.y() >= 0.0 && p.x() <= static_cast<double>(width) &&
              p.y() <= static_cast<double>(height)))
            return wrong("The pixel of match " + std::to_string(i + 1) + " is not on the photograph of " +
                         std::to_string(width) + " x " + std::to_string(height) + " pixels.");
    }
    Fitted fitted;
    merge(matches, fitted);
    const std::size_t count = fitted.matches.size();
    if (count < 3)
        return wrong("A photograph needs three matched points or more, better eight; there are " +
                     std::to_string(matches.size()) +
                     (count == matches.size() ? ""
                      : count == 1            ? ", in one place"
                                              : ", in two places") +
                     "." + how);
    Eigen::MatrixXd points(3, static_cast<Eigen::Index>(count)), pixels(2, static_cast<Eigen::Index>(count));
    for (std::size_t i = 0; i < count; ++i) {
        points.col(static_cast<Eigen::Index>(i)) = fitted.matches[i].point;
        pixels.col(static_cast<Eigen::Index>(i)) = fitted.matches[i].pixel;
    }
    const auto second = [](Eigen::MatrixXd m) {
        m.colwise() -= m.rowwise().mean().eval();
        return m.jacobiSvd().singularValues()[1];
    };
    constexpr double least_mm = 5.0, least_px = 10.0;
    if (!(second(points) > least_mm) || !(second(pixels) > least_px))
        return wrong("The matched points lie in one place or on one line: choose them all round the sole.");
    const auto w = static_cast<double>(width), h = static_cast<double>(height);
    const auto go_on = [&](std::size_t done) {
        return progress == nullptr ||
               progress->report("Matching the photograph",
                                static_cast<double>(done) / static_cast<double>(count + 1));
    };
    const Fault cancelled{FaultKind::cancelled, "photo", "Cancelled.", {}};
    if (!go_on(0)) return cancelled;
    fitted.view = best_view(fitted.matches, up, w, h);
    double sum = 0.0;
    for (const Match& m : fitted.matches) {
        fitted.residual_mm.push_back(off_mm(fitted.view, m));
        sum += fitted.residual_mm.back() * fitted.residual_mm.back();
    }
    fitted.rms_mm = std::sqrt(sum / static_cast<double>(count));
    if (count > 3)
        for (std::size_t i = 0; i < count; ++i) {
            if (!go_on(i + 1)) return cancelled;
            std::vector<Match> others = fitted.matches;
            others.erase(others.begin() + static_cast<std::ptrdiff_t>(i));
            fitted.left_out_mm.push_back(off_mm(best_view(others, up, w, h), fitted.matches[i]));
        }
    if (!go_on(count + 1)) return cancelled;
    fitted.check = fit_check(fitted, matches.size());
    return fitted;
}

}  // namespace archwright::mark
