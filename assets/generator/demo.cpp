#include "assets/generator/demo.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace archwright::generator {

namespace {

const Vec2 nodule_centre(66, 8.5);

/// Corners of a circle drawn on the sole.
std::vector<Vec2> ring(const Vec2& centre, double radius) {
    std::vector<Vec2> corners;
    for (int i = 0; i < 24; ++i) {
        const double a = 2.0 * std::numbers::pi * i / 24.0;
        corners.push_back(centre + radius * Vec2(std::cos(a), std::sin(a)));
    }
    return corners;
}

}  // namespace

FootShape demo_shape() {
    FootShape s;
    s.side = Side::left;
    s.length_mm = 246.0;
    s.ball_length_mm = 182.0;
    s.forefoot_breadth_mm = 92.0;
    s.heel_breadth_mm = 65.0;
    s.arch_height_mm = 24.0;
    s.forefoot_to_rearfoot_deg = -5.0;
    s.heel_bisection_deg = 0.0;
    s.instep_height_mm = 66.0;
    s.second_toe_mm = -2.0;
    s.hallux_valgus_deg = 5.0;
    return under_plaster(s);
}

CastSpec demo_spec(const FootTruth& truth) {
    CastSpec s;
    s.kind = CastSpec::Kind::plaster_negative;
    s.unit = LengthUnit::inch;
    // As it lay on the scanner: heel towards the operator, sole to the back, a little askew.
    s.rotation = (Eigen::AngleAxisd(0.31, Vec3::UnitZ()) * Eigen::AngleAxisd(1.62, Vec3::UnitX()) *
                  Eigen::AngleAxisd(-0.12, Vec3::UnitY()))
                     .toRotationMatrix();
    s.translation_mm = Vec3(-41.0, 73.0, 118.0);
    s.noise_mm = 0.06;
    s.triangles = 150'000;
    s.seed = 2207;
    s.rim.raggedness_mm = 2.0;

    // Air under the 1st metatarsal head: its plantar point, 1.6 mm lower.
    const Vec3 head = truth.landmarks.at("first_head_plantar");
    s.voids = {AirVoid{Vec2(head.x(), head.y()), 11.0, 1.6}};

    Colours colours;
    // The fascia as it was felt and drawn, and round its nodule.
    InkLine fascia;
    fascia.path = {Vec2(31, 3), Vec2(45, 5.5), Vec2(59, 7.5), Vec2(73, 9.5), Vec2(88, 11.5), Vec2(102, 13.5)};
    fascia.width_mm = 1.4;
    fascia.contrast = 0.62;
    InkLine nodule;
    nodule.path = ring(nodule_centre, 6.0);
    nodule.closed = true;
    nodule.width_mm = 1.2;
    nodule.contrast = 0.58;
    colours.lines = {fascia, nodule};
    InkSpot base;
    base.on_lateral_border = true;
    base.radius_mm = 5.0;
    base.contrast = 0.6;
    colours.spots = {base};
    s.colours = colours;
    return s;
}

Outcome<Cast> demo_cast() {
    const Outcome<Foot> foot = Foot::make(demo_shape());
    if (!foot) return foot.fault();
    return take_cast(*foot, demo_spec(foot->truth()));
}

Outcome<std::map<std::string, std::vector<Vec3>>> demo_drawn() {
    const Outcome<Foot> foot = Foot::make(demo_shape());
    if (!foot) return foot.fault();
    const CastSpec spec = demo_spec(foot->truth());
    std::map<std::string, std::vector<Vec3>> marks;
    const auto draw = [&](const char* name, const std::vector<Vec2>& path, bool closed) {
        for (std::size_t i = 0; i < path.size(); ++i) {  // as SoleLine lays it: a point a mm between corners
            const Vec2& from = path[i];
            const Vec2& to = i + 1 < path.size() ? path[i + 1] : closed ? path.front() : from;
            const int steps = std::max(1, static_cast<int>(std::lround((to - from).norm())));
            for (int k = 0; k < steps; ++k) {
                const Vec2 at = from + (static_cast<double>(k) / steps) * (to - from);
                if (const auto p = foot->sole(at.x(), at.y()))
                    marks[name].push_back(in_file(*foot, spec, *p));
            }
        }
    };
    draw("fascia", spec.colours->lines[0].path, false);
    draw("nodule", spec.colours->lines[1].path, true);
    marks["sore-base"] = {in_file(*foot, spec, foot->truth().landmarks.at("fifth_base"))};
    return marks;
}

Outcome<FootTruth> demo_truth() {
    const Outcome<Foot> foot = Foot::make(demo_shape());
    if (!foot) return foot.fault();
    return truth_in_file(*foot, demo_spec(foot->truth()));
}

Outcome<DemoVoid> demo_void() {
    const Outcome<Foot> foot = Foot::make(demo_shape());
    if (!foot) return foot.fault();
    const CastSpec spec = demo_spec(foot->truth());
    const AirVoid& air = spec.voids.front();
    const Vec3 below = *foot->sole(air.at.x(), air.at.y());
    return DemoVoid{in_file(*foot, spec, below + air.height_mm * foot->normal(below)), air.radius_mm};
}

}  // namespace archwright::generator
