// The device in hand on the virtual bench: worked out behind the screen.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/model/worker.hpp"
#include "engine/flex/bench.hpp"
#include "engine/flex/carried.hpp"

namespace archwright::editor::model {

/// Which load the foot that is shown is put under, on what.
struct FlexWith {
    flex::LoadCase load = flex::LoadCase::arch_press;
    flex::BenchSupport support;

    bool operator==(const FlexWith&) const = default;
};

/// What came of it: shared, never changed.
struct Flexed {
    std::uint64_t number = 0;  ///< another for each
    FlexWith with;
    Side side = Side::right;
    std::uint64_t edition = 0;                   ///< of the job in hand
    std::shared_ptr<const FootResult> now;       ///< what stands on the bench
    std::shared_ptr<const build::Device> other;  ///< what it is compared with stands there too; null: nothing
    std::optional<flex::BenchResult> result, other_result;
    std::optional<Fault> fault, other_fault;  ///< why there is none
    flex::CarriedFlex carried;                ///< to the points of the shell's mesh
    bool whole = false;                       ///< with what moves the answer; that comes later
};

struct FlexWish {
    FlexWith with;
    Side side = Side::right;
    std::uint64_t edition = 0;
    std::optional<double> body_mass_kg;
    std::shared_ptr<const FootResult> now;  ///< with a device
    std::shared_ptr<const build::Device> other;
};

/// Keeps the benches of the last devices, so that another load is answered sooner.
class Flexer {
  public:
    explicit Flexer(std::function<void()> wake);

    void ask(FlexWish wish) { worker_.ask(std::move(wish)); }
    void cancel() { worker_.cancel(); }
    std::shared_ptr<const Flexed> take() { return worker_.take(); }
    bool idle() const { return worker_.idle(); }
    Activity activity() const { return worker_.activity(); }

  private:
    using Work = Worker<FlexWish, Flexed>;
    struct Kept {
        std::shared_ptr<const build::Device> device;
        std::optional<double> body_mass_kg;
        flex::Bench bench;
    };
    void work(const FlexWish& wish, Progress& progress, const Work::Publish& publish);
    flex::Bench& bench_of(const std::shared_ptr<const build::Device>& device,
                          const std::optional<double>& body_mass_kg);

    std::vector<std::unique_ptr<Kept>> kept_;  ///< the worker's own; the last used last
    Work worker_;                              ///< last: it ends first
};

}  // namespace archwright::editor::model
