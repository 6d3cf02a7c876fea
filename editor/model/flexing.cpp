#include "editor/model/flexing.hpp"

#include <algorithm>
#include <atomic>
#include <exception>

#include "engine/build/flex_subject.hpp"

namespace archwright::editor::model {

namespace {

/// The device in hand, what it is compared with, and the two before.
constexpr std::size_t most_kept = 4;

}  // namespace

Flexer::Flexer(std::function<void()> wake)
    : worker_(
          "On the bench",
          [this](const FlexWish& wish, Progress& progress, const Work::Publish& publish) {
              work(wish, progress, publish);
          },
          std::move(wake)) {}

flex::Bench& Flexer::bench_of(const std::shared_ptr<const build::Device>& device,
                              const std::optional<double>& body_mass_kg) {
    const auto at = std::find_if(kept_.begin(), kept_.end(), [&](const auto& kept) {
        return kept->device->shelled == device->shelled && kept->body_mass_kg == body_mass_kg;
    });
    if (at != kept_.end()) {
        std::rotate(at, at + 1, kept_.end());
    } else {
        if (kept_.size() == most_kept) kept_.erase(kept_.begin());
        kept_.push_back(std::make_unique<Kept>(
            Kept{device, body_mass_kg,
                 flex::Bench(build::bench_subject(*device->surfaced, *device->shelled, body_mass_kg))}));
    }
    return kept_.back()->bench;
}

void Flexer::work(const FlexWish& wish, Progress& progress, const Work::Publish& publish) {
    static std::atomic<std::uint64_t> numbers{0};
    Flexed made;
    made.with = wish.with;
    made.side = wish.side;
    made.edition = wish.edition;
    made.now = wish.now;
    made.other = wish.other;
    const auto tell = [&] {
        made.number = ++numbers;
        publish(std::make_shared<const Flexed>(made));
    };
    auto kind = flex::Deflections::automatic;
    const auto run = [&](const std::shared_ptr<const build::Device>& device, bool sensitivity,
                         std::optional<flex::BenchResult>& result, std::optional<Fault>& fault) {
        flex::BenchSetting setting;
        setting.support = wish.with.support;
        setting.deflections = kind;
        setting.sensitivity = sensitivity;
        auto found = bench_of(device, wish.body_mass_kg).run(wish.with.load, setting, &progress);
        if (found)
            result = std::move(*found);
        else
            fault = found.fault();
    };
    try {
        const std::shared_ptr<const build::Device>& now = wish.now->device;
        run(now, false, made.result, made.fault);
        if (progress.cancelled()) return;
        if (made.result) made.carried = flex::carried_to(*made.result, now->made().mesh.points);
        tell();
        if (wish.other) {
            run(wish.other, false, made.other_result, made.other_fault);
            if (progress.cancelled()) return;
            // side by side they are of one kind
            if (made.result && made.other_result &&
                made.result->deflections != made.other_result->deflections) {
                kind = flex::Deflections::large;
                std::optional<flex::BenchResult> again;
                std::optional<Fault> none;
                const bool small = made.result->deflections == flex::Deflections::small;
                run(small ? now : wish.other, false, again, none);
                if (progress.cancelled()) return;
                if (again)
                    (small ? made.result : made.other_result) = std::move(again);
                else
                    kind = flex::Deflections::automatic;
                if (small && made.result)
                    made.carried = flex::carried_to(*made.result, now->made().mesh.points);
            }
            tell();
        }
        if (made.result) run(now, true, made.result, made.fault);
        if (progress.cancelled()) return;
        made.whole = true;
        tell();
    } catch (const std::bad_alloc&) {
        made.result.reset();
        made.whole = true;
        made.fault = Fault{FaultKind::input, "memory", "There is not enough memory for the bench.", {}};
        tell();
    } catch (const std::exception& error) {
        made.result.reset();
        made.whole = true;
        made.fault =
            Fault{FaultKind::internal, "flex", std::string("An internal error: ") + error.what(), {}};
        tell();
    }
}

}  // namespace archwright::editor::model
