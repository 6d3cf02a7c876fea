// A stiffness asked for in a session: found behind, accepted as one step, recorded as ordinary walls.
#include <sstream>

#include "editor/model/script.hpp"
#include "editor/model/session.hpp"
#include "engine/design/job_file.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::Desk, tests::give, tests::refused;

namespace {

/// Waits for what was asked, as a script does.
Outcome<Reply> asked(Session& session, const std::string& line) {
    return run_and_wait(session, line);
}

}  // namespace

TEST_CASE("ask: found, accepted as one step of undo, and recorded so that replay needs no search") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "set wall.base_mm 5");  // small deflections, which are quick
    give(session, "wait");
    const std::string before = design::write_job(session.job());
    CHECK_THAT(refused(session, "ask accept"), Contains("ask first"));
    CHECK_THAT(refused(session, "ask \"arch-press: 20%\" walls=base"), Contains("sign"));
    CHECK_THAT(refused(session, "ask \"arch-press: +20%\" walls=base against=compared"),
               Contains("compared"));

    const auto found = asked(session, "ask \"arch-press: +15%\" walls=base least=4");
    INFO((found ? std::string() : found.fault().message));
    REQUIRE(found);
    REQUIRE(session.answered());
    CHECK(session.answered()->answer.met);
    CHECK(design::write_job(session.job()) == before);  // nothing until it is accepted
    const std::size_t steps = session.history()->position();

    give(session, "ask accept");
    CHECK_FALSE(session.answered());
    CHECK(session.history()->position() == steps + 1);
    const std::string after = design::write_job(session.job());
    CHECK(after != before);
    const std::string recorded = session.recording();
    CHECK(recorded.find("ask") == std::string::npos);
    CHECK_THAT(recorded, Contains("set wall.base_mm"));
    give(session, "undo");
    CHECK(design::write_job(session.job()) == before);
    give(session, "redo");
    CHECK(design::write_job(session.job()) == after);

    // the record in a session of its own: no bench, no search, the same bytes
    Session again(desk.setup());
    std::istringstream lines(recorded);
    for (std::string line; std::getline(lines, line);) give(again, line);
    CHECK(design::write_job(again.job()) == after);

    // a change lets go of what was found; so does a person
    give(session, "wait");
    REQUIRE(asked(session, "ask \"arch-press: -10%\" walls=base least=4"));
    give(session, "set rim.bevel_mm 0.7");
    CHECK_FALSE(session.answered());
    CHECK_THAT(refused(session, "ask accept"), Contains("ask first"));
}

TEST_CASE("ask: cancelled it leaves nothing") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "set wall.base_mm 5");  // small deflections, which are quick
    give(session, "wait");
    const std::string before = design::write_job(session.job());
    const auto reply = session.run("ask \"arch-press: +15%\" walls=base least=4");
    REQUIRE(reply);
    REQUIRE(reply->pending);
    session.wait(0.2);
    give(session, "cancel");
    while (!session.busy_with().empty()) session.wait(0.2);
    const auto answer = session.answer();
    REQUIRE(answer);
    if (!*answer) CHECK(answer->fault().kind == FaultKind::cancelled);
    CHECK(design::write_job(session.job()) == before);
    give(session, "ask off");
    CHECK_FALSE(session.answered());
}
