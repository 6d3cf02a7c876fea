// What the device in hand is compared with, and what comes of it: worked out behind the screen.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "editor/model/rebuild.hpp"
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

/// One worker thread with workbenches of its own; the newest wish wins, what is under way for an older one is
/// cancelled. The stages it has finished are kept.
class Comparer {
  public:
    struct Setting {
        build::Setting build;
        std::function<void()> wake;
    };
    struct Wish {
        CompareWith with;
        Side side = Side::right;
        std::uint64_t edition = 0;
        std::shared_ptr<const FootResult> now;  ///< with a device
        std::shared_ptr<const design::Job> job;
        /// Of the step, the file or the proposal; of the other foot the job itself.
        std::shared_ptr<const design::Job> other_job;
        std::shared_ptr<const build::Device> other;  ///< where it is at hand already
    };
    explicit Comparer(Setting setting);
    /// Cancels and waits.
    ~Comparer();
    Comparer(const Comparer&) = delete;
    Comparer& operator=(const Comparer&) = delete;

    void ask(Wish wish);
    /// Nothing is compared any more until it is asked for.
    void cancel();
    /// What came in since the last call; null when nothing did.
    std::shared_ptr<const Comparison> take();
    bool idle() const;
    Activity activity() const;

  private:
    void work();
    std::shared_ptr<const Comparison> compare(const Wish& wish, Progress& progress);

    Setting setting_;
    build::Workbench own_;        ///< of the job's own folder
    std::filesystem::path file_;  ///< whose bench `foreign_` is
    std::optional<build::Workbench> foreign_;

    mutable std::mutex mutex_;
    std::condition_variable change_;
    std::optional<Wish> wish_;
    std::shared_ptr<const Comparison> ready_;
    Progress* progress_ = nullptr;
    Activity activity_;
    double began_ = 0;
    bool stop_ = false;
    std::thread thread_;
};

}  // namespace archwright::editor::model
