// Approvals and past designs over random edits: an approval holds exactly while its fingerprint does, what
// voided it is named, undoing restores it, letters have no gap, and a past design is the one it was.
#include "engine/design/decisions.hpp"

#include <catch2/catch.hpp>
#include <map>

#include "engine/design/command_apply.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/history.hpp"
#include "engine/design/statement.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_commands.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

/// The letters that follow A, from their rule: base 26 without a nought.
std::string letter_of(std::size_t place) {
    std::string letter;
    for (++place; place > 0; place = (place - 1) / 26)
        letter.insert(letter.begin(), static_cast<char>('A' + (place - 1) % 26));
    return letter;
}

Applied do_it(Job& job, const std::string& name,
              std::initializer_list<std::pair<const char*, const char*>> words, Side side) {
    Command command{name, {}};
    for (const auto& [key, value] : words) command.with(key, value);
    Surroundings around = tests::without_cast();
    around.foot = side;
    auto applied = apply(command, job, around);
    if (!applied) FAIL(applied.fault().message);
    return *applied;
}

}  // namespace

TEST_CASE("decisions: an approval holds exactly as long as its fingerprint, and what voids it is named") {
    const int count = tests::cases(400, 12, "edit sequences with approvals");
    std::mt19937_64 random(tests::seed());
    int voided = 0, restored = 0, revised = 0;
    for (int n = 0; n < count; ++n) {
        Job job = tests::random_job(random);
        const Side side = job.left ? Side::left : Side::right;
        job.foot(side)->approvals.clear();
        History history(job);
        for (int step = 0; step < 30; ++step) {
            const auto dice = random() % 10;
            Job before = job;
            if (dice == 0) {
                do_it(job, "approve", {{"by", "KL-1"}, {"date", "2026-02-03"}}, side);
                CHECK(approval_state(job, side).holds);
            } else if (dice == 1) {
                do_it(job, "revise", {{"note", "another"}}, side);
                ++revised;
                // nothing is approved that is of another revision
                CHECK(!approval_state(job, side).holds);
            } else if (!apply(tests::random_command(random, job), job, tests::without_cast())) {
                continue;
            }
            if (!job.foot(side)) {  // stated to be of the other side: its approvals went with it
                job = before;
                continue;
            }
            history.record(job, "step");
            for (std::size_t k = 0; k < job.revisions.size(); ++k)
                REQUIRE(job.revisions[k].letter == letter_of(k));
            // by the approvals themselves
            const std::string now = fingerprint(job, side);
            bool holds = false;
            for (const Approval& a : job.foot(side)->approvals)
                holds = holds || (a.revision == job.revision() && a.fingerprint == now);
            const ApprovalState state = approval_state(job, side);
            REQUIRE(state.holds == holds);
            REQUIRE((state.words.find("Not approved") == std::string::npos) == holds);
            if (before.foot(side)) {
                const auto changed = decisions_that_differ(before, side, job, side);
                REQUIRE(changed.empty() == (fingerprint(before, side) == now));
                for (const Setting& one : changed) CHECK(one.before != one.after);
            }
            if (!state.last || holds || state.last->fingerprint == now) continue;
            ++voided;
            CHECK(state.words.find("void") != std::string::npos);
            if (!state.known) continue;
            REQUIRE(!state.changed.empty());
            CHECK(state.words.find(state.changed.front().name) != std::string::npos);
        }
        // back to every state: the same answer as then
        while (history.can_undo()) {
            const auto back = history.undo();
            REQUIRE(back.ok());
            const ApprovalState state = approval_state(*back, side);
            CHECK(state.holds == (valid_approval(*back, side) != nullptr));
            restored += state.holds ? 1 : 0;
        }
    }
    CHECK(voided > 0);
    CHECK(restored > 0);
    CHECK(revised > 0);
}

