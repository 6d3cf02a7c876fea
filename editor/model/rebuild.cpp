#include "editor/model/rebuild.hpp"

#include <chrono>
#include <exception>

#include "engine/design/fingerprint.hpp"

namespace archwright::editor::model {

namespace {

constexpr double between_wakes_seconds = 0.05;  // of a bar that moves; results wake at once

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// All of a foot's design but its reliefs and pads, for whether a preview can follow.
std::string all_but_features(const design::Job& job, Side side) {
    design::Job rest = job;
    rest.foot(side)->features.clear();
    return design::fingerprint(rest, side);
}

Fault of_library(const std::string& what) {
    return Fault{FaultKind::internal, "build", "An internal error: " + what, {}};
}

/// Work that may throw in a library or for want of memory, as a value.
template <class Work>
auto caught(Work work) -> decltype(work()) {
    try {
        return work();
    } catch (const std::bad_alloc&) {
        return Fault{FaultKind::input,
                     "memory",
                     "There is not enough memory for this. Nothing was left half-written.",
                     {}};
    } catch (const std::exception& error) {
        return of_library(error.what());
    }
}

}  // namespace

Rebuilder::Rebuilder(Setting setting)
    : setting_(std::move(setting)), bench_(setting_.build), thread_([this] { work(); }) {}

Rebuilder::~Rebuilder() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
        wish_.reset();
        deliveries_.clear();
        if (progress_) progress_->cancel();
    }
    change_.notify_all();
    thread_.join();
}

void Rebuilder::build(std::shared_ptr<const design::Job> job, std::uint64_t edition, Side first) {
    {
        const std::lock_guard guard(mutex_);
        wish_ = Wish{std::move(job), edition, first};
        if (progress_ && !activity_.exports) progress_->cancel();
    }
    change_.notify_all();
}

void Rebuilder::deliver(std::shared_ptr<const design::Job> job, std::uint64_t edition, std::vector<Side> feet,
                        exporters::DeliverySetting setting) {
    {
        const std::lock_guard guard(mutex_);
        deliveries_.push_back({std::move(job), edition, std::move(feet), std::move(setting)});
    }
    change_.notify_all();
}

void Rebuilder::cancel() {
    const std::lock_guard guard(mutex_);
    wish_.reset();
    for (const Delivery& delivery : deliveries_)
        exports_.push_back({delivery.edition,
                            delivery.setting.folder,
                            Fault{FaultKind::cancelled, "write", "Cancelled; nothing was written.", {}},
                            {}});
    deliveries_.clear();
    if (progress_) progress_->cancel();
}

std::vector<std::shared_ptr<const FootResult>> Rebuilder::take_results() {
    const std::lock_guard guard(mutex_);
    return std::exchange(results_, {});
}
std::vector<ExportResult> Rebuilder::take_exports() {
    const std::lock_guard guard(mutex_);
    return std::exchange(exports_, {});
}
Activity Rebuilder::activity() const {
    const std::lock_guard guard(mutex_);
    Activity now = activity_;
    if (now.busy) now.seconds = seconds_now() - began_;
    return now;
}
bool Rebuilder::idle() const {
    const std::lock_guard guard(mutex_);
    return !activity_.busy && !wish_ && deliveries_.empty();
}

void Rebuilder::wake() const {
    if (setting_.wake) setting_.wake();
}

void Rebuilder::publish(FootResult result) {
    {
        const std::lock_guard guard(mutex_);
        results_.push_back(std::make_shared<const FootResult>(std::move(result)));
    }
    wake();
}

void Rebuilder::heard(std::string_view what, double fraction) {
    bool tell = false;
    {
        const std::lock_guard guard(mutex_);
        activity_.what = what;
        activity_.fraction = fraction;
        const double now = seconds_now();
        tell = now - last_wake_ > between_wakes_seconds;
        if (tell) last_wake_ = now;
    }
    if (tell) wake();
    if (setting_.tick) setting_.tick();
}

void Rebuilder::work() {
    for (;;) {
        std::optional<Wish> wish;
        std::optional<Delivery> delivery;
        Progress progress([this](std::string_view what, double fraction) { heard(what, fraction); });
        {
            std::unique_lock guard(mutex_);
            change_.wait(guard, [&] { return stop_ || wish_ || !deliveries_.empty(); });
            if (stop_) return;
            if (!deliveries_.empty()) {
                delivery = std::move(deliveries_.front());
                deliveries_.pop_front();
            } else {
                wish = std::exchange(wish_, std::nullopt);
            }
            progress_ = &progress;
            activity_ = {true, "", 0, 0, delivery.has_value()};
            began_ = seconds_now();
        }
        wake();
        std::optional<ExportResult> exported;
        if (delivery)
            exported = deliver_now(*delivery, progress);
        else
            build_feet(*wish, progress);
        {
            const std::lock_guard guard(mutex_);
            progress_ = nullptr;
            activity_ = {};
            if (exported) exports_.push_back(std::move(*exported));
        }
        wake();
    }
}

