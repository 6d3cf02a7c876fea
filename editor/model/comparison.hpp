// What the device in hand is compared with, and what comes of it: worked out behind the screen.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/model/worker.hpp"
#include "engine/compare/device.hpp"
#include "engine/compare/settings.hpp"

namespace archwright::editor::model {

/// With what the foot that is shown is compared.
struct CompareWith {
    enum class What {
        none,
        step,        ///< the job as it was after a step of the history
        file,        ///< another job file's foot of the same side
        cast,        ///< the shell's foot side with the cast
        other_foot,  ///< the other foot of the job, mirrored
        proposal,    ///< the job as a command would make it, which is not done
    };
    What what = What::none;
    std::size_t step = 0;
    std::filesystem::path file;
    std::string command;  ///< of a proposal, as it is recorded when it is done

    bool operator==(const CompareWith&) const = default;
};

/// What came of it: shared, never changed. Signs: positive where the shell in hand lies farther out than the
/// other (more of it); of a proposal where the proposed one would.
struct Comparison {
    std::uint64_t number = 0;  ///< another for each
    CompareWith with;
    Side side = Side::right;
    std::uint64_t edition = 0;                   ///< of the job in hand
    std::shared_ptr<const FootResult> now;       ///< of the job in hand: what the values stand on
    std::shared_ptr<const build::Device> other;  ///< null of the cast, and where it could not be built
    std::optional<Fault> fault;                  ///< why the other could not be built
    /// From the other to what is in hand; of a proposal from what is in hand to the proposed.
    std::vector<compare::Setting> settings;
    std::vector<compare::Figure> figures;
    std::optional<compare::Difference> foot_side, underside, cast;
};

struct CompareWish {
    CompareWith with;
    Side side = Side::right;
    std::uint64_t edition = 0;
    std::shared_ptr<const FootResult> now;  ///< with a device
    std::shared_ptr<const design::Job> job;
    /// Of the step, the file or the proposal; of the other foot the job itself.
    std::shared_ptr<const design::Job> other_job;
    std::shared_ptr<const build::Device> other;  ///< where it is at hand already
};

/// With workbenches of its own: the stages it has finished are kept.
class Comparer {
  public:
    Comparer(build::Setting build, std::function<void()> wake);

    void ask(CompareWish wish) { worker_.ask(std::move(wish)); }
    void cancel() { worker_.cancel(); }
    std::shared_ptr<const Comparison> take() { return worker_.take(); }
    bool idle() const { return worker_.idle(); }
    Activity activity() const { return worker_.activity(); }

  private:
    std::shared_ptr<const Comparison> compare(const CompareWish& wish, Progress& progress);

    build::Setting setting_;
    build::Workbench own_;        ///< of the job's own folder
    std::filesystem::path file_;  ///< whose bench `foreign_` is
    std::optional<build::Workbench> foreign_;
    Worker<CompareWish, Comparison> worker_;  ///< last: it ends first
};

}  // namespace archwright::editor::model
