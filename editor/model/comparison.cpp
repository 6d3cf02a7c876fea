#include "editor/model/comparison.hpp"

#include <atomic>
#include <chrono>
#include <exception>

namespace archwright::editor::model {

namespace {

double comparer_seconds() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// A proposal is read the other way: what it would add.
compare::Difference turned(compare::Difference difference) {
    for (double& mm : difference.mm) mm = -mm;
    for (compare::Peak& peak : difference.peaks) peak.mm = -peak.mm;
    std::swap(difference.most_added_mm, difference.most_taken_mm);
    std::swap(difference.added_mm3, difference.taken_mm3);
    difference.mean_mm = -difference.mean_mm;
    return difference;
}

}  // namespace

Comparer::Comparer(Setting setting)
    : setting_(std::move(setting)), own_(setting_.build), thread_([this] { work(); }) {}

Comparer::~Comparer() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
        wish_.reset();
        if (progress_) progress_->cancel();
    }
    change_.notify_all();
    thread_.join();
}

void Comparer::ask(Wish wish) {
    {
        const std::lock_guard guard(mutex_);
        wish_ = std::move(wish);
        ready_.reset();
        if (progress_) progress_->cancel();
    }
    change_.notify_all();
}

void Comparer::cancel() {
    const std::lock_guard guard(mutex_);
    wish_.reset();
    ready_.reset();
    if (progress_) progress_->cancel();
}

std::shared_ptr<const Comparison> Comparer::take() {
    const std::lock_guard guard(mutex_);
    return std::exchange(ready_, nullptr);
}

bool Comparer::idle() const {
    const std::lock_guard guard(mutex_);
    return !activity_.busy && !wish_ && !ready_;
}

Activity Comparer::activity() const {
    const std::lock_guard guard(mutex_);
    Activity now = activity_;
    if (now.busy) now.seconds = comparer_seconds() - began_;
    return now;
}

void Comparer::work() {
    for (;;) {
        std::optional<Wish> wish;
        Progress progress([this](std::string_view what, double fraction) {
            const std::lock_guard guard(mutex_);
            activity_.what = what;
            activity_.fraction = fraction;
        });
        {
            std::unique_lock guard(mutex_);
            change_.wait(guard, [&] { return stop_ || wish_; });
            if (stop_) return;
            wish = std::exchange(wish_, std::nullopt);
            progress_ = &progress;
            activity_ = {true, "Comparing", 0, 0, false};
            began_ = comparer_seconds();
        }
        if (setting_.wake) setting_.wake();
        std::shared_ptr<const Comparison> made = compare(*wish, progress);
        {
            const std::lock_guard guard(mutex_);
            progress_ = nullptr;
            activity_ = {};
            if (made && !progress.cancelled()) ready_ = std::move(made);
        }
        if (setting_.wake) setting_.wake();
    }
}

/// Null once it was cancelled.
std::shared_ptr<const Comparison> Comparer::compare(const Wish& wish, Progress& progress) {
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
            made->settings =
                compare::settings_that_differ(*wish.job->foot(other(wish.side)), *wish.job->foot(wish.side));
        else
            made->settings = proposal ? compare::settings_that_differ(*wish.job, *wish.other_job, wish.side)
                                      : compare::settings_that_differ(*wish.other_job, *wish.job, wish.side);
        made->other = wish.other;
        if (!made->other) {
            if (wish.with.what == What::file && (!foreign_ || file_ != wish.with.file)) {
                build::Setting setting = setting_.build;
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
