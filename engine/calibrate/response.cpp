#include "engine/calibrate/response.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace archwright::calibrate {

namespace {

/// Spring at half grip, N/mm.
constexpr double half_grip_n_mm = 50.0;
constexpr std::array<double, 6> grip_places{0.0, 0.2, 0.4, 0.6, 0.8, 0.97};
constexpr std::array<double, 5> friction_places{0.0, 0.15, 0.3, 0.5, 1.0};
/// Shares of the table's load: close together where a device settles.
constexpr std::array<double, 13> load_places{0.02, 0.035, 0.05, 0.075, 0.11, 0.16, 0.23,
                                             0.32, 0.42,  0.54, 0.68,  0.84, 1.0};
/// The arch rests once the ground gives it this share of the load (a brush against the plate is no rest).
constexpr double rests_share = 0.01;

/// Adds `times` the slope at place i of the parabola through it and its neighbours (at the ends through the
/// nearest three) to the weights.
void add_slope(const std::vector<double>& x, std::size_t i, double times, CurveWeights& weights) {
    const std::size_t n = x.size();
    const auto chord = [&](std::size_t a, double share) {
        weights.weight[a - weights.first] -= share / (x[a + 1] - x[a]);
        weights.weight[a + 1 - weights.first] += share / (x[a + 1] - x[a]);
    };
    if (n == 2) return chord(0, times);
    const std::size_t m = std::clamp<std::size_t>(i, 1, n - 2);
    const double part = (2.0 * x[i] - x[m - 1] - x[m]) / (x[m + 1] - x[m - 1]);
    chord(m - 1, times * (1.0 - part));
    chord(m, times * part);
}

/// How the bench is run for a table; load, steps and supports are the caller's.
flex::BenchSetting setting_of(const ResponsePlan& plan) {
    flex::BenchSetting setting;
    setting.element_mm = plan.element_mm;
    setting.deflections = plan.deflections;
    setting.moved = plan.moved;
    setting.sensitivity = false;
    setting.further = false;
    return setting;
}

double grip_in_table(const Restraint& restraint, double modulus_scale) {
    return std::min(grip_of(restraint.distal_spring_n_mm / modulus_scale), most_grip);
}

}  // namespace

double grip_of(double spring_n_mm) {
    return spring_n_mm / (spring_n_mm + half_grip_n_mm);
}

double spring_of(double grip) {
    return half_grip_n_mm * grip / (1.0 - grip);
}

CurveWeights::CurveWeights(const std::vector<double>& places, double place) {
    const std::size_t n = places.size();
    count = std::min<std::size_t>(n, 4);
    if (n == 1) {
        weight[0] = 1.0;
        return;
    }
    const auto above =
        static_cast<std::size_t>(std::upper_bound(places.begin(), places.end(), place) - places.begin());
    const std::size_t i = std::clamp<std::size_t>(above, 1, n - 1) - 1;  // the piece it lies in
    first = std::min(i == 0 ? i : i - 1, n - count);
    if (place <= places.front() || place >= places.back()) {
        const std::size_t end = place <= places.front() ? 0 : n - 1;
        weight[end - first] = 1.0;
        add_slope(places, end, place - places[end], *this);
        return;
    }
    const double h = places[i + 1] - places[i], t = (place - places[i]) / h, r = 1.0 - t;
    weight[i - first] += r * r * (1.0 + 2.0 * t);
    weight[i + 1 - first] += t * t * (1.0 + 2.0 * r);
    add_slope(places, i, h * t * r * r, *this);
    add_slope(places, i + 1, -h * t * t * r, *this);
}

ResponsePlan response_plan(const Restraint* known_spring, const Restraint* known_friction) {
    ResponsePlan plan;
    plan.grips.assign(grip_places.begin(), grip_places.end());
    plan.frictions.assign(friction_places.begin(), friction_places.end());
    // a spring that is known is one of k / s, not of k: without any there is one place alone
    if (known_spring != nullptr && known_spring->distal_spring_n_mm == 0.0) plan.grips = {0.0};
    if (known_friction != nullptr) plan.frictions = {known_friction->friction};
    return plan;
}

Outcome<Response> Response::of(flex::Bench& bench, flex::LoadCase load_case, const ResponsePlan& plan,
                               double least_load_n, Progress* progress) {
    const bool ground = load_case == flex::LoadCase::arch_press;
    Response response;
    response.load_case_ = load_case;
    response.grips_ = ground ? plan.grips : std::vector<double>{0.0};
    response.frictions_ = ground ? plan.frictions : std::vector<double>{0.0};
    flex::BenchSetting setting = setting_of(plan);
    setting.steps.assign(load_places.begin(), load_places.end());
    double most = plan.most_load_n;
    for (bool whole = false; !whole;) {
        response.curves_.clear();
        whole = true;
        for (std::size_t g = 0; g < response.grips_.size() && whole; ++g)
            for (std::size_t f = 0; f < response.frictions_.size() && whole; ++f) {
                setting.load = most;
                setting.support.distal_spring_n_mm = spring_of(response.grips_[g]);
                setting.support.friction = response.frictions_[f];
                const auto run = bench.run(load_case, setting, progress);
                if (!run) {
                    if (run.fault().kind == FaultKind::cancelled || !(0.5 * most >= least_load_n))
                        return run.fault();
                    most *= 0.5;
                    whole = false;
                    break;
                }
                // a loose shell that gives slides: without that figure no support could be told
                if (ground && response.grips_[g] == 0.0 && run->gives &&
                    run->curve.back().distal_slide_mm == 0.0)
                    return Fault{FaultKind::internal,
                                 "calibrate",
                                 "the bench did not tell how far the distal edge slides.",
                                 {}};
                Curve curve;
                curve.touchdown = most;
                setting.deflections = run->deflections;  // one kind for the whole table
                response.loads_.clear();
                for (const flex::BenchPoint& point : run->curve) {
                    response.loads_.push_back(point.load);
                    curve.deflection.push_back(point.deflection);
                    curve.slide.push_back(point.distal_slide_mm);
                    if (point.arch_n > rests_share * point.load)
                        curve.touchdown = std::min(curve.touchdown, point.load);
                }
                response.curves_.push_back(std::move(curve));
            }
    }
    return response;
}

