// The commands that compare the device in hand, and that show what another command would change.
#include "editor/model/refused.hpp"
#include "editor/model/session.hpp"
#include "editor/model/session_commands.hpp"
#include "engine/base/text.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"

namespace archwright::editor::model {

using design::Command;
using What = CompareWith::What;

namespace {

/// Devices kept for comparisons: the present one and some before it.
constexpr std::size_t most_known = 4;

/// Letters tell the revision, so it decides the device too.
std::string mark_of(const design::Job& job, Side side) {
    return design::fingerprint(job, side) + " " + job.revision();
}

}  // namespace

Outcome<Reply> Session::run_compare(const Command& command) {
    const std::string what = command.value("what"), which = command.value("which");
    if ((what == "step" || what == "file") == which.empty())
        return refused("compare", which.empty()
                                      ? "Say which: compare step NUMBER (0: before all steps), or compare "
                                        "file and the path of a job."
                                      : "compare " + what + " takes nothing more.");
    CompareWith with;
    std::shared_ptr<const design::Job> other_job;
    if (what == "step") {
        const auto number = parse_number(which);
        if (!number || *number < 0 || *number != static_cast<double>(static_cast<std::size_t>(*number)))
            return refused("compare", "A step is a whole number from 0, the job before all steps.");
        with = {What::step, static_cast<std::size_t>(*number), {}, {}};
        auto job = history_->at(with.step);
        if (!job) return job.fault();
        other_job = std::make_shared<const design::Job>(std::move(*job));
    } else if (what == "file") {
        with = {What::file, 0, std::filesystem::absolute(which), {}};
        design::JobReading reading;
        reading.allow_outside = setup_.allow_outside;
        auto job = design::read_job(which, reading);
        if (!job) return job.fault();
        other_job = std::make_shared<const design::Job>(std::move(*job));
    } else if (what == "cast") {
        with.what = What::cast;
    } else if (what == "other_foot") {
        with.what = What::other_foot;
        if (!job_.left || !job_.right) return refused("compare", "The job has one foot only.");
    }
    if (other_job && !other_job->foot(foot_))
        return refused("compare", std::string("There is no ") + word(foot_) + " foot in it.");
    compare_with(with, std::move(other_job));
    return Reply{};
}

Outcome<Reply> Session::run_propose(const Command& command) {
    const std::string line = command.value("command");
    if (line == "off") {
        if (compare_.what == What::proposal) compare_with({}, nullptr);
        return Reply{};
    }
    auto proposed = design::parse(line, session_commands());
    if (!proposed) return proposed.fault();
    if (proposed->name == "state" || design::find_kind(design::job_commands(), proposed->name) == nullptr)
        return refused("propose", design::in_quotes(proposed->name) +
                                      " changes nothing of the design that could be shown before.");
    say_foot(*proposed);
    auto job = std::make_shared<design::Job>(job_);
    auto applied = design::apply(*proposed, *job, surroundings());
    if (!applied) return applied.fault();
    if (applied->foot && *applied->foot != foot_)
        return refused("propose", "It is of the other foot: choose that foot first.");
    Reply reply{std::move(applied->told), false, {}};
    CompareWith with{What::proposal, 0, {}, design::print(*proposed, session_commands())};
    compare_with(std::move(with), std::move(job));
    return reply;
}

void Session::compare_with(CompareWith with, std::shared_ptr<const design::Job> other_job) {
    compare_ = std::move(with);
    other_job_ = std::move(other_job);
    asked_ = {};
    comparison_.reset();
    flexed_.reset();  // it stood beside what was compared before
    flex_asked_ = {};
    if (comparer_) comparer_->cancel();
    if (compare_.what == What::none) {
        if (views_["map"] == "compare") views_["map"] = map_before_;
    } else {
        if (views_["map"] != "compare") map_before_ = views_["map"];
        views_["map"] = "compare";
        // the shell is what is looked at; of a pair the cast has its map as well
        if (views_["cast"] == "on" || compare_.what == What::other_foot) views_["cast"] = "lifted";
    }
    ask_comparison();
}

void Session::ask_comparison() {
    if (compare_.what == What::none || !comparer_) return;
    if (compare_.what == What::other_foot && (!job_.left || !job_.right)) {
        compare_with({}, nullptr);
        return;
    }
    const FootView view = view_of(foot_);
    // a proposal may be the way out of a stop: it is held against the last sound shape then
    const bool stopped = !view.stale && view.latest && view.latest->fault && view.sound;
    const std::shared_ptr<const FootResult> now = stopped ? view.sound : view.latest;
    if (view.stale || !now || !now->device || now->reach != FootResult::Reach::proved) return;
    CompareWish wish;
    wish.with = compare_;
    wish.side = foot_;
    wish.edition = edition_;
    wish.now = now;
    wish.other_job = other_job_;
    if (compare_.what == What::other_foot) {
        const FootView beside = view_of(other(foot_));
        if (!beside.proved()) {
            if (beside.stale || !beside.latest || !beside.latest->fault) return;  // it comes
            if (asked_.now == now) return;
            asked_ = {now, nullptr};
            auto none = std::make_shared<Comparison>();
            none->with = compare_;
            none->side = foot_;
            none->edition = edition_;
            none->now = now;
            none->fault = beside.latest->fault;
            comparison_ = std::move(none);
            return;
        }
        wish.other = beside.latest->device;
        wish.other_job = nullptr;
    } else if (other_job_ && compare_.what != What::file) {
        const std::string mark = mark_of(*other_job_, foot_);
        for (const KnownDevice& known : known_)
            if (known.side == foot_ && known.mark == mark) wish.other = known.device;
    }
    if (asked_.now == now && (compare_.what != What::other_foot || asked_.other == wish.other)) return;
    asked_ = {now, wish.other};
    wish.job = std::make_shared<const design::Job>(job_);
    comparer_->ask(std::move(wish));
}

/// What was proved of the present edition can be compared with later without building it again.
void Session::know(const FootResult& result) {
    if (result.edition != edition_ || result.reach != FootResult::Reach::proved || !result.device) return;
    if (!job_.foot(result.side)) return;
    const std::string mark = mark_of(job_, result.side);
    std::erase_if(known_,
                  [&](const KnownDevice& known) { return known.side == result.side && known.mark == mark; });
    known_.push_back({result.side, mark, result.device});
    std::size_t of_side = 0;
    for (const KnownDevice& known : known_) of_side += known.side == result.side ? 1 : 0;
    if (of_side <= most_known) return;
    for (auto known = known_.begin(); known != known_.end(); ++known)
        if (known->side == result.side) {
            known_.erase(known);
            break;
        }
}

}  // namespace archwright::editor::model
