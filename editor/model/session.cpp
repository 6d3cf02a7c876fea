#include "editor/model/session.hpp"

#include <algorithm>

#include "editor/model/refused.hpp"
#include "editor/model/session_commands.hpp"
#include "engine/base/text.hpp"
#include "engine/build/carried_place.hpp"
#include "engine/build/state_cast.hpp"
#include "engine/design/asset_files.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/json.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::model {

using design::Command;

namespace {

constexpr std::size_t most_notices = 200;

/// Commands whose value says all: the later one makes the earlier needless while something is dragged.
bool says_all(const std::string& name) {
    return name == "set" || name == "landmark set" || name == "mark move";
}

/// A drag of one figure is called by what it came to; any other step by the name it was begun under.
std::string label_of_step(const std::vector<Command>& recorded, std::size_t begins, const std::string& own) {
    const std::string named = begins > 0 ? recorded[begins - 1].value("label") : std::string();
    const Command& last = recorded.back();
    const bool one_figure =
        recorded.size() == begins + 1 && last.name == "set" && parse_number(last.value("value"));
    return named.empty() || one_figure ? own : named;
}

/// Whether two commands give the same thing a value.
bool same_target(const Command& a, const Command& b) {
    return a.name == b.name && says_all(a.name) && a.value("name") == b.value("name") &&
           a.value("foot") == b.value("foot");
}

/// Whether what one command says does not change what the other means: neither names a part of the other.
bool apart(const Command& a, const Command& b) {
    const std::string x = a.value("name"), y = b.value("name");
    return says_all(a.name) && says_all(b.name) && !x.starts_with(y) && !y.starts_with(x);
}

/// A name that text and JSON can hold.
bool writable(const std::string& name) {
    return design::parse_json(design::print(design::Json::of(name)), "name").ok();
}

/// "left.trim.cup_medial_mm" says the foot itself.
bool names_foot(const std::string& name) {
    return name.starts_with("left.") || name.starts_with("right.");
}

}  // namespace

Session::Session(Setup setup) : setup_(std::move(setup)), stage_(stages().front()) {
    news_ = std::make_shared<News>(setup_.wake);
    for (const ViewSetting& view : view_settings()) views_[view.name] = view.words.front();
    auto materials = design::load_materials(design::assets_folder() / "materials");
    if (materials)
        materials_ = std::make_shared<const design::Materials>(std::move(*materials));
    else
        notice(Notice::Level::fault, materials.fault().message);
    if (!setup_.config_folder.empty()) {
        auto settings = read_settings(setup_.config_folder);
        if (settings) {
            settings_ = std::move(*settings);
        } else {
            settings_damaged_ = true;
            notice(Notice::Level::fault, settings.fault().message);
        }
    }
    if (!setup_.state_trouble.empty())
        notice(Notice::Level::fault, "Unsaved work is not kept, so save often. " + setup_.state_trouble);
    if (!setup_.state_folder.empty()) {
        auto recovery = Recovery::in(setup_.state_folder, setup_.unsaved_seconds, waker());
        if (recovery)
            recovery_ = std::move(*recovery);
        else
            notice(Notice::Level::fault,
                   "Unsaved work cannot be kept, so save often: " + recovery.fault().message);
    }
}

Session::~Session() = default;

std::function<void()> Session::waker() {
    return [news = news_] { news->tell(); };
}

void Session::notice(Notice::Level level, std::string text, std::optional<Vec3> where) {
    notices_.push_back({++notice_count_, level, std::move(text), where});
    if (notices_.size() > most_notices) notices_.pop_front();
}