Response::At Response::from_table(double load, double grip, double friction) const {
    const CurveWeights of_load(loads_, load), of_grip(grips_, grip), of_friction(frictions_, friction);
    At at;
    for (std::size_t g = 0; g < of_grip.count; ++g)
        for (std::size_t f = 0; f < of_friction.count; ++f) {
            const Curve& one = curve(of_grip.first + g, of_friction.first + f);
            const double share = of_grip.weight[g] * of_friction.weight[f];
            at.deflection_mm += share * of_load.of(one.deflection);
            at.slide_mm += share * of_load.of(one.slide);
        }
    return at;
}

Response::At Response::put_right_by(double load) const {
    if (right_loads_.empty()) return {};
    // straight between the loads and level beyond them: it is small, and known at the loads alone
    const auto above = static_cast<std::size_t>(
        std::upper_bound(right_loads_.begin(), right_loads_.end(), load) - right_loads_.begin());
    const std::size_t i = std::clamp<std::size_t>(above, 1, right_loads_.size() - 1) - 1;
    const double part =
        std::clamp((load - right_loads_[i]) / (right_loads_[i + 1] - right_loads_[i]), 0.0, 1.0);
    return {(1.0 - part) * right_[i].deflection_mm + part * right_[i + 1].deflection_mm,
            (1.0 - part) * right_[i].slide_mm + part * right_[i + 1].slide_mm};
}

Response::At Response::at(double load_n, double modulus_scale, const Restraint& restraint) const {
    const double load = load_n / modulus_scale;
    At at = from_table(load, grip_in_table(restraint, modulus_scale), restraint.friction);
    const At otherwise = put_right_by(load);
    at.deflection_mm += otherwise.deflection_mm;
    at.slide_mm += otherwise.slide_mm;
    return at;
}

Outcome<double> Response::put_right(flex::Bench& bench, const ResponsePlan& plan,
                                    const std::vector<double>& loads_n, double modulus_scale,
                                    const Restraint& restraint, Progress* progress) {
    flex::BenchSetting setting = setting_of(plan);
    setting.load = loads_n.back() / modulus_scale;
    setting.support.distal_spring_n_mm = restraint.distal_spring_n_mm / modulus_scale;
    setting.support.friction = restraint.friction;
    for (const double load : loads_n) setting.steps.push_back(load / loads_n.back());
    const auto run = bench.run(load_case_, setting, progress);
    if (!run) return run.fault();
    const double grip = grip_in_table(restraint, modulus_scale);
    const auto otherwise = [&](const flex::BenchPoint& point) {
        const At table = from_table(point.load, grip, restraint.friction);
        return At{point.deflection - table.deflection_mm, point.distal_slide_mm - table.slide_mm};
    };
    // zeros differ: the bench counts from its own first load
    const At zero = otherwise(run->curve.front()), stood_first = put_right_by(run->curve.front().load);
    std::vector<double> loads;
    std::vector<At> right;
    double greatest = 0.0;
    for (const flex::BenchPoint& point : run->curve) {
        const At here = otherwise(point), stood = put_right_by(point.load);
        loads.push_back(point.load);
        right.push_back({here.deflection_mm - zero.deflection_mm, here.slide_mm - zero.slide_mm});
        greatest = std::max(
            {greatest,
             std::abs(right.back().deflection_mm - (stood.deflection_mm - stood_first.deflection_mm)),
             std::abs(right.back().slide_mm - (stood.slide_mm - stood_first.slide_mm))});
    }
    right_loads_ = std::move(loads);
    right_ = std::move(right);
    return greatest;
}

double Response::touchdown_n(double modulus_scale, const Restraint& restraint) const {
    const double grip = grip_in_table(restraint, modulus_scale);
    // the lower of the places about it: what is left out is never what rests already
    const auto about = [](const std::vector<double>& places, double place) {
        const auto above = std::upper_bound(places.begin(), places.end(), place);
        const auto high = std::min(static_cast<std::size_t>(above - places.begin()), places.size() - 1);
        return std::pair{high == 0 ? high : high - 1, high};
    };
    const auto [g0, g1] = about(grips_, grip);
    const auto [f0, f1] = about(frictions_, restraint.friction);
    return modulus_scale * std::min(std::min(curve(g0, f0).touchdown, curve(g0, f1).touchdown),
                                    std::min(curve(g1, f0).touchdown, curve(g1, f1).touchdown));
}

}  // namespace archwright::calibrate
