// The commands of a session that read and write files.
#include "editor/model/refused.hpp"
#include "editor/model/session.hpp"
#include "editor/model/session_commands.hpp"
#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/build/start_job.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/words.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::editor::model {

namespace fs = std::filesystem;
using design::Command;

namespace {

build::FirstWords words_of(const Command& command) {
    build::FirstWords words;
    if (const std::string* side = command.find("side")) words.side = design::from_key<Side>(*side);
    if (const std::string* unit = command.find("unit")) words.unit = design::from_key<LengthUnit>(*unit);
    words.by = command.value("by");
    words.same_order = command.value("same_order") == "yes";
    return words;
}

/// SHA-256 of a job's file as it is now; empty when there is none.
Outcome<std::string> sha256_of(const fs::path& path) {
    std::error_code error;
    if (!fs::exists(path, error)) return std::string();
    const auto file = FileBytes::read(path, design::JsonLimits{}.bytes);
    if (!file) return file.fault();
    return sha256(file->bytes());
}

/// A foot from a cast, read in the background; both the job and what it was begun with.
struct Begun {
    design::Job job;
    std::optional<Fault> fault;
    std::vector<std::string> told;
};

Begun begin(design::Job job, const fs::path& cast_path, const fs::path& job_path, const Command& command,
            bool allow_outside, const scan::ReadLimits& limits, Progress& progress) {
    Begun begun{std::move(job), {}, {}};
    const auto name = build::name_beside(cast_path, job_path, allow_outside);
    if (!name) {
        begun.fault = name.fault();
        return begun;
    }
    const auto cast = build::open_cast(cast_path, limits, progress);
    if (!cast) {
        begun.fault = cast.fault();
        return begun;
    }
    const auto started = build::start_foot(begun.job, *cast, *name, words_of(command), progress);
    if (!started) {
        begun.fault = started.fault();
        return begun;
    }
    begun.told.push_back(std::string("A ") + word(started->side) + " foot, unit " + word(started->unit) +
                         ".");
    for (const Check& check : started->received.checks)
        if (check.verdict != Verdict::pass)
            begun.told.push_back(std::string("[") + word(check.verdict) + "] " + check.title + ": " +
                                 check.message);
    for (const std::string& drawn : started->drawn)
        begun.told.push_back("Drawn for the other foot; look whether it belongs here: " + drawn);
    return begun;
}

}  // namespace

void Session::start_rebuilder() {
    rebuilder_.reset();
    exporting_ = 0;
    Rebuilder::Setting setting;
    setting.build.job_path = path_;
    setting.build.allow_outside = setup_.allow_outside;
    setting.build.limits = setup_.limits;
    setting.build.materials = materials_;
    setting.wake = waker();
    setting.tick = setup_.tick;
    comparer_ = std::make_unique<Comparer>(setting.build, setting.wake);
    flexer_ = std::make_unique<Flexer>(setting.wake);
    asked_ = {};
    flex_asked_ = {};
    rebuilder_ = std::make_unique<Rebuilder>(std::move(setting));
}

void Session::take_job(design::Job job, fs::path path, std::string file_sha256) {
    job_ = std::move(job);
    path_ = std::move(path);
    file_sha256_ = std::move(file_sha256);
    history_ = std::make_unique<design::History>(job_);
    feet_.clear();
    selection_ = {};
    compare_with({}, nullptr);
    flex_with({});
    forget_making();
    known_.clear();
    foot_ = job_.right ? Side::right : Side::left;
    go_to_stage(stages().front());
    const std::uint64_t number = sections_.number + 1;
    sections_ = {};
    sections_.number = number;
    recorded_.clear();
    in_step_ = false;
    last_export_.reset();
    if (file_sha256_.empty()) history_->mark_unsaved();
    start_rebuilder();
    after_change();
}

Outcome<Reply> Session::run_new(const Command& command) {
    const fs::path cast = command.value("cast");
    fs::path path = command.value("job");
    if (path.empty()) path = fs::path(cast).replace_extension(".json");
    if (exporters::same_file(cast, path))
        return refused("new", path.string() + " is the cast itself; give the job a name of its own.");
    design::Job job;
    job.case_code = command.find("case") ? command.value("case") : build::case_code_from(path);
    return run_behind(
        "Reading " + cast.filename().string(), [=, this](Progress& progress) -> Background::Finish {
            Begun begun = begin(job, cast, path, command, setup_.allow_outside, setup_.limits, progress);
            return [=, this, begun = std::move(begun)] {
                if (begun.fault) {
                    answer_ = Outcome<Reply>(*begun.fault);
                    return;
                }
                take_job(begun.job, path, {});
                recorded_.push_back(command);
                answer_ = Outcome<Reply>(Reply{begun.told, false, {}});
            };
        });
}