const std::map<std::string, Session::Runner>& Session::runners() {
    static const std::map<std::string, Runner> all{{"new", &Session::run_new},
                                                   {"add", &Session::run_add},
                                                   {"open", &Session::run_open},
                                                   {"recover", &Session::run_recover},
                                                   {"close", &Session::run_close},
                                                   {"save", &Session::run_save},
                                                   {"save as", &Session::run_save_as},
                                                   {"export", &Session::run_export},
                                                   {"undo", &Session::run_undo},
                                                   {"redo", &Session::run_undo},
                                                   {"step begin", &Session::run_step},
                                                   {"step end", &Session::run_step},
                                                   {"step drop", &Session::run_step},
                                                   {"wait", &Session::run_work},
                                                   {"cancel", &Session::run_work},
                                                   {"rebuild", &Session::run_work},
                                                   {"foot", &Session::run_foot},
                                                   {"select", &Session::run_select},
                                                   {"stage", &Session::run_stage},
                                                   {"view", &Session::run_view},
                                                   {"setting", &Session::run_setting},
                                                   {"section", &Session::run_section},
                                                   {"section remove", &Session::run_section},
                                                   {"record", &Session::run_record},
                                                   {"compare", &Session::run_compare},
                                                   {"propose", &Session::run_propose},
                                                   {"flex", &Session::run_flex},
                                                   {"ask", &Session::run_ask},
                                                   {"ask accept", &Session::run_ask_accept},
                                                   {"ask off", &Session::run_ask_accept},
                                                   {"mill", &Session::run_make},
                                                   {"mill off", &Session::run_make},
                                                   {"print", &Session::run_make},
                                                   {"print off", &Session::run_make},
                                                   {"example", &Session::run_example},
                                                   {"marks find", &Session::run_find_marks}};
    return all;
}

Fault Session::exports_go_on(const std::string& what) {
    return refused(what, "Files are being written: wait for the end of the export, or cancel it.");
}

std::optional<Fault> Session::in_the_way(const Command& command) const {
    static const std::vector<std::string> any_time{"cancel", "wait",    "select",  "stage",
                                                   "view",   "setting", "section", "section remove"};
    if (std::find(any_time.begin(), any_time.end(), command.name) != any_time.end()) return std::nullopt;
    if (task_) return refused(command.name, task_->what() + " goes on: wait for its end, or cancel it.");
    static const std::vector<std::string> without_job{"new", "open", "recover", "example"};
    const bool needs_job =
        std::find(without_job.begin(), without_job.end(), command.name) == without_job.end();
    if (needs_job && !has_job())
        return refused(command.name, "There is no job in hand: open one, or begin one from a cast (new).");
    const bool lets_go = !needs_job || command.name == "close";
    if (exporting_ > 0 && lets_go) return exports_go_on(command.name);
    if (lets_go && modified() && command.value("discard") != "yes")
        return refused(command.name, "The job in hand was not saved: save it first, or say discard=yes.");
    return std::nullopt;
}

Outcome<Reply> Session::run(std::string_view line) {
    auto command = design::parse(line, session_commands());
    if (!command) return command.fault();
    if (command->name.empty()) return Reply{};
    for (const char* file : {"job", "cast", "file", "folder", "which"})
        if (const std::string* name = command->find(file); name && !writable(*name))
            return refused(
                command->name,
                "The path holds a byte that is no UTF-8, so it cannot be kept in any file of ours: "
                "rename the folder or file.");
    if (auto fault = in_the_way(*command)) return *fault;
    const auto own = runners().find(command->name);
    return own != runners().end() ? (this->*own->second)(*command) : run_on_job(std::move(*command));
}

design::Surroundings Session::surroundings() {
    design::Surroundings around;
    around.foot = foot_;
    around.materials = materials_.get();
    around.place_over = [this](const design::Job&, Side from) -> Outcome<design::PlaceOver> {
        const FootView here = view_of(from), there = view_of(other(from));
        for (const FootView* view : {&here, &there})
            if (view->stale || !view->latest || (!view->latest->received && !view->latest->fault))
                return refused("carry",
                               "A relief lies on a mark of the cast, and the casts are still being read: "
                               "carry it over when both feet stand. Nothing was changed.");
        if (!here.latest->received || !there.latest->received) return design::PlaceOver{};
        return design::PlaceOver{[one = here.latest->received, two = there.latest->received](
                                     const Vec3& place) { return build::carried_place(place, *one, *two); }};
    };
    around.open_stops = [this](const design::Job&, Side side) -> Outcome<std::vector<Check>> {
        const FootView view = view_of(side);
        if (view.latest && !view.stale && view.latest->fault) return *view.latest->fault;
        if (!view.proved())
            return refused("sign",
                           "The device is still being built: sign when its checks are there. Nothing was "
                           "changed.");
        return view.latest->device->open_stops();
    };
    return around;
}

