// One person at one job: everything the screen reads, and the one way in: commands as text.
//
// Widgets hold no truth. A frame calls `poll`, reads the session, and gives back lines for `run`; nothing
// here waits for the geometry, which is built behind (rebuild.hpp) and comes in as shared, unchanging results
// with the edition of the job they belong to.
#pragma once

#include <cstdint>
#include <deque>
#include <filesystem>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "editor/model/asking.hpp"
#include "editor/model/background.hpp"
#include "editor/model/comparison.hpp"
#include "editor/model/flexing.hpp"
#include "editor/model/making.hpp"
#include "editor/model/news.hpp"
#include "editor/model/rebuild.hpp"
#include "editor/model/recovery.hpp"
#include "editor/model/settings.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/history.hpp"

namespace archwright::editor::model {

/// What a session is started with.
struct Setup {
    std::filesystem::path state_folder;   ///< for unsaved work; empty: none is kept
    std::filesystem::path config_folder;  ///< for settings; empty: none are kept
    bool dark = false;                    ///< the dark theme, for this session alone
    /// Why there is no state folder, where there should be one: told as a notice.
    std::string state_trouble;
    double unsaved_seconds = 3;             ///< at most so much work is lost with the process
    std::filesystem::path example_program;  ///< makes the example; empty: archwright-demo beside this one
    bool allow_outside = false;             ///< files named by a job may lie outside its folder
    scan::ReadLimits limits;
    std::function<void()> wake;  ///< something came in: called by other threads, for the loop to poll
    std::function<void()> tick;  ///< at every report of progress, for tests
};

/// What a command answers.
struct Reply {
    std::vector<std::string> told;  ///< for the person, a line each
    bool pending = false;           ///< it goes on behind; `answer` has the rest once `busy_with` is empty
    /// It is on record and contradicts the cast's shape.
    std::optional<Fault> objection;
};

/// A thing that is selected; `what` is a word of the command "select".
struct Selection {
    std::string what = "none", name;
    bool operator==(const Selection&) const = default;
};

/// The sections that are shown: of the view alone, not of the job.
struct Sections {
    double frontal_x = 60, sagittal_y = 0;           ///< mm
    std::map<std::string, std::vector<Vec2>> lines;  ///< drawn ones, "A" to "E": two places of the plan
    std::string shown = "F";                         ///< beside the sagittal one
    std::uint64_t number = 0;                        ///< goes up with every command
};

struct Notice {
    enum class Level { told, fault };
    std::uint64_t number = 0;
    Level level = Level::told;
    std::string text;
    std::optional<Vec3> where;  ///< design frame, where the fault knows
};

/// What is known of one foot's device.
struct FootView {
    std::shared_ptr<const FootResult> latest;   ///< null before anything came in
    std::shared_ptr<const FootResult> sound;    ///< the last with a device
    std::shared_ptr<const FootResult> checked;  ///< the last with every check
    bool stale = true;                          ///< the latest is of an older edition of the job
    /// Of this very edition, with every check.
    bool proved() const { return !stale && latest && latest->reach == FootResult::Reach::proved; }
};

class Session {
  public:
    explicit Session(Setup setup);
    /// Unsaved work is written to the state folder.
    ~Session();
    Session(const Session&) = delete;
    Session& operator=(const Session&) = delete;

    /// Does one command (docs/script.md), wholly or not at all. Faults say what and what to do.
    Outcome<Reply> run(std::string_view line);
    /// Takes in what came from behind; cheap when nothing did. Whether anything changed.
    bool poll();
    /// For programs without a loop: waits until something comes in, at most so long, and polls.
    bool wait(double seconds);
    /// What a pending command answered in the end; once.
    std::optional<Outcome<Reply>> answer();

