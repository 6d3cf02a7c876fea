#include "engine/print/loads.hpp"

#include <algorithm>
#include <numeric>

#include "engine/build/flex_subject.hpp"
#include "engine/flex/facet.hpp"

namespace archwright::print {

namespace {

constexpr flex::LoadCase loads_that_count[] = {flex::LoadCase::arch_press, flex::LoadCase::body_weight,
                                               flex::LoadCase::forefoot_lift};

/// Area times principal stress squared along its direction, of both faces.
Mat3 pull_of(const flex::Facet& facet, const flex::ElementStress& stress) {
    Mat3 sum = Mat3::Zero();
    for (const flex::FaceStress* face : {&stress.foot_side, &stress.underside}) {
        const double angle = 0.5 * std::atan2(2.0 * face->xy, face->xx - face->yy);
        const Vec3 x = facet.axes.row(0), y = facet.axes.row(1);
        const Vec3 along = std::cos(angle) * x + std::sin(angle) * y,
                   square = std::cos(angle) * y - std::sin(angle) * x;
        sum += face->greatest() * face->greatest() * along * along.transpose() +
               face->least() * face->least() * square * square.transpose();
    }
    return facet.area * sum;
}

/// The stress that a fiftieth of the area passes.
double near_greatest(const std::vector<double>& stress, const std::vector<double>& area) {
    std::vector<std::size_t> order(stress.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return stress[a] > stress[b]; });
    const double all = std::accumulate(area.begin(), area.end(), 0.0);
    double passed = 0.0;
    for (const std::size_t i : order) {
        passed += area[i];
        if (passed >= 0.02 * all) return stress[i];
    }
    return 0.0;
}

}  // namespace

Loads::Loads(TriangleMesh middle, std::vector<double> share, Pull pull, std::vector<std::string> told)
    : middle_(std::make_unique<const TriangleMesh>(std::move(middle))),
      share_(std::move(share)),
      pull_(std::move(pull)),
      told_(std::move(told)),
      tree_(std::make_unique<const Bvh>(*middle_)) {}

double Loads::at(const Vec3& p) const {
    const auto near = tree_->nearest(p, within_mm);
    return near ? share_[static_cast<std::size_t>(near->triangle)] : 0.0;
}

Outcome<Loads> loads_of(const build::Device& device, const std::optional<double>& body_mass_kg,
                        Progress* progress) {
    flex::Bench bench(build::bench_subject(*device.surfaced, *device.shelled, body_mass_kg));
    flex::BenchSetting setting;
    setting.deflections = flex::Deflections::small;  // where stress is, not how far it moves
    setting.sensitivity = false;
    setting.further = false;
    TriangleMesh middle;
    std::vector<double> stress, area;
    Mat3 pull = Mat3::Zero();
    std::vector<std::string> told;
    for (const flex::LoadCase load : loads_that_count) {
        const auto result = bench.run(load, setting, progress);
        if (!result && result.fault().kind == FaultKind::cancelled) return result.fault();
        if (!result) {
            told.push_back(std::string(flex::title(load)) + " is not among them: " + result.fault().message);
            continue;
        }
        const flex::Model& model = result->model;
        if (middle.triangles.empty()) {
            middle.points = model.points;
            middle.triangles = model.triangles;
            stress.assign(model.triangles.size(), 0.0);
            for (std::size_t t = 0; t < model.triangles.size(); ++t) area.push_back(middle.area(t));
        }
        if (model.triangles.size() != stress.size())
            return Fault{FaultKind::internal, "print", "The bench's loads have different meshes.", {}};
        for (std::size_t t = 0; t < stress.size(); ++t) {
            const flex::ElementStress& s = result->stress[t];
            stress[t] = std::max({stress[t], s.foot_side.von_mises(), s.underside.von_mises()});
            pull += pull_of(model.element(t).facet(), s);
        }
        told.push_back(flex::title(load));
    }
    const double greatest = near_greatest(stress, area);
    if (!(greatest > 0.0) || !(pull.trace() > 0.0))
        return Fault{FaultKind::check,
                     "print",
                     "No load of the bench can be put on the device, so where loads pass is not known.",
                     {}};
    for (double& s : stress) s /= greatest;
    return Loads(std::move(middle), std::move(stress), Pull{Mat3(pull / pull.trace())}, std::move(told));
}

}  // namespace archwright::print
