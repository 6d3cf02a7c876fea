// What comes in from behind of a shell that is shown: what it is compared with, and the bench.
#include "editor/view/shown.hpp"

#include <algorithm>
#include <utility>

#include "editor/view/fields.hpp"
#include "engine/picture/crease.hpp"

namespace archwright::editor::view {

std::shared_ptr<const model::Comparison> Shown::comparison() const {
    const std::lock_guard guard(values_mutex_);
    return comparison_;
}

bool Shown::of_this_device(const std::shared_ptr<const model::FootResult>& now) const {
    return device_ && now && now->device->shelled == device_->shelled &&
           now->device->lettered == device_->lettered && result_->reach != model::FootResult::Reach::preview;
}

std::shared_ptr<const model::Flexed> Shown::flexed() const {
    const std::lock_guard guard(values_mutex_);
    return flexed_;
}

void Shown::take_flexed(std::shared_ptr<const model::Flexed> flexed) const {
    if (flexed && (!flexed->result || !of_this_device(flexed->now))) flexed.reset();
    if (flexed == this->flexed()) return;
    std::map<Map, std::shared_ptr<const Values>> made;
    if (flexed) {
        const auto take = [&](Map map, const auto& foot_value, const auto& under_value) {
            auto values = std::make_shared<Values>();
            values->foot_side = each_point(
                foot_side_->count(), [&](std::size_t i) { return foot_value(foot_side_->first_point + i); });
            values->underside = each_point(
                underside_->count(), [&](std::size_t i) { return under_value(underside_->first_point + i); });
            values->usual_greatest =
                std::max(usual_greatest(values->foot_side), usual_greatest(values->underside));
            made.emplace(map, std::move(values));
        };
        const flex::CarriedFlex& carried = flexed->carried;
        const auto moves = [&](std::size_t i) { return carried.moved[i].norm(); };
        take(Map::deflection, moves, moves);
        const auto stress = [](const std::vector<double>& mpa, double times) {
            return [&mpa, times](std::size_t i) { return times * mpa[i]; };
        };
        take(Map::stress, stress(carried.foot_side_mpa, 1.0), stress(carried.underside_mpa, 1.0));
        const flex::BenchStress& most = flexed->result->foot_side;
        const double percent = most.mpa > 0.0 ? 100.0 * most.utilisation / most.mpa : 0.0;
        take(Map::utilisation, stress(carried.foot_side_mpa, percent),
             stress(carried.underside_mpa, percent));
    }
    const std::lock_guard guard(values_mutex_);
    flexed_ = std::move(flexed);
    bent_.reset();
    for (const Map map : {Map::deflection, Map::stress, Map::utilisation}) values_.erase(map);
    values_.merge(made);
}

std::shared_ptr<const Shown::Bent> Shown::bent(double times) const {
    const auto flexed = this->flexed();
    if (!flexed || !(times > 0.0)) return nullptr;
    {
        const std::lock_guard guard(values_mutex_);
        if (bent_ && bent_times_ == times) return bent_;
    }
    const surface::ShellMesh& mesh = *input_.shell_mesh;
    const TriangleMesh& still = subject_->shell();
    TriangleMesh moved = still;
    if (moved.points.size() != flexed->carried.moved.size()) return nullptr;
    for (std::size_t i = 0; i < moved.points.size(); ++i) moved.points[i] += times * flexed->carried.moved[i];
    auto made = std::make_shared<Bent>();
    made->foot_side = skin_of(moved, 0, mesh.foot_side_end, still, foot_side_);
    made->underside = skin_of(moved, mesh.foot_side_end, mesh.underside_end, still, underside_);
    made->rest = skin_of(picture::creased(moved, mesh.underside_end, moved.triangles.size()));
    const std::lock_guard guard(values_mutex_);
    bent_ = std::move(made);
    bent_times_ = times;
    return bent_;
}

void Shown::take_comparison(std::shared_ptr<const model::Comparison> comparison) const {
    if (comparison && !of_this_device(comparison->now)) comparison.reset();
    if (comparison == this->comparison()) return;
    std::shared_ptr<Values> made;
    if (comparison && comparison->foot_side) {
        made = std::make_shared<Values>();
        const auto take = [&](const compare::Difference& difference, std::size_t difference_begins,
                              const Skin& skin) {
            std::vector<float> out(skin.count(), static_cast<float>(no_counterpart));
            for (std::size_t i = 0; i < out.size(); ++i) {
                const std::size_t at = skin.first_point + i;
                if (at < difference_begins || at - difference_begins >= difference.mm.size()) continue;
                const double mm = difference.mm[at - difference_begins];
                if (std::isfinite(mm)) out[i] = static_cast<float>(mm);
            }
            return out;
        };
        made->foot_side = take(*comparison->foot_side, 0, *foot_side_);
        if (comparison->underside)
            made->underside = take(*comparison->underside, input_.shell_mesh->foot_side_points, *underside_);
        if (comparison->cast && cast_) made->cast = take(*comparison->cast, 0, *cast_->skin);
        made->alone = comparison->foot_side->alone_mm2 > 0.0 ||
                      (comparison->underside && comparison->underside->alone_mm2 > 0.0) ||
                      !made->cast.empty();
        std::vector<float> known;
        for (const auto* side : {&made->foot_side, &made->underside})
            for (const float v : *side)
                if (static_cast<double>(v) < no_counterpart) known.push_back(v);
        made->usual_greatest = usual_greatest(std::move(known));
    }
    const std::lock_guard guard(values_mutex_);
    comparison_ = std::move(comparison);
    values_.erase(Map::compare);
    if (made) values_.emplace(Map::compare, std::move(made));
}

}  // namespace archwright::editor::view