    bool has_job() const { return history_ != nullptr; }
    const design::Job& job() const { return job_; }
    const std::filesystem::path& job_path() const { return path_; }
    /// Goes up with every change of the job, undo too.
    std::uint64_t edition() const { return edition_; }
    bool modified() const { return history_ && history_->modified(); }
    const design::History* history() const { return history_.get(); }
    /// The foot that is shown and meant; the job has it.
    Side foot() const { return foot_; }
    FootView view_of(Side side) const;
    const Selection& selection() const { return selection_; }
    const std::string& stage() const { return stage_; }
    /// Word of a view's setting (session_commands.hpp).
    const std::string& view(const std::string& name) const { return views_.at(name); }
    const Sections& sections() const { return sections_; }
    const Settings& settings() const { return settings_; }
    bool dark() const { return setup_.dark || settings_.theme == Settings::Theme::dark; }
    /// Null when they could not be read (a notice says why).
    std::shared_ptr<const design::Materials> materials() const { return materials_; }
    /// The newest last, some hundred of them.
    const std::deque<Notice>& notices() const { return notices_; }

    /// What a pending command is about; empty when there is none.
    std::string busy_with() const { return task_ ? task_->what() : std::string(); }
    /// With what the foot that is shown is compared, or what is proposed.
    const CompareWith& compared_with() const { return compare_; }
    /// What came of it; null while it is worked out. Stale once its edition is not the session's.
    std::shared_ptr<const Comparison> comparison() const { return comparison_; }
    /// How the foot that is shown stands on the virtual bench; nothing: it does not.
    const std::optional<FlexWith>& flex() const { return flex_; }
    /// What came of it; null while it is worked out. Stale once its edition is not the session's.
    std::shared_ptr<const Flexed> flexed() const { return flexed_; }
    /// Walls found for a stiffness that was asked for, not accepted yet; null: none. Of this edition.
    std::shared_ptr<const Answered> answered() const { return answered_; }
    /// How a mill cuts the device in hand; null: not asked, under way, or `mill_fault` says why not. Of this
    /// edition, and so is what a printer makes of it.
    std::shared_ptr<const Milled> milled() const { return milled_; }
    const std::optional<Fault>& mill_fault() const { return mill_fault_; }
    std::shared_ptr<const Printed> printed() const { return printed_; }
    const std::optional<Fault>& print_fault() const { return print_fault_; }
    /// "mill", "print", or empty: which of them is under way.
    std::string making() const { return making_; }
    Activity activity() const;
    /// Nothing is under way or asked for.
    bool idle() const;
    /// Exports asked for that are not done yet.
    std::size_t exporting() const { return exporting_; }
    /// The last that was done.
    const std::optional<ExportResult>& last_export() const { return last_export_; }

    /// What processes that ended left behind, the newest first; not this session's.
    std::vector<LeftBehind> left_behind() const;
    /// What was done since the job was opened, as a script that does it again.
    std::string recording() const;
    /// Why it cannot be recorded as a script; empty: it can.
    std::string not_recordable() const;
    /// Fault (usage) when `file` is the job, a cast or the drawing in hand: nothing goes over them.
    std::optional<Fault> not_over_its_files(const std::filesystem::path& file, const std::string& what) const;
    /// Writes unsaved work now, or lets go of it: how a program without a person ends. Fault (output).
    Outcome<Done> end(bool keep);

  private:
    using Runner = Outcome<Reply> (Session::*)(const design::Command&);
    static const std::map<std::string, Runner>& runners();

    Outcome<Reply> run_new(const design::Command& command);
    Outcome<Reply> run_add(const design::Command& command);
    Outcome<Reply> run_open(const design::Command& command);
    Outcome<Reply> run_recover(const design::Command& command);
    Outcome<Reply> run_close(const design::Command& command);
    Outcome<Reply> run_save(const design::Command& command);
    Outcome<Reply> run_save_as(const design::Command& command);
    Outcome<Reply> run_export(const design::Command& command);
    Outcome<Reply> run_undo(const design::Command& command);
    Outcome<Reply> run_step(const design::Command& command);
    Outcome<Reply> run_work(const design::Command& command);
    Outcome<Reply> run_foot(const design::Command& command);
    Outcome<Reply> run_select(const design::Command& command);
    Outcome<Reply> run_stage(const design::Command& command);
    Outcome<Reply> run_view(const design::Command& command);
    Outcome<Reply> run_section(const design::Command& command);
    Outcome<Reply> run_setting(const design::Command& command);
    Outcome<Reply> run_example(const design::Command& command);
    Outcome<Reply> run_find_marks(const design::Command& command);
    Outcome<Reply> run_record(const design::Command& command);
    Outcome<Reply> run_compare(const design::Command& command);
    Outcome<Reply> run_propose(const design::Command& command);
    Outcome<Reply> run_flex(const design::Command& command);
    Outcome<Reply> run_ask(const design::Command& command);
    Outcome<Reply> run_ask_accept(const design::Command& command);
    Outcome<Reply> run_make(const design::Command& command);
    Outcome<Reply> run_on_job(design::Command command);
    Outcome<Reply> run_behind(const std::string& what, Background::Work work);

