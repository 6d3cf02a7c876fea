// The devices of the job in hand, built again behind the screen whenever it changes.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "engine/build/feature_preview.hpp"
#include "engine/build/workbench.hpp"
#include "exporters/deliver.hpp"

namespace archwright::editor::model {

/// What was made of one foot. Shared and never changed once published.
struct FootResult {
    enum class Reach {
        cast,      ///< read and cleaned
        received,  ///< it stands; landmarks and measurements are there
        preview,   ///< the last device follows an edit of reliefs, pads, wall or trim line: a mesh alone
        shaped,    ///< the exact shell, not yet proved
        proved,    ///< with every check
    };

    std::uint64_t edition = 0;  ///< of the job it was made from: it is stale once the session's is another
    Side side = Side::right;
    Reach reach = Reach::cast;
    std::shared_ptr<const build::CastFile> cast;
    std::shared_ptr<const build::Received> received;
    std::shared_ptr<const build::Examined> examined;      ///< once it was; where the shell stops, too
    std::shared_ptr<const build::Device> device;          ///< shaped or proved
    std::shared_ptr<const surface::ShellMesh> preview;    ///< of Reach::preview
    std::shared_ptr<const surface::Shell> preview_shell;  ///< it was made of, where its trim line is another
    /// What stopped it at its reach; never that it was cancelled.
    std::optional<Fault> fault;
    /// What the order, the marks and the material tell of themselves, before any geometry.
    std::vector<Check> first_checks;
};

/// Files that were written, or why not.
struct ExportResult {
    std::uint64_t edition = 0;
    std::filesystem::path folder;
    std::optional<Fault> fault;
    std::vector<std::filesystem::path> files;
};

/// What is being done, for a chip with a bar.
struct Activity {
    bool busy = false;
    std::string what;      ///< "Fitting the carpet"
    double fraction = 0;   ///< 0..1 of the whole
    double seconds = 0;    ///< since it began
    bool exports = false;  ///< files are being written
};

/// One worker thread with one workbench. The newest wish wins: what is under way for an older one is
/// cancelled, and the stages it had finished are kept. Reliefs, pads and walls that change are shown first by
/// build::FeaturePreview, a trim line by build::preview_trim, on a thread of its own that waits for no stage,
/// then exactly.
class Rebuilder {
  public:
    struct Setting {
        build::Setting build;
        std::function<void()> wake;  ///< called by the worker when there is something to take
        std::function<void()> tick;  ///< called at every report of progress, for tests
    };
    explicit Rebuilder(Setting setting);
    /// Cancels and waits.
    ~Rebuilder();
    Rebuilder(const Rebuilder&) = delete;
    Rebuilder& operator=(const Rebuilder&) = delete;

    /// Builds the feet of this job, `first` before the other. `more_follows`: it is one state of a step that
    /// is still open (a value under the hand): the exact stages begin once it has rested a moment, or at
    /// `rested`.
    void build(std::shared_ptr<const design::Job> job, std::uint64_t edition, Side first,
               bool more_follows = false);
    /// No more follows: the exact stages of the last wish begin.
    void rested();
    /// Builds and delivers these feet; what is asked later waits until it is done.
    void deliver(std::shared_ptr<const design::Job> job, std::uint64_t edition, std::vector<Side> feet,
                 exporters::DeliverySetting setting);
    /// Ends what is under way, files too; nothing begins again before it is asked for.
    void cancel();

    /// What was published since the last call, in order.
    std::vector<std::shared_ptr<const FootResult>> take_results();
    std::vector<ExportResult> take_exports();
    Activity activity() const;
    /// Nothing is asked for and nothing under way.
    bool idle() const;

  private:
    struct Wish {
        std::shared_ptr<const design::Job> job;
        std::uint64_t edition = 0;
        Side first = Side::right;
        bool more_follows = false;
    };
    struct Delivery {
        std::shared_ptr<const design::Job> job;
        std::uint64_t edition = 0;
        std::vector<Side> feet;
        exporters::DeliverySetting setting;
    };
    /// The last exact shell of a foot, for previews of edits of it. Never changed.
    struct Base {
        std::shared_ptr<const build::Device> device;
        std::string rest;        ///< fingerprint of all that is no relief, pad, wall or trim line
        std::string wall, trim;  ///< and of those last two
        design::FootDesign foot;
    };
    /// What was found on a cast, and the cast as it stood then. The worker's own.
    struct Found {
        std::shared_ptr<const build::Examined> examined;
        std::shared_ptr<const build::Received> of;
    };
    /// A preview and what it follows. The previewer's own.
    struct Following {
        std::shared_ptr<const Base> base;
        std::unique_ptr<build::FeaturePreview> preview;
        std::vector<feature::Feature> features;  ///< it shows now
        std::string wall, trim;                  ///< and these
    };

    void work();
    void build_feet(const Wish& wish, Progress& progress);
    bool build_foot(const Wish& wish, Side side, Progress& progress);
    void preview();
    void preview_foot(const Wish& wish, Side side);
    bool follow(Following& following, const std::shared_ptr<const Base>& base, const design::FootDesign& foot,
                FootResult& result);
    void make_ready(Side side);
    std::shared_ptr<const Base> base_of(Side side) const;
    ExportResult deliver_now(const Delivery& delivery, Progress& progress);
    void publish(FootResult result);
    void heard(std::string_view what, double fraction);
    void wake() const;

    Setting setting_;
    build::Workbench bench_;
    std::map<Side, Found> found_;
    std::map<Side, Following> following_;

    mutable std::mutex mutex_;
    std::condition_variable change_;
    std::optional<Wish> wish_, preview_wish_;
    std::map<Side, std::shared_ptr<const Base>> bases_;
    std::vector<Side> unready_;  ///< feet whose preview is to be made before it is asked for
    bool previewing_ = false;
    std::deque<Delivery> deliveries_;
    Progress* progress_ = nullptr;  ///< of what is under way
    bool stop_ = false;
    std::vector<std::shared_ptr<const FootResult>> results_;
    std::vector<ExportResult> exports_;
    Activity activity_;
    double began_ = 0, last_wake_ = 0;
    std::thread previewer_, thread_;
};

}  // namespace archwright::editor::model