/// What stands in the record must not hang on what was shown when.
void Session::say_foot(Command& command) const {
    const bool of_case = (command.name == "set" || command.name == "reset") &&
                         (design::of_case(command.value("name")) || names_foot(command.value("name")));
    const design::CommandKind* kind = design::find_kind(session_commands(), command.name);
    if (!of_case && kind->of_foot && job_.left && job_.right && !command.find("foot"))
        command.with("foot", word(foot_));
}

Outcome<Reply> Session::run_on_job(Command command) {
    say_foot(command);
    if (command.name != "state") {
        auto applied = design::apply(command, job_, surroundings());
        if (!applied) return applied.fault();
        return changed(command, std::move(*applied));
    }
    design::Surroundings around = surroundings();
    std::map<Side, std::shared_ptr<const build::CastFile>> open;
    for (const Side side : {Side::left, Side::right})
        if (const auto& latest = feet_[side].latest) open[side] = latest->cast;
    return run_behind("Stating the cast", [this, command, around, open, job = job_,
                                           path = path_](Progress& progress) mutable {
        around.cast = [&](design::Job& stated, Side side,
                          const design::CastWords& words) -> Outcome<design::CastAnswer> {
            const design::CastRef& named = stated.foot(side)->cast;
            std::shared_ptr<const build::CastFile> cast = open[side];
            if (!cast || cast->sha256 != named.sha256) {
                const auto file = design::resolve(path, named.path, setup_.allow_outside);
                if (!file) return file.fault();
                auto read = build::open_cast_of(named, *file, setup_.limits, progress);
                if (!read) return read.fault();
                cast = *read;
            }
            return build::state_cast(stated, side, words, *cast, progress);
        };
        auto applied = std::make_shared<Outcome<design::Applied>>(design::apply(command, job, around));
        return [this, command, applied, job = std::move(job)]() mutable {
            if (!*applied) {
                answer_ = Outcome<Reply>(applied->fault());
                return;
            }
            job_ = std::move(job);
            answer_ = Outcome<Reply>(changed(command, std::move(**applied)));
        };
    });
}

Outcome<Reply> Session::run_behind(const std::string& what, Background::Work work) {
    answer_.reset();
    const auto guarded = [this, what,
                          work = std::move(work)](Progress& progress) mutable -> Background::Finish {
        try {
            return work(progress);
        } catch (const std::exception& error) {
            const Fault fault{
                FaultKind::internal, "editor", what + ": an internal error: " + error.what(), {}};
            return [this, fault] { answer_ = Outcome<Reply>(fault); };
        }
    };
    task_ = std::make_unique<Background>(what, guarded, waker());
    Reply reply;
    reply.pending = true;
    return reply;
}

/// What is selected stays so under its new name.
void Session::keep_selected(const Command& command) {
    static const std::map<std::string, std::string> lists{
        {"feature", "features"}, {"region", "wall.regions"}, {"smooth", "dress.smooth"}, {"cover", "covers"}};
    const auto list = lists.find(selection_.what);
    if (command.name == selection_.what + " rename" && command.value("name") == selection_.name)
        selection_.name = command.value("new");
    else if (command.name == "set" && list != lists.end() &&
             command.value("name").ends_with(list->second + "[" + selection_.name + "].name"))
        selection_.name = command.value("value");
}

Reply Session::changed(const Command& command, design::Applied applied) {
    keep_selected(command);
    Reply reply{std::move(applied.told), false, std::move(applied.objection)};
    if (!job_.foot(foot_)) foot_ = other(foot_);  // stated to be of the other side
    if (applied.foot && command.name == "state") foot_ = *applied.foot;
    record(command);
    const std::string label =
        in_step_ ? label_of_step(recorded_, step_begins_, applied.label) : applied.label;
    if (history_->record(job_, label)) after_change();
    if (reply.objection) notice(Notice::Level::fault, reply.objection->message);
    return reply;
}