Outcome<Reply> Session::run_add(const Command& command) {
    const fs::path cast = command.value("cast");
    return run_behind("Reading " + cast.filename().string(),
                      [=, this, job = job_, path = path_](Progress& progress) -> Background::Finish {
                          Begun begun =
                              begin(job, cast, path, command, setup_.allow_outside, setup_.limits, progress);
                          return [=, this, begun = std::move(begun)] {
                              if (begun.fault) {
                                  answer_ = Outcome<Reply>(*begun.fault);
                                  return;
                              }
                              job_ = begun.job;
                              recorded_.push_back(command);
                              history_->record(job_, "The other foot");
                              after_change();
                              answer_ = Outcome<Reply>(Reply{begun.told, false, {}});
                          };
                      });
}

Outcome<Reply> Session::run_open(const Command& command) {
    const fs::path path = command.value("job");
    const auto file = FileBytes::read(path, design::JsonLimits{}.bytes);
    if (!file) return file.fault();
    const std::string sha = sha256(file->bytes());
    if (const std::string* wanted = command.find("sha256"); wanted && *wanted != sha)
        return refused("open", path.string() + " is not the job this was written for: its SHA-256 is " +
                                   sha.substr(0, 12) + "..., asked is " + wanted->substr(0, 12) + "...");
    design::JobReading reading;
    reading.allow_outside = setup_.allow_outside;
    auto job = design::parse_job(file->text(), path.filename().string(), reading);
    if (!job) return job.fault();
    if (recovery_) recovery_->forget();
    take_job(std::move(*job), path, sha);
    Command record{"open", {}};
    recorded_.push_back(record.with("job", path.string()).with("sha256", sha));
    settings_.opened(path);
    keep_settings();
    return Reply{{"Opened " + path.string()}, false, {}};
}

Outcome<Reply> Session::run_recover(const Command& command) {
    const fs::path file = command.value("file");
    auto left = read_left_behind(file);
    if (!left) return left.fault();
    const auto lock = hold_left_behind(file);
    if (!lock) return lock.fault();
    const auto now = sha256_of(left->job_path);
    if (!now) return now.fault();
    design::Job saved = left->job;
    if (!now->empty()) {
        design::JobReading reading;
        reading.allow_outside = true;
        if (auto there = design::read_job(left->job_path, reading)) saved = std::move(*there);
    }
    take_job(saved, left->job_path, left->file_sha256);
    job_ = left->job;
    history_->record(job_, "Recovered work");
    if (now->empty() || *now != left->file_sha256) history_->mark_unsaved();  // no step of it is that file
    after_change();
    recorded_.push_back(command);
    Reply reply{{"Recovered the unsaved work on " + left->job_path.string()}, false, {}};
    if (*now != left->file_sha256)
        reply.told.push_back(
            "The file was changed since: save refuses to write over it. Save under another name, "
            "or say replace=yes.");
    // the old file goes only once the new one holds the work
    if (recovery_ && recovery_->file() != file && recovery_->flush()) remove_left_behind(file);
    return reply;
}

Outcome<Reply> Session::run_close(const Command&) {
    rebuilder_.reset();
    exporting_ = 0;
    history_.reset();
    feet_.clear();
    recorded_.clear();
    selection_ = {};
    job_ = {};
    ++edition_;
    if (recovery_) recovery_->forget();
    return Reply{};
}

Outcome<Done> Session::write_job_to(const fs::path& path, const design::Job& job, bool replace,
                                    const std::string& known_sha256) {
    const auto now = sha256_of(path);
    if (!now) return now.fault();
    if (!replace && !now->empty() && *now != known_sha256)
        return Fault{
            FaultKind::output,
            "save",
            path.string() +
                (known_sha256.empty() ? " exists already" : " was changed by another program meanwhile") +
                ". Nothing was changed: save under another name, or say replace=yes.",
            {}};
    for (const Side side : {Side::left, Side::right})
        if (job.foot(side))
            if (const auto cast = design::resolve(path, job.foot(side)->cast.path, true);
                cast && exporters::same_file(*cast, path))
                return refused("save",
                               path.string() + " is the cast itself; give the job a name of its own.");
    design::JobReading reading;
    reading.allow_outside = setup_.allow_outside;
    // what somebody writes between that look and this is found under the file's lock; a file that is gone is
    // made
    return design::save_job(job, path, reading,
                            replace        ? FileKnown::anything()
                            : now->empty() ? FileKnown::absent()
                                           : FileKnown{known_sha256});
}

/// The present job is in its file.
void Session::saved() {
    file_sha256_ = sha256(design::write_job(job_));
    history_->mark_saved();
    if (!not_recordable().empty()) {
        recorded_ = {design::Command{"open", {}}.with("job", path_.string()).with("sha256", file_sha256_)};
        step_begins_ = 1;
    }
    settings_.opened(path_);
    keep_settings();
}

