#include "editor/model/rebuild.hpp"

#include <chrono>
#include <exception>

#include "engine/build/trim_preview.hpp"
#include "engine/design/fingerprint.hpp"

namespace archwright::editor::model {

namespace {

constexpr double between_wakes_seconds = 0.05;  // of a bar that moves; results wake at once
// A value under the hand that has not moved for so long is at rest: below what a person waits for, above the
// time between two of a mouse's reports and the picture of each.
constexpr auto rest_time = std::chrono::milliseconds(120);

double seconds_now() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// All of a foot's design but what a preview can follow.
std::string all_but_previewed(const design::Job& job, Side side) {
    design::Job rest = job;
    rest.foot(side)->features.clear();
    rest.foot(side)->wall = {};
    rest.foot(side)->trim = {};
    return design::fingerprint(rest, side);
}

/// The trim line of a foot alone, for whether it is another.
std::string trim_words(const design::Job& job, Side side) {
    design::Job rest = job;
    rest.foot(side)->features.clear();
    rest.foot(side)->wall = {};
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
    : setting_(std::move(setting)),
      bench_(setting_.build),
      previewer_([this] { preview(); }),
      thread_([this] { work(); }) {}

Rebuilder::~Rebuilder() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
        wish_.reset();
        preview_wish_.reset();
        unready_.clear();
        deliveries_.clear();
        if (progress_) progress_->cancel();
    }
    change_.notify_all();
    thread_.join();
    previewer_.join();
}

void Rebuilder::build(std::shared_ptr<const design::Job> job, std::uint64_t edition, Side first,
                      bool more_follows) {
    {
        const std::lock_guard guard(mutex_);
        wish_ = Wish{std::move(job), edition, first, more_follows};
        preview_wish_ = wish_;
        if (progress_ && !activity_.exports) progress_->cancel();
    }
    change_.notify_all();
}

void Rebuilder::rested() {
    {
        const std::lock_guard guard(mutex_);
        if (wish_) wish_->more_follows = false;
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
    {
        const std::lock_guard guard(mutex_);
        wish_.reset();
        preview_wish_.reset();
        for (const Delivery& delivery : deliveries_)
            exports_.push_back({delivery.edition,
                                delivery.setting.folder,
                                Fault{FaultKind::cancelled, "write", "Cancelled; nothing was written.", {}},
                                {}});
        deliveries_.clear();
        if (progress_) progress_->cancel();
    }
    change_.notify_all();
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
    return !activity_.busy && !wish_ && !preview_wish_ && !previewing_ && deliveries_.empty() &&
           results_.empty() && exports_.empty();
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
            // previews come first: they are quick, and what is exact begins with all processors; a value
            // under the hand has them until it rests
            for (bool rests = false; !stop_ && deliveries_.empty() && wish_;) {
                const auto ended = [&] { return stop_ || !deliveries_.empty() || !wish_; };
                if (preview_wish_ || previewing_) {
                    change_.wait(guard, [&] { return ended() || (!preview_wish_ && !previewing_); });
                    rests = false;
                    continue;
                }
                if (rests || !wish_->more_follows) break;
                const std::uint64_t edition = wish_->edition;
                rests = !change_.wait_for(guard, rest_time, [&] {
                    return ended() || !wish_->more_follows || wish_->edition != edition;
                });
            }
            if (stop_) return;
            if (!wish_ && deliveries_.empty()) continue;
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
    const bool first_build = base_of(side) == nullptr;
    if (first_build) publish(result);

    const auto received = caught([&] { return bench_.receive(*wish.job, side, progress); });
    if (!received) return stopped_by(received.fault());
    result.received = *received;
    // the same cast, standing the same: what was found on it still is
    Found& found = found_[side];
    if (found.of == result.received) result.examined = found.examined;
    result.reach = FootResult::Reach::received;
    if (first_build) publish(result);

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
    auto base = std::make_shared<const Base>(Base{result.device, all_but_previewed(*wish.job, side),
                                                  build::wall_words(*wish.job->foot(side)),
                                                  trim_words(*wish.job, side), *wish.job->foot(side)});
    {
        const std::lock_guard guard(mutex_);
        bases_[side] = std::move(base);
    }

    const auto proved = caught([&] { return bench_.build(*wish.job, side, progress); });
    if (!proved) return stopped_by(proved.fault());
    if (progress.cancelled()) return false;
    result.device = std::make_shared<const build::Device>(*proved);
    result.examined = result.device->examined;
    found.examined = result.examined;
    found.of = result.received;
    result.reach = FootResult::Reach::proved;
    publish(std::move(result));
    {
        const std::lock_guard guard(mutex_);
        unready_.push_back(side);
    }
    change_.notify_all();
    return true;
}

std::shared_ptr<const Rebuilder::Base> Rebuilder::base_of(Side side) const {
    const std::lock_guard guard(mutex_);
    const auto found = bases_.find(side);
    return found == bases_.end() ? nullptr : found->second;
}

void Rebuilder::preview() {
    for (;;) {
        std::optional<Wish> wish;
        std::optional<Side> unready;
        {
            std::unique_lock guard(mutex_);
            change_.wait(guard, [&] { return stop_ || preview_wish_ || !unready_.empty(); });
            if (stop_) return;
            wish = std::exchange(preview_wish_, std::nullopt);
            if (!wish) {
                unready = unready_.back();
                unready_.pop_back();
            }
            previewing_ = wish.has_value();
        }
        if (wish) {
            for (const Side side : {wish->first, other(wish->first)})
                if (wish->job->foot(side)) preview_foot(*wish, side);
            {
                const std::lock_guard guard(mutex_);
                previewing_ = false;
            }
            change_.notify_all();
            wake();
        } else {
            make_ready(*unready);
        }
    }
}

/// The preview that follows the last exact shell, made where there is none yet.
void Rebuilder::make_ready(Side side) {
    const std::shared_ptr<const Base> base = base_of(side);
    Following& following = following_[side];
    if (!base || following.base == base) return;
    following = {};
    const auto made = caught([&]() -> Outcome<Done> {
        following.preview = std::make_unique<build::FeaturePreview>(*base->device, base->foot);
        return Done{};
    });
    if (!made) return;
    following.base = base;
    following.features = base->foot.features;
    following.wall = base->wall;
    following.trim = base->trim;
}

/// The preview of a design, if it is one that can be followed and another than the one shown.
bool Rebuilder::follow(Following& following, const std::shared_ptr<const Base>& base,
                       const design::FootDesign& foot, FootResult& result) {
    if (following.trim != base->trim) {
        // along another line: other triangles, and reliefs and pads as they were
        if (foot.features != base->foot.features) return false;
        auto trimmed = caught([&] { return build::preview_trim(*base->device, foot); });
        if (!trimmed) return false;
        result.preview_shell = std::make_shared<const surface::Shell>(std::move(trimmed->shell));
        result.preview = std::make_shared<const surface::ShellMesh>(std::move(trimmed->mesh));
        return true;
    }
    const auto done = caught([&] { return following.preview->edit(foot); });
    if (!done) {
        following = {};
        return false;  // the exact stages tell what is the matter
    }
    following.features = foot.features;
    following.wall = build::wall_words(foot);
    result.preview = std::make_shared<const surface::ShellMesh>(following.preview->mesh());
    return true;
}

void Rebuilder::preview_foot(const Wish& wish, Side side) {
    const std::shared_ptr<const Base> base = base_of(side);
    const design::FootDesign& foot = *wish.job->foot(side);
    if (!base) return;
    Following& following = following_[side];
    const std::string wall = build::wall_words(foot), trim = trim_words(*wish.job, side);
    // a value that came back to where it was is shown again, too
    const bool of_base = following.base != base;
    if (foot.features == (of_base ? base->foot.features : following.features) &&
        wall == (of_base ? base->wall : following.wall) && trim == (of_base ? base->trim : following.trim))
        return;
    if (all_but_previewed(*wish.job, side) != base->rest) return;
    make_ready(side);
    if (following.base != base) return;
    following.trim = trim;
    FootResult result;
    if (!follow(following, base, foot, result)) return;
    result.edition = wish.edition;
    result.side = side;
    // of the job and the materials alone: they touch nothing of the worker's
    result.first_checks = bench_.first_checks(*wish.job, side);
    result.cast = base->device->received->cast;
    result.received = base->device->received;
    result.reach = FootResult::Reach::preview;
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
