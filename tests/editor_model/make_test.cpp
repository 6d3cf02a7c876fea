// A mill and a printer asked in a session: behind the screen, of one edition, cancelled without a trace.
#include "editor/model/session.hpp"
#include "tests/editor_model/desk.hpp"

using namespace archwright;
using namespace archwright::editor::model;
using Catch::Contains;
using tests::Desk, tests::give, tests::refused;

namespace {

void until_idle(Session& session) {
    while (!session.idle()) session.wait(0.2);
}

}  // namespace

TEST_CASE("make: a printer judges the device in hand; a change, another printer or a person lets it go") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    CHECK_THAT(refused(session, "print printer=powder_bed"), Contains("being built"));
    give(session, "set material pa12");
    give(session, "wait");
    CHECK_THAT(refused(session, "print printer=powder_bad"), Contains("powder_bed"));
    give(session, "print printer=powder_bed");
    CHECK(session.making() == "print");
    until_idle(session);
    CHECK(session.making().empty());
    REQUIRE(session.printed());
    CHECK(session.printed()->printing.checks.size() >= 9);
    CHECK(session.printed()->edition == session.edition());
    CHECK_FALSE(session.printed()->printing.loads.empty());
    CHECK(session.recording().find("print") == std::string::npos);
    // cancelled: nothing comes, nothing is told
    const std::size_t told = session.notices().size();
    give(session, "print printer=filament_large as_it_stands=yes");
    CHECK_FALSE(session.printed());
    give(session, "cancel");
    CHECK(session.making().empty());
    until_idle(session);
    CHECK_FALSE(session.printed());
    CHECK_FALSE(session.print_fault());
    CHECK(session.notices().size() == told);
    give(session, "print printer=filament_large as_it_stands=yes");
    until_idle(session);
    REQUIRE(session.printed());
    CHECK(session.printed()->as_it_stands);
    give(session, "print off");
    CHECK_FALSE(session.printed());
    give(session, "print printer=powder_bed");
    give(session, "set rim.bevel_mm 0.7");  // while it is under way
    CHECK(session.making().empty());
    give(session, "wait");
    CHECK_FALSE(session.printed());
}

TEST_CASE("make: a milling is planned, simulated and kept to be played; what cannot be says why") {
    const Desk desk;
    Session session(desk.setup());
    give(session, desk.open_line());
    give(session, "set material pa12");
    give(session, "wait");
    CHECK_THAT(refused(session, "mill"), Contains("No block"));
    CHECK_THAT(refused(session, "mill block=pp_single_50"), Contains("another material"));
    give(session, "set material pp_homopolymer");
    give(session, "wait");
    CHECK_THAT(refused(session, "mill machine=bench_mil"), Contains("did you mean"));
    CHECK_THAT(refused(session, "mill finish=bal_6"), Contains("did you mean"));
    give(session, "mill cusp=0.2");
    CHECK(session.making() == "mill");
    CHECK(session.activity().busy);
    give(session, "cancel");
    until_idle(session);
    CHECK_FALSE(session.milled());
    CHECK_FALSE(session.mill_fault());

    // a flat nose cannot finish: the planning says so, and it is kept to be shown
    give(session, "mill cusp=0.2 finish=flat_12");
    until_idle(session);
    CHECK_FALSE(session.milled());
    REQUIRE(session.mill_fault());
    CHECK_FALSE(session.mill_fault()->message.empty());

    give(session, "mill cusp=0.2");
    until_idle(session);
    INFO((session.mill_fault() ? session.mill_fault()->message : std::string()));
    REQUIRE(session.milled());
    CHECK_FALSE(session.mill_fault());
    const Milled& milled = *session.milled();
    INFO((milled.milling.stops.empty() ? std::string() : milled.milling.stops.front()));
    CHECK(milled.milling.stops.empty());
    for (const MilledSide& side : milled.sides) {
        REQUIRE(side.play);
        const std::size_t n = static_cast<std::size_t>(&side - milled.sides.data());
        const auto& proved = milled.milling.sides[n];
        CHECK(side.play->moves() == proved.simulated.moves);
        CHECK(side.play->seconds() == Approx(proved.simulated.seconds));
        // the line told of a move is where the text has its words
        const Playback::Moment half = side.play->after(side.play->moves() / 2);
        std::size_t at = 0;
        for (std::size_t line = 1; line < half.line; ++line) at = proved.text.find('\n', at) + 1;
        const std::string line = proved.text.substr(at, proved.text.find('\n', at) - at);
        INFO(line);
        CHECK(line.find_first_of("XYZ") != std::string::npos);
        CHECK(side.outline.size() >= 1);
        CHECK(mill::size(side.channel) > mill::size(side.outline));
        CHECK(side.left_most_mm >= 0.0);
    }
    give(session, "view block 2");
    give(session, "view cut left");
    give(session, "set rim.bevel_mm 0.7");
    CHECK_FALSE(session.milled());
}
