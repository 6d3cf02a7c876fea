#include "editor/model/comparison.hpp"

#include <atomic>
#include <exception>

namespace archwright::editor::model {

namespace {

/// A proposal is read the other way: what it would add.
compare::Difference turned(compare::Difference difference) {
    for (double& mm : difference.mm) mm = -mm;
    for (compare::Peak& peak : difference.peaks) peak.mm = -peak.mm;
    std::swap(difference.most_added_mm, difference.most_taken_mm);
    std::swap(difference.added_mm3, difference.taken_mm3);
    difference.mean_mm = -difference.mean_mm;
    return difference;
}

/// Of a pair: without what was measured and mended on one foot.
design::FootDesign order_of(design::FootDesign foot) {
    foot.calipers = {};
    foot.repairs.clear();
    return foot;
}

}  // namespace

Comparer::Comparer(build::Setting build, std::function<void()> wake)
    : setting_(std::move(build)),
      own_(setting_),
      worker_(
          "Comparing",
          [this](const CompareWish& wish, Progress& progress,
                 const Worker<CompareWish, Comparison>::Publish& publish) {
              publish(compare(wish, progress));
          },
          std::move(wake)) {}

/// Null once it was cancelled.
std::shared_ptr<const Comparison> Comparer::compare(const CompareWish& wish, Progress& progress) {
    using What = CompareWith::What;
    auto made = std::make_shared<Comparison>();
    static std::atomic<std::uint64_t> numbers{0};  // of every comparer: no two are taken for one
    made->number = ++numbers;
    made->with = wish.with;
    made->side = wish.side;
    made->edition = wish.edition;
    made->now = wish.now;
    const auto failed = [&](const Fault& fault) -> std::shared_ptr<const Comparison> {
        if (fault.kind == FaultKind::cancelled || progress.cancelled()) return nullptr;
        made->fault = fault;
        return made;
    };
    const bool proposal = wish.with.what == What::proposal, other_foot = wish.with.what == What::other_foot;
    try {
        const build::Device& now = *wish.now->device;
        if (wish.with.what == What::cast) {
            auto side = compare::against_cast(now, progress);
            if (!side) return failed(side.fault());
            made->foot_side = std::move(*side);
            return made;
        }
        if (other_foot)
            made->settings = compare::settings_that_differ(order_of(*wish.job->foot(other(wish.side))),
                                                           order_of(*wish.job->foot(wish.side)));
        else
            made->settings = proposal ? compare::settings_that_differ(*wish.job, *wish.other_job, wish.side)
                                      : compare::settings_that_differ(*wish.other_job, *wish.job, wish.side);
        made->other = wish.other;
        if (!made->other) {
            if (wish.with.what == What::file && (!foreign_ || file_ != wish.with.file)) {
                build::Setting setting = setting_;
                setting.job_path = file_ = wish.with.file;
                foreign_.emplace(std::move(setting));
            }
            build::Workbench& bench = wish.with.what == What::file ? *foreign_ : own_;
            auto device =
                bench.build(*wish.other_job, other_foot ? archwright::other(wish.side) : wish.side, progress);
            if (!device) return failed(device.fault());
            made->other = std::make_shared<const build::Device>(std::move(*device));
        }
        auto shells = compare::shells(now, *made->other, progress);
        if (!shells) return failed(shells.fault());
        made->foot_side = proposal ? turned(std::move(shells->foot_side)) : std::move(shells->foot_side);
        made->underside = proposal ? turned(std::move(shells->underside)) : std::move(shells->underside);
        if (other_foot) {
            auto casts = compare::casts(*now.received, *made->other->received, progress);
            if (!casts) return failed(casts.fault());
            made->cast = std::move(*casts);
        }
        made->figures = proposal ? compare::figures_that_differ(now, *made->other)
                                 : compare::figures_that_differ(*made->other, now);
        return made;
    } catch (const std::bad_alloc&) {
        return failed({FaultKind::input, "memory", "There is not enough memory to compare.", {}});
    } catch (const std::exception& error) {
        return failed(
            {FaultKind::internal, "compare", std::string("An internal error: ") + error.what(), {}});
    }
}

}  // namespace archwright::editor::model