    static Fault exports_go_on(const std::string& what);
    std::optional<Fault> in_the_way(const design::Command& command) const;
    Outcome<Done> write_job_to(const std::filesystem::path& path, const design::Job& job, bool replace,
                               const std::string& known_sha256);
    void take_job(design::Job job, std::filesystem::path path, std::string file_sha256);
    void start_rebuilder();
    void keep_selected(const design::Command& command);
    Reply changed(const design::Command& command, design::Applied applied);
    void after_change();
    void keep_unsaved();
    void keep_settings();
    void go_to_stage(const std::string& name);
    void saved();
    void say_foot(design::Command& command) const;
    void compare_with(CompareWith with, std::shared_ptr<const design::Job> other_job);
    void ask_comparison();
    void flex_with(std::optional<FlexWith> with);
    void ask_flex();
    void take_made();
    void forget_making();
    void know(const FootResult& result);
    void record(const design::Command& command);
    void notice(Notice::Level level, std::string text, std::optional<Vec3> where = {});
    design::Surroundings surroundings();
    std::function<void()> waker();

    Setup setup_;
    std::shared_ptr<const design::Materials> materials_;
    Settings settings_;
    bool settings_damaged_ = false;  ///< the file could not be read: it is left for a person to mend
    std::unique_ptr<Recovery> recovery_;

    design::Job job_;
    std::filesystem::path path_;
    std::string file_sha256_;  ///< of the job's file as it was read or written last; empty: never
    std::unique_ptr<design::History> history_;
    std::uint64_t edition_ = 0;
    Side foot_ = Side::right;
    Selection selection_;
    std::string stage_;
    std::map<std::string, std::string> views_;
    Sections sections_;
    std::map<Side, FootView> feet_;
    std::deque<Notice> notices_;
    std::uint64_t notice_count_ = 0;
    std::vector<design::Command> recorded_;
    bool in_step_ = false;
    std::size_t step_begins_ = 0;  ///< where in `recorded_`
    std::size_t exporting_ = 0;
    std::optional<ExportResult> last_export_;
    std::optional<Outcome<Reply>> answer_;

    CompareWith compare_;
    std::shared_ptr<const design::Job> other_job_;  ///< of a step, a file or a proposal
    std::shared_ptr<const Comparison> comparison_;
    std::string map_before_;  ///< that was shown before something was compared
    /// What was asked for last, so that it is asked for once.
    struct Asked {
        std::shared_ptr<const FootResult> now;
        std::shared_ptr<const build::Device> other;
    };
    Asked asked_;
    std::optional<FlexWith> flex_;
    std::shared_ptr<const Flexed> flexed_;
    Asked flex_asked_;
    std::shared_ptr<const Answered> answered_;
    std::shared_ptr<const Milled> milled_;
    std::shared_ptr<const Printed> printed_;
    std::optional<Fault> mill_fault_, print_fault_;
    std::string making_;
    struct KnownDevice {
        Side side = Side::right;
        std::string mark;  ///< of its design
        std::shared_ptr<const build::Device> device;
    };
    std::deque<KnownDevice> known_;

    std::shared_ptr<News> news_;
    std::unique_ptr<Background> task_;
    std::unique_ptr<Comparer> comparer_;
    std::unique_ptr<Flexer> flexer_;
    std::unique_ptr<Maker> maker_;
    std::unique_ptr<Rebuilder> rebuilder_;  ///< last: it ends first
};

}  // namespace archwright::editor::model