void Session::after_change() {
    ++edition_;
    for (auto& [side, view] : feet_) view.stale = true;
    if (!job_.foot(foot_)) foot_ = other(foot_);
    // what is compared is of the job as it was; a proposal was one for that job alone
    if (compare_.what == CompareWith::What::proposal) compare_with({}, nullptr);
    asked_ = {};
    if (comparer_) comparer_->cancel();
    flex_asked_ = {};
    if (flexer_) flexer_->cancel();
    answered_.reset();  // it was of the job as it was
    forget_making();
    keep_unsaved();
    if (rebuilder_) rebuilder_->build(std::make_shared<const design::Job>(job_), edition_, foot_, in_step_);
}

void Session::keep_unsaved() {
    if (!recovery_) return;
    if (modified())
        recovery_->keep(
            {std::filesystem::absolute(path_), file_sha256_, std::make_shared<const design::Job>(job_)});
    else
        recovery_->forget();
}

void Session::record(const Command& command) {
    // a drag is recorded as where it ended; what stands between may not change what the earlier line means
    for (std::size_t i = recorded_.size(); in_step_ && i-- > step_begins_;) {
        if (same_target(recorded_[i], command)) {
            recorded_.erase(recorded_.begin() + static_cast<std::ptrdiff_t>(i));
            break;
        }
        if (!apart(recorded_[i], command)) break;
    }
    recorded_.push_back(command);
}

std::string Session::recording() const {
    std::string text;
    for (const Command& command : recorded_) text += design::print(command, session_commands()) + "\n";
    return text;
}

std::string Session::not_recordable() const {
    return !recorded_.empty() && recorded_.front().name == "recover"
               ? "This session began with recovered work, which no script can begin with. Save first: what "
                 "is "
                 "done from then on is recorded."
               : std::string();
}

Outcome<Done> Session::end(bool keep) {
    if (!recovery_) return Done{};
    if (keep) return recovery_->flush();
    recovery_->forget();
    return Done{};
}

void Session::keep_settings() {
    if (setup_.config_folder.empty() || settings_damaged_) return;
    if (const auto done = write_settings(settings_, setup_.config_folder); !done)
        notice(Notice::Level::fault, done.fault().message);
}

Outcome<Reply> Session::run_undo(const Command& command) {
    if (in_step_) (void)run_step({"step end", {}});
    const bool back = command.name == "undo";
    const std::size_t steps =
        command.find("steps") ? static_cast<std::size_t>(*parse_number(command.value("steps"))) : 1;
    const std::size_t there = back ? history_->position() : history_->labels().size() - history_->position();
    if (steps > there)
        return refused(command.name, there == 0 ? "There is nothing to " + command.name + "."
                                                : "There are only " + std::to_string(there) + " steps to " +
                                                      command.name + ".");
    auto job = history_->go_to(back ? history_->position() - steps : history_->position() + steps);
    if (!job) return job.fault();
    job_ = std::move(*job);
    recorded_.push_back(command);
    after_change();
    return Reply{};
}

Outcome<Reply> Session::run_step(const Command& command) {
    if (command.name == "step drop") {
        if (!in_step_) return refused(command.name, "No step was begun.");
        auto job = history_->drop();
        if (!job) return job.fault();
        in_step_ = false;
        recorded_.resize(step_begins_ - 1);
        job_ = std::move(*job);
        after_change();
        return Reply{};
    }
    if (in_step_) {
        history_->end();
        in_step_ = false;
        if (rebuilder_) rebuilder_->rested();
        const std::size_t inside = recorded_.size() - step_begins_;
        if (inside <= 1)  // one command is a step by itself
            recorded_.erase(recorded_.begin() + static_cast<std::ptrdiff_t>(step_begins_) - 1);
        else
            recorded_.push_back({"step end", {}});
    } else if (command.name == "step end") {
        return refused(command.name, "No step was begun.");
    }
    if (command.name == "step begin") {
        history_->begin(command.value("label"));
        in_step_ = true;
        recorded_.push_back(command);
        step_begins_ = recorded_.size();
    }
    return Reply{};
}