TEST_CASE("decisions: an edit voids, its undoing restores, and the key stands with both values") {
    Job job = tests::plain_job(Side::left);
    do_it(job, "approve", {{"by", "KL-1"}, {"date", "2026-02-03"}}, Side::left);
    History history(job);
    REQUIRE(do_it(job, "set", {{"name", "trim.cup_medial_mm"}, {"value", "12.5"}}, Side::left).label != "");
    history.record(job, "cup");
    const ApprovalState state = approval_state(job, Side::left);
    CHECK(!state.holds);
    REQUIRE(state.changed.size() == 1);
    CHECK(state.changed[0] == Setting{"trim.cup_medial_mm", "14", "12.5"});
    CHECK(state.words.find("trim.cup_medial_mm") != std::string::npos);
    CHECK(state.words.find("KL-1") != std::string::npos);
    CHECK(approval_state(*history.undo(), Side::left).holds);
}

TEST_CASE("decisions: a revision's design is the one that was approved, else the one it ended with") {
    Job job = tests::plain_job(Side::left);
    const std::string first = fingerprint(job, Side::left);
    CHECK(past_foot(job, Side::left, "A").fault().kind == FaultKind::usage);  // in hand, never approved
    CHECK(past_foot(job, Side::left, "C").fault().kind == FaultKind::usage);
    CHECK(past_foot(job, Side::right, "A").fault().kind == FaultKind::usage);
    do_it(job, "revise", {{"note", "softer"}}, Side::left);
    auto past = past_foot(job, Side::left, "A");
    if (!past.ok()) FAIL(past.fault().message);
    CHECK(!past->approval);
    CHECK(fingerprint(past->job, past->side) == first);
    // B: approved, then edited, then ended
    do_it(job, "set", {{"name", "wall.base_mm"}, {"value", "2.6"}}, Side::left);
    do_it(job, "approve", {{"by", "KL-1"}, {"date", "2026-02-03"}}, Side::left);
    const std::string approved = fingerprint(job, Side::left);
    do_it(job, "set", {{"name", "wall.base_mm"}, {"value", "2.8"}}, Side::left);
    do_it(job, "revise", {{"note", "harder"}}, Side::left);
    past = past_foot(job, Side::left, "B");
    REQUIRE(past.ok());
    CHECK(past->approval->by == "KL-1");
    CHECK(fingerprint(past->job, past->side) == approved);
    CHECK(past->job.left->wall.base_mm == 2.6);
    // it lies in the file, and comes back from it
    const std::string text = write_job(job);
    const auto read = parse_job(text, "job");
    if (!read.ok()) FAIL(read.fault().message);
    CHECK(write_job(*read) == text);
    CHECK(fingerprint(past_foot(*read, Side::left, "B")->job, Side::left) == approved);
    // a file that moved is found where it lies now
    Job moved = job;
    moved.left->cast.path = "elsewhere.ply";
    CHECK(past_foot(moved, Side::left, "B")->job.left->cast.path == "elsewhere.ply");
    // changed by hand: told, not believed
    Job forged = job;
    for (PastDesign& p : forged.past) {
        const std::size_t at = p.job.find("\"base_mm\":2.6");
        if (at != std::string::npos) p.job.replace(at, 13, "\"base_mm\":2.7");
    }
    const auto caught = past_foot(forged, Side::left, "B");
    REQUIRE(!caught.ok());
    CHECK(caught.fault().kind == FaultKind::input);
    // let go: told
    Job bare = job;
    bare.past.clear();
    CHECK(past_foot(bare, Side::left, "B").fault().message.find("does not hold") != std::string::npos);
}

TEST_CASE("decisions: what is kept is bounded, and the oldest goes first") {
    Job job = tests::plain_job(Side::left);
    Mark mark;
    mark.kind = mark::Kind::line;
    for (int k = 0; k < 2000; ++k) mark.points.emplace_back(0.1234567 * k, 0.7654321 * k, 0.1111111 * k);
    for (int k = 0; k < 6; ++k) {
        mark.name = "line-" + std::to_string(k);
        job.left->marks.push_back(mark);
    }
    for (int k = 0; k < 24; ++k) do_it(job, "revise", {{"note", "again"}}, Side::left);
    std::size_t bytes = 0;
    for (const PastDesign& p : job.past) bytes += p.job.size();
    CHECK(bytes <= most_past_bytes);
    CHECK(!job.past.empty());
    CHECK(past_foot(job, Side::left, "X").ok());
    CHECK(!past_foot(job, Side::left, "A").ok());
}