void Rebuilder::build_feet(const Wish& wish, Progress& progress) {
    for (const Side side : {wish.first, other(wish.first)})
        if (wish.job->foot(side) && !build_foot(wish, side, progress)) return;
}

/// False once cancelled.
bool Rebuilder::build_foot(const Wish& wish, Side side, Progress& progress) {
    FootResult result;
    result.edition = wish.edition;
    result.side = side;
    result.first_checks = bench_.first_checks(*wish.job, side);
    const auto stopped_by = [&](const Fault& fault) {
        if (fault.kind == FaultKind::cancelled || progress.cancelled()) return false;
        result.fault = fault;
        publish(result);
        return true;
    };
    const auto cast = caught([&] { return bench_.cast(*wish.job, side, progress); });
    if (!cast) return stopped_by(cast.fault());
    result.cast = *cast;
    if (!bases_[side].device) publish(result);
    preview_foot(wish, side, result);

    const auto received = caught([&] { return bench_.receive(*wish.job, side, progress); });
    if (!received) return stopped_by(received.fault());
    result.received = *received;
    // the same cast, standing the same: what was found on it still is
    if (bases_[side].examined_of == result.received) result.examined = bases_[side].examined;
    result.reach = FootResult::Reach::received;
    if (!bases_[side].device) publish(result);

    const auto shaped = caught([&] { return bench_.shape(*wish.job, side, progress); });
    if (progress.cancelled()) return false;
    if (!shaped) {
        // what is wrong with the cast may be why
        if (const auto examined = caught([&] { return bench_.examine(*wish.job, side, progress); }))
            result.examined = *examined;
        return stopped_by(shaped.fault());
    }
    result.device = std::make_shared<const build::Device>(*shaped);
    result.reach = FootResult::Reach::shaped;
    publish(result);
    Base& base = bases_[side];
    base.device = result.device;
    base.rest = all_but_features(*wish.job, side);
    base.foot = *wish.job->foot(side);
    base.preview.reset();

    const auto proved = caught([&] { return bench_.build(*wish.job, side, progress); });
    if (!proved) return stopped_by(proved.fault());
    if (progress.cancelled()) return false;
    result.device = std::make_shared<const build::Device>(*proved);
    result.examined = result.device->examined;
    bases_[side].examined = result.examined;
    bases_[side].examined_of = result.received;
    result.reach = FootResult::Reach::proved;
    publish(std::move(result));
    return true;
}

void Rebuilder::preview_foot(const Wish& wish, Side side, FootResult result) {
    Base& base = bases_[side];
    const design::FootDesign& foot = *wish.job->foot(side);
    if (!base.device || foot.features == base.foot.features) return;
    if (all_but_features(*wish.job, side) != base.rest) return;
    const auto done = caught([&]() -> Outcome<Done> {
        if (!base.preview) base.preview = std::make_unique<build::FeaturePreview>(*base.device, base.foot);
        return base.preview->edit(foot);
    });
    if (!done) return;  // the exact stages tell what is the matter
    result.received = base.device->received;
    result.reach = FootResult::Reach::preview;
    result.preview = std::make_shared<const surface::ShellMesh>(base.preview->mesh());
    publish(std::move(result));
}

ExportResult Rebuilder::deliver_now(const Delivery& delivery, Progress& progress) {
    ExportResult result{delivery.edition, delivery.setting.folder, {}, {}};
    const auto delivered = caught([&]() -> Outcome<std::vector<exporters::Delivered>> {
        std::vector<build::Device> devices;
        for (const Side side : delivery.feet) {
            auto device = bench_.build(*delivery.job, side, progress);
            if (!device) return device.fault();
            devices.push_back(std::move(*device));
        }
        return exporters::deliver(*delivery.job, devices, delivery.setting, progress);
    });
    if (!delivered) {
        result.fault = delivered.fault();
        return result;
    }
    for (const exporters::Delivered& device : *delivered)
        for (const exporters::DeliveredFile& file : device.files)
            result.files.push_back(delivery.setting.folder / file.name);
    return result;
}

}  // namespace archwright::editor::model