Outcome<Reply> Session::run_work(const Command& command) {
    if (command.name == "cancel") {
        if (task_) task_->cancel();
        if (rebuilder_) rebuilder_->cancel();
        if (comparer_ && !comparer_->idle()) compare_with({}, nullptr);
        if (flexer_ && !flexer_->idle()) flex_with({});
        if (!making_.empty() && maker_) {
            maker_->cancel();
            making_.clear();
        }
    }
    if (command.name == "rebuild")
        rebuilder_->build(std::make_shared<const design::Job>(job_), edition_, foot_);
    return Reply{};  // what "wait" waits for, whoever runs scripts knows
}

bool Session::poll() {
    if (!news_->take()) return false;
    if (task_ && task_->done()) {
        const std::unique_ptr<Background> task = std::move(task_);
        task->finish();
        if (answer_ && !*answer_)
            notice(Notice::Level::fault, answer_->fault().message, answer_->fault().where);
    }
    if (rebuilder_) {
        for (auto& result : rebuilder_->take_results()) {
            FootView& view = feet_[result->side];
            if (view.latest && view.latest->edition > result->edition) continue;
            // a preview that comes in after the exact shell, or after what stopped it, is late
            if (result->reach == FootResult::Reach::preview && view.latest &&
                view.latest->edition == result->edition && (view.latest->device || view.latest->fault))
                continue;
            view.latest = result;
            if (result->device) view.sound = result;
            if (result->reach == FootResult::Reach::proved) view.checked = result;
            know(*result);
        }
        for (ExportResult& result : rebuilder_->take_exports()) {
            --exporting_;
            if (result.fault)
                notice(Notice::Level::fault, result.fault->message, result.fault->where);
            else
                notice(Notice::Level::told, "Wrote " + std::to_string(result.files.size()) + " files to " +
                                                result.folder.string());
            last_export_ = std::move(result);
        }
    }
    for (auto& [side, view] : feet_) view.stale = !view.latest || view.latest->edition != edition_;
    if (comparer_)
        if (auto made = comparer_->take();
            made && made->with == compare_ && made->edition == edition_ && made->side == foot_)
            comparison_ = std::move(made);
    ask_comparison();
    if (flexer_)
        if (auto made = flexer_->take();
            made && flex_ && made->with == *flex_ && made->edition == edition_ && made->side == foot_)
            flexed_ = std::move(made);
    ask_flex();
    take_made();
    if (recovery_)
        if (const auto trouble = recovery_->trouble())
            notice(Notice::Level::fault, "Unsaved work cannot be kept, so save often: " + trouble->message);
    return true;
}

bool Session::wait(double seconds) {
    news_->wait(seconds);
    return poll();
}

std::optional<Outcome<Reply>> Session::answer() {
    return std::exchange(answer_, std::nullopt);
}

FootView Session::view_of(Side side) const {
    const auto found = feet_.find(side);
    return found == feet_.end() ? FootView{} : found->second;
}

Activity Session::activity() const {
    if (task_) return {true, task_->what(), task_->fraction(), 0, false};
    Activity found = rebuilder_ ? rebuilder_->activity() : Activity{};
    if (!found.busy && comparer_) found = comparer_->activity();
    if (!found.busy && flexer_) found = flexer_->activity();
    if (!found.busy && maker_) found = maker_->activity();
    return found;
}

bool Session::idle() const {
    return !task_ && (!rebuilder_ || rebuilder_->idle()) && (!comparer_ || comparer_->idle()) &&
           (!flexer_ || flexer_->idle()) && (!maker_ || maker_->idle());
}

std::vector<LeftBehind> Session::left_behind() const {
    if (setup_.state_folder.empty()) return {};
    return model::left_behind(setup_.state_folder);
}

}  // namespace archwright::editor::model