Outcome<Reply> Session::run_save(const Command& command) {
    if (in_step_) (void)run_step({"step end", {}});
    const auto done = write_job_to(path_, job_, command.value("replace") == "yes", file_sha256_);
    if (!done) return done.fault();
    saved();
    keep_unsaved();
    return Reply{{"Saved " + path_.string()}, false, {}};
}

Outcome<Reply> Session::run_save_as(const Command& command) {
    if (in_step_) (void)run_step({"step end", {}});
    const fs::path path = command.value("job");
    std::error_code error;
    const bool same =
        fs::weakly_canonical(fs::absolute(path), error) == fs::weakly_canonical(fs::absolute(path_), error);
    // the files it names stay where they are: their names follow the job
    if (!same && exporting_ > 0) return exports_go_on(command.name);
    std::optional<Fault> trouble;
    const auto rename = [&](std::string& name) {
        if (name.empty()) return;
        const auto file = design::resolve(path_, name, setup_.allow_outside);
        if (!file) {
            trouble = file.fault();
            return;
        }
        auto now = build::name_beside(*file, path, setup_.allow_outside);
        if (now)
            name = std::move(*now);
        else
            trouble = refused(
                "save as", "Save the job beside its cast and its insole's drawing: " + now.fault().message);
    };
    const auto move = [&](design::Job& job) {
        for (const Side side : {Side::left, Side::right})
            if (job.foot(side)) rename(job.foot(side)->cast.path);
        rename(job.order.insole_outline);
    };
    design::Job job = job_;
    if (!same) move(job);
    if (trouble) return *trouble;
    const auto done = write_job_to(path, job, command.value("replace") == "yes", same ? file_sha256_ : "");
    if (!done) return done.fault();
    if (!same) {
        // undo must not bring names back that are right from the old place alone; what a step named that is
        // not to be had from here keeps its name
        if (const auto moved = history_->rewrite(move); !moved) return moved.fault();
    }
    path_ = path;
    job_ = std::move(job);
    saved();
    if (!same) {  // names are looked up from the new place
        start_rebuilder();
        after_change();
    } else {
        keep_unsaved();
    }
    return Reply{{"Saved " + path_.string()}, false, {}};
}

std::optional<Fault> Session::not_over_its_files(const fs::path& file, const std::string& what) const {
    if (!has_job()) return {};
    const auto is = [&](const fs::path& other) { return exporters::same_file(file, other); };
    bool its = is(path_);
    for (const Side side : {Side::left, Side::right})
        if (job_.foot(side))
            if (const auto cast = design::resolve(path_, job_.foot(side)->cast.path, true))
                its = its || is(*cast);
    if (!job_.order.insole_outline.empty())
        if (const auto drawing = design::resolve(path_, job_.order.insole_outline, true))
            its = its || is(*drawing);
    if (!its) return {};
    return refused(what, file.string() + " is a file of the job in hand: give it another name.");
}

Outcome<Reply> Session::run_export(const Command& command) {
    exporters::DeliverySetting setting;
    setting.folder = command.value("folder");
    setting.replace = command.value("replace") == "yes";
    setting.flex = command.value("flex") == "yes";
    setting.inputs = exporters::inputs_of(job_, path_, setup_.allow_outside);
    if (const std::string* formats = command.find("formats")) {
        setting.formats.clear();
        for (std::string_view rest = *formats; !rest.empty();) {
            const std::string_view one = rest.substr(0, rest.find(','));
            rest.remove_prefix(std::min(one.size() + 1, rest.size()));
            if (one == "stl")
                setting.formats.insert(exporters::Format::stl);
            else if (one == "step")
                setting.formats.insert(exporters::Format::step);
            else if (one == "3mf")
                setting.formats.insert(exporters::Format::three_mf);
            else
                return refused("export", design::in_quotes(one) + " is no format: there are stl, step, 3mf");
        }
    }
    std::vector<Side> feet;
    for (const Side side : {Side::left, Side::right})
        if (job_.foot(side) && (!command.find("foot") || command.value("foot") == word(side)))
            feet.push_back(side);
    if (feet.empty()) return refused("export", "The job has no " + command.value("foot") + " foot.");
    ++exporting_;
    rebuilder_->deliver(std::make_shared<const design::Job>(job_), edition_, feet, std::move(setting));
    Reply reply;
    reply.pending = true;
    return reply;
}

Outcome<Reply> Session::run_record(const Command& command) {
    const fs::path file = command.value("file");
    std::error_code error;
    if (const std::string why = not_recordable(); !why.empty()) return refused("record", why);
    if (auto fault = not_over_its_files(file, "record")) return *fault;
    if (fs::exists(file, error) && command.value("replace") != "yes")
        return refused("record", file.string() + " exists already. Choose another name, or say replace=yes.");
    if (const auto done = write_file(file, recording()); !done) return done.fault();
    return Reply{{"Wrote " + file.string()}, false, {}};
}

}  // namespace archwright::editor::model
