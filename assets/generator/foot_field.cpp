#include "assets/generator/foot_field.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/units.hpp"

namespace archwright::generator {

namespace {
// Where the twist of the midtarsal joint begins and ends, shares of the length from the heel centre.
constexpr double twist_from = 0.08, twist_to = 0.42;
// A foot of 246 mm is the one the proportions below were drawn for.
constexpr double drawn_length = 246.0;
}  // namespace

FootField::FootField(const FootShape& shape, const FootTuning& tuning)
    : shape_(shape),
      tuning_(tuning),
      length_(shape.length_mm),
      breadth_(shape.forefoot_breadth_mm),
      scale_(shape.length_mm / drawn_length),
      beta_(radians(shape.heel_bisection_deg)) {
    const double l = length_, b = breadth_, s = scale_;

    // Metatarsal heads: plantar points across 0.70 of the breadth, on a parabola whose 5th end lies back.
    const std::array<double, 5> across = {0.266, 0.0, -0.155, -0.300, -0.434};
    head_y_ = 0.086 * b;
    const double y1 = across[0] * b, y5 = across[4] * b;
    head_curve_ =
        shape.fifth_head_back * l / ((y5 - head_y_) * (y5 - head_y_) - (y1 - head_y_) * (y1 - head_y_));
    head_x_ = tuning.ball_x + head_curve_ * (y1 - head_y_) * (y1 - head_y_);
    // heads 2 to 4 stand a little higher: what is left of the transverse arch in an unloaded foot
    const std::array<double, 5> height = {0.0, 0.5 * s, 0.8 * s, 0.5 * s, 0.0};
    for (std::size_t i = 0; i < 5; ++i) {
        const double y = across[i] * b, d = y - head_y_;
        heads_[i] = Vec3(head_x_ - head_curve_ * d * d, y, height[i]);
    }
    head_round_ = {27.0 * s, 23.0 * s, 24.0 * s, 24.0 * s, 23.0 * s};

    // Plan: heel, lateral column, medial column, ball, what fills the middle; z is not used.
    const double rh = tuning.heel_radius, extra = 0.5 * tuning.breadth_extra;
    const double border1 = y1 + 0.150 * b + extra, border5 = y5 - 0.150 * b - extra;
    const double r1 = 0.215 * b, r5 = 0.205 * b;
    const Vec3 heel(tuning.heel_x + rh, 0, 0), ball1(heads_[0].x() - 3.0 * s, border1 - r1, 0),
        ball5(heads_[4].x(), border5 + r5, 0);
    plan_ = {Bone{heel, Vec3(heel.x() + 0.20 * l, -0.02 * b, 0), rh, 0.92 * rh},
             Bone{Vec3(0.10 * l, -0.04 * b, 0), ball5, 0.90 * rh, r5},
             Bone{Vec3(0.20 * l, 0.01 * b, 0), ball1, 0.285 * b, r1}, Bone{ball1, ball5, r1, r5},
             Bone{Vec3(0.05 * l, 0, 0), Vec3(0.46 * l, -0.07 * b, 0), 0.8 * rh, 0.34 * b}};

    // Toes: tips, radii and roots in shares of breadth and length.
    const std::array<double, 5> radius = {0.122, 0.084, 0.079, 0.077, 0.078};
    const std::array<double, 5> root_y = {0.250, 0.045, -0.115, -0.262, -0.400};
    const std::array<double, 5> back = {0.0, -shape.second_toe_mm / l, 0.042, 0.085, 0.142};
    const double valgus = std::tan(radians(shape.hallux_valgus_deg));
    for (std::size_t i = 0; i < 5; ++i) {
        const double r = radius[i] * b;
        const double big = i == 0 ? 1.0 : 0.0;
        const Vec3 root(heads_[i].x() + 0.055 * l, root_y[i] * b, 0.058 * l - (i > 2 ? 1.5 * s : 0.0));
        Vec3 tip(0.84 * l + tuning.toe_reach - back[i] * l - r, root_y[i] * b, 0);
        // toes lean together towards the 2nd: the great toe by its valgus, the little one inward
        const std::array<double, 5> lean = {-valgus, -0.02, 0.03, 0.09, 0.14};
        tip.y() += lean[i] * (tip.x() - root.x());
        tip.z() = (0.92 + 0.04 * big) * r + 2.6 * s;
        const Vec3 knuckle =
            root + (0.42 + 0.10 * big) * (tip - root) + Vec3(0, 0, (big > 0 ? -0.5 : 2.0) * s);
        toes_[i] = {Bone{root, knuckle, 0.98 * r, 0.94 * r}, Bone{knuckle, tip, 0.94 * r, r}};
    }

    const double h = tuning.heel_radius / 33.5;  // ankles follow the heel's breadth more than the length
    navicular_ = {Vec3(0.250 * l, 0.165 * b, 0.165 * l), Vec3(0.285 * l, 0.175 * b, 0.155 * l), 13.0 * s,
                  12.0 * s};
    fifth_base_ = {Vec3(0.180 * l, -0.315 * b, 0.068 * l), Vec3(0.245 * l, -0.345 * b, 0.061 * l), 12.5 * s,
                   11.5 * s};
    medial_malleolus_ = {Vec3(0.095 * l, 16.5 * h, 0.315 * l), Vec3(0.090 * l, 15.0 * h, 0.345 * l), 17.0 * s,
                         17.0 * s};
    lateral_malleolus_ = {Vec3(0.045 * l, -18.5 * h, 0.270 * l), Vec3(0.055 * l, -16.0 * h, 0.315 * l),
                          14.5 * s, 15.0 * s};

    // Dorsum: height of its ridge, where the ridge runs, and how round it is across; by x / length.
    const double instep = shape.instep_height_mm;
    const std::vector<double> at = {-0.10 * l, 0.08 * l, 0.20 * l, 0.34 * l,
                                    0.46 * l,  0.58 * l, 0.66 * l, 0.74 * l};
    ridge_ = Spline(at, {1.34 * instep, 1.32 * instep, 1.20 * instep, 1.00 * instep, 0.79 * instep,
                         0.595 * instep, 0.47 * instep, 0.38 * instep});
    ridge_y_ = Spline({0.0, 0.25 * l, 0.45 * l, 0.70 * l}, {0.0, 0.05 * b, 0.13 * b, 0.16 * b});
    round_ = Spline({0.0, 0.25 * l, 0.45 * l, 0.60 * l, 0.75 * l},
                    {0.36 * b, 0.42 * b, 0.62 * b, 0.95 * b, 1.2 * b});
    // Side walls: height of the widest place; radius of the border between wall and sole.
    wall_z_ = Spline({-0.16 * l, 0.10 * l, 0.30 * l, 0.55 * l, 0.70 * l},
                     {0.105 * l, 0.105 * l, 0.085 * l, 0.055 * l, 0.055 * l});
    rim_ = Spline({-0.16 * l, 0.05 * l, 0.40 * l, 0.75 * l}, {24.0 * s, 23.0 * s, 13.0 * s, 12.0 * s});
}

template <class T>
Point<T> FootField::to_base(const Point<T>& p) const {
    const T share = smooth_step(p.x, twist_from * length_, twist_to * length_);
    const T angle = beta_ + (tuning_.twist - beta_) * share;
    const T y = p.y - (tuning_.heel_y + (tuning_.forefoot_y - tuning_.heel_y) * share);
    const T z = p.z - (tuning_.ground + tuning_.fore_lift * share);
    const T c = cosine(angle), s = sine(angle);
    return {p.x, y * c + z * s, z * c - y * s};
}

Vec3 FootField::to_design(const Vec3& base) const {
    const double share = smooth_step(base.x(), twist_from * length_, twist_to * length_);
    const double angle = beta_ + (tuning_.twist - beta_) * share;
    const double c = std::cos(angle), s = std::sin(angle);
    return {base.x(),
            base.y() * c - base.z() * s + tuning_.heel_y + (tuning_.forefoot_y - tuning_.heel_y) * share,
            base.y() * s + base.z() * c + tuning_.ground + tuning_.fore_lift * share};
}

/// The plan outline, drawn in as the wall leaves its widest height: 80 to 84 degrees below, steeper in above.
template <class T>
T FootField::outline(const Point<T>& p) const {
    const Point<T> flat{p.x, p.y, T(0.0)};
    T d = smooth_min(plan_[0](flat), plan_[1](flat), 14.0 * scale_);
    d = smooth_min(d, plan_[2](flat), 16.0 * scale_);
    d = smooth_min(d, plan_[3](flat), 14.0 * scale_);
    d = smooth_min(d, plan_[4](flat), 14.0 * scale_);
    const T u = p.z - wall_z_(p.x);
    const double c = 7.0 * scale_;
    return d + 0.18 * (root(u * u + c * c) - c) + 0.05 * u;
}

/// Height of the sole over the base plane.
template <class T>
T FootField::sole(const Point<T>& p) const {
    const double l = length_, b = breadth_, s = scale_;
    const T beyond = p.x - (head_x_ - head_curve_ * ((p.y - head_y_) * (p.y - head_y_)));  // of the head line

    // heel pad: a bowl, rounder at the back
    const T back = 0.5 * (root(p.x * p.x + 100.0 * s * s) - p.x);
    const T heel = (1.0 / (130.0 * s)) * (p.y * p.y) * (1.0 - smooth_step(p.x, 0.05 * l, 0.35 * l)) +
                   (1.0 / (110.0 * s)) * (back * back);

    // arches
    const T along = smooth_step(p.x, 0.0, 0.29 * l) * (1.0 - smooth_step(beyond, -0.32 * l, -0.045 * l));
    const T medial = tuning_.arch * smooth_step(p.y, -0.42 * b, 0.44 * b);
    const T floor = heel + along * (medial + 2.4 * s);

    // ball: heads bedded in a pad that rises into the sulcus behind the toes
    const T pad = floor + 4.6 * s * smooth_step(beyond, -0.20 * l, -0.05 * l) +
                  5.5 * s * smooth_step(beyond, 0.045 * l, 0.13 * l);
    T ball(1e3);
    for (std::size_t i = 0; i < 5; ++i) {
        const T dx = p.x - heads_[i].x(), dy = p.y - heads_[i].y();
        const T bowl = heads_[i].z() + (0.5 / head_round_[i]) * (dy * dy) + (0.5 / (58.0 * s)) * (dx * dx);
        ball = i == 0 ? bowl : smooth_min(ball, bowl, 3.6 * s);
    }
    return smooth_min(pad, ball, 4.6 * s);
}

template <class T>
T FootField::body(const Point<T>& p) const {
    const T wall = outline(p);
    // sole and wall meet in a round border whose radius shrinks from heel to ball: blend in scaled numbers
    const T r = rim_(p.x);
    const T a = wall, c = sole(p) - p.z;
    const T gap = value(a) > value(c) ? a - c : c - a;
    T d = value(a) > value(c) ? a : c;
    if (value(gap) < value(r)) {
        const T h = r - gap;
        const T inv = chain(r, 1.0 / value(r), -1.0 / (value(r) * value(r)));
        d = d + (1.0 / 6.0) * (h * h * h) * (inv * inv);
    }
    const T across = p.y - ridge_y_(p.x);
    const T flat = round_(p.x);
    const T bend = root(across * across + flat * flat) - flat;
    const T top = 0.86 * (p.z - ridge_(p.x) + bend);
    return smooth_max(d, top, 22.0 * scale_);
}

template <class T>
T FootField::toes(const Point<T>& p) const {
    T all(1e3);
    for (std::size_t i = 0; i < 5; ++i) {
        const T toe = smooth_min(toes_[i].proximal(p), toes_[i].pulp(p), 5.0 * scale_);
        all = i == 0 ? toe : smooth_min(all, toe, shape_.toe_web_mm);
    }
    return all;
}

/// Lower leg: an elliptic column leaning a little forward, tapering to the ankle and swelling above.
template <class T>
T FootField::leg(const Point<T>& p) const {
    const double l = length_, s = scale_, h = tuning_.heel_radius / 33.5;
    const double half_depth = 38.0 * s, half_width = 29.0 * h;
    const T x = (1.0 / half_depth) * (p.x - 0.050 * l - 0.04 * (p.z - 0.35 * l));
    const T narrow = 1.0 + 0.55 * (1.0 - smooth_step(x, -1.25, 0.25));  // towards the Achilles tendon
    const T y = (1.0 / half_width) * (p.y * narrow);
    const T swell = 0.0009 / s * ((p.z - 0.36 * l) * (p.z - 0.36 * l));
    const T column = half_width * (root(x * x + y * y + 1e-4) - 1.0) - swell;
    return smooth_max(column, T(0.19 * l - p.z), 16.0 * s);  // ends within the heel
}

template <class T>
T FootField::evaluate(const Point<T>& design) const {
    const Point<T> p = to_base(design);
    const double s = scale_;
    // A part is left out where it is farther away than any blend or lattice block reaches.
    T d = body(p);
    if (value(p.x) < 0.30 * length_ + 60.0) {
        d = smooth_min(d, leg(p), 20.0 * s);
        d = smooth_min(d, medial_malleolus_(p), 13.0 * s);
        d = smooth_min(d, lateral_malleolus_(p), 13.0 * s);
        d = smooth_min(d, navicular_(p), 12.0 * s);
        d = smooth_min(d, fifth_base_(p), 14.0 * s);
    }
    if (value(p.x) < heads_[4].x() - 35.0) return d;
    return smooth_min(d, toes(p), 8.0 * s);
}

double FootField::operator()(const Vec3& p) const {
    return evaluate(Point<double>{p.x(), p.y(), p.z()});
}

Dual FootField::dual(const Vec3& p) const {
    return evaluate(Point<Dual>{{p.x(), 1, 0, 0}, {p.y(), 0, 1, 0}, {p.z(), 0, 0, 1}});
}

Box3 FootField::box() const {
    Box3 box;
    const double b = std::max(breadth_, 2.0 * tuning_.heel_radius);
    box.add(Vec3(-0.20 * length_, -0.85 * b, -0.08 * length_));
    box.add(Vec3(0.88 * length_, 0.75 * b, shape_.ankle_height_mm));
    return box;
}

}  // namespace archwright::generator
