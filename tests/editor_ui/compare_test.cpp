// Comparing by hand: chosen, looked at, ended; a way out that is shown before it is done; the other foot's
// order.
#include "editor/ui/ways_out.hpp"
#include "tests/editor_ui/dragging.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Hand;
using tests::one_step;
using tests::text_of;
using What = model::CompareWith::What;

TEST_CASE("compare by hand: chosen in Prove, its places are pressed, its words fit, it is ended") {
    for (const auto& [w, h] : {std::pair(1600, 1000), std::pair(1280, 720)}) {
        INFO(w << "x" << h);
        const tests::Desk desk;
        Hand hand(desk.setup(), w, h);
        hand.give(desk.open_line());
        hand.give("set dress.arch_fill_mm 3");
        hand.give("set wall.base_mm 3.5");
        hand.settle();
        hand.give("stage prove");
        const std::string job = text_of(hand.session);
        hand.click("compare0");  // its cast
        CHECK(hand.heard("compare cast"));
        CHECK(hand.misfits() == "");
        hand.settle();
        REQUIRE(hand.session.comparison());
        const auto values = hand.screen->shown()->values(view::Map::compare);
        REQUIRE(values);
        CHECK(values->foot_side.size() == hand.screen->shown()->foot_side().count());
        CHECK(values->underside.empty());
        CHECK(hand.misfits() == "");
        // the largest change is where the figure says, and the map has it there
        const compare::Peak& peak = hand.session.comparison()->foot_side->peaks.front();
        const auto& shown = *hand.screen->shown();
        const auto place = shown.over(peak.where.head<2>());
        REQUIRE(place);
        const auto value = shown.value_at(view::Map::compare, *place);
        REQUIRE(value);
        CHECK(*value == Approx(peak.mm).margin(0.2));
        for (const std::string& map : {std::string("wall"), std::string("compare")}) {
            hand.give("view map " + map);
            hand.settle();
            CHECK(hand.misfits() == "");
        }
        hand.click("peak Foot side0");
        CHECK(hand.screen->state().section_x == std::round(peak.where.x()));
        CHECK(hand.screen->state().section_y == std::round(peak.where.y()));
        hand.click("end compare");
        CHECK(hand.session.compared_with().what == What::none);
        CHECK_FALSE(hand.screen->shown()->values(view::Map::compare));

        // the step under the cursor, by the right button in the list of steps; again after a change
        hand.click("step1", 1);
        CHECK(hand.heard("compare step 1"));
        hand.settle();
        REQUIRE(hand.session.comparison());
        CHECK(hand.screen->shown()->values(view::Map::compare));
        CHECK_FALSE(hand.screen->shown()->values(view::Map::compare)->underside.empty());
        CHECK(text_of(hand.session) == job);
        hand.give("set wall.base_mm 3.6");
        CHECK_FALSE(hand.screen->shown()->values(view::Map::compare));  // stale figures stand nowhere
        hand.settle();
        CHECK(hand.screen->shown()->values(view::Map::compare));
        CHECK(hand.misfits() == "");
    }
}

TEST_CASE("a way out is shown before it is done, then done as one step, or left") {
    const tests::Desk desk;
    Hand hand(desk.setup());
    hand.give(desk.open_line());
    hand.give("setting person T9");
    hand.give("set capture.forefoot corrected");
    hand.give("set balance.heel_deg 4");
    hand.give("set balance.method heel_bisection");
    hand.settle();
    const auto view = hand.session.view_of(Side::left);
    REQUIRE(view.proved());
    const auto stops = view.latest->device->open_stops();
    const auto stop = std::find_if(stops.begin(), stops.end(),
                                   [](const Check& check) { return check.id == "balance.capture"; });
    REQUIRE(stop != stops.end());
    const std::vector<ui::WayOut> ways = ui::ways_out(*stop, hand.foot(), nullptr, "");
    REQUIRE_FALSE(ways.empty());
    hand.give("stage balance");
    const std::string job = text_of(hand.session);
    const std::size_t steps = hand.session.history()->position();
    const auto show_first = [&] {
        hand.forget();
        hand.click("first way " + stop->title + "0");
        CHECK(hand.heard("propose"));
        hand.settle();
        REQUIRE(hand.session.comparison());
        CHECK(hand.session.comparison()->with.command == ways.front().command);
        CHECK(hand.misfits() == "");
        CHECK(text_of(hand.session) == job);
    };
    show_first();
    // turned by 4 degrees the shell is elsewhere
    REQUIRE(hand.session.comparison()->foot_side);
    CHECK(hand.session.comparison()->foot_side->rms_mm > 0.3);
    CHECK(hand.screen->shown()->values(view::Map::compare));
    hand.click("proposal1");  // leave it
    CHECK(hand.session.compared_with().what == What::none);
    CHECK(text_of(hand.session) == job);
    CHECK(hand.session.history()->position() == steps);

    show_first();
    one_step(hand, [&] { hand.click("proposal0"); });
    CHECK(hand.heard(ways.front().command));
    CHECK(hand.session.compared_with().what == What::none);
    CHECK(hand.foot().balance.method == foot::Balance::Method::as_it_stands);
    hand.settle();
    for (const Check& check : hand.screen->all_checks())
        if (check.id == stop->id) CHECK(check.verdict != Verdict::stop);
}

TEST_CASE("ways out: letters, borders and blends are moved just as far as asked") {
    design::FootDesign foot;
    foot.lettering.depth_mm = 0.6;
    Check letters = named_check("lettering.wall", "Wall under the letters");
    letters.verdict = Verdict::stop;
    letters.figure = 1.32;
    letters.limit = 1.5;
    auto ways = ui::ways_out(letters, foot, nullptr, "");
    REQUIRE(ways.size() == 2);
    for (const ui::WayOut& way : ways) {
        INFO(way.command);
        design::Job job;
        job.left = foot;
        const auto command = design::parse(way.command, model::session_commands());
        REQUIRE(command.ok());
        design::Surroundings around;
        around.every_rule = false;  // a foot without its cast
        REQUIRE(design::apply(*command, job, around).ok());
        CHECK((job.left->lettering.style == design::Lettering::Style::raised ||
               job.left->lettering.depth_mm <= 0.6 - 0.18 + 1e-9));
        CHECK(job.left->lettering.depth_mm >= 0.6 - 0.18 - 0.1);
    }
    Check shoe = named_check("shoe.rim", "Rim in the shoe");
    shoe.verdict = Verdict::look;
    shoe.figure = 2.24;
    shoe.limit = 0.0;
    shoe.message = "past its line at 120 forward (forefoot, medial)";
    ways = ui::ways_out(shoe, foot, nullptr, "");
    REQUIRE(ways.size() == 1);
    CHECK(ways.front().command == "set trim.width_allowance_mm -2.5");
    shoe.message = "past its line at 10 forward (heel, medial)";
    CHECK(ui::ways_out(shoe, foot, nullptr, "").empty());  // nothing moves the heel's border alone
    Check edges = named_check("order.insensate_edges", "Hard edges");
    edges.limit = 10;
    foot.rim.kind = surface::Rim::Kind::square;
    foot.wall.regions.resize(2);
    foot.wall.regions[0].name = "arch";
    foot.wall.regions[0].blend_mm = 6;
    foot.wall.regions[1].name = "heel";
    ways = ui::ways_out(edges, foot, nullptr, "");
    REQUIRE(ways.size() == 2);
    CHECK(ways[0].command == "set rim.kind rounded");
    CHECK(ways[1].command == "set wall.regions[arch].blend_mm 10");
}

TEST_CASE("the other foot's order is shown before it is taken over") {
    tests::with_foot("right", [](Hand& hand) {
        hand.give("set trim.cup_posterior_mm 17 foot=left");
        hand.give("stage trim");
        hand.settle();
        CHECK(hand.misfits() == "");
        const std::string job = text_of(hand.session);
        hand.click("carry");
        CHECK(hand.heard("propose \"carry left parts=trim\""));
        hand.settle();
        REQUIRE(hand.session.comparison());
        CHECK(text_of(hand.session) == job);
        CHECK(std::any_of(hand.session.comparison()->settings.begin(),
                          hand.session.comparison()->settings.end(),
                          [](const compare::Setting& s) { return s.name == "trim.cup_posterior_mm"; }));
        CHECK(hand.misfits() == "");
        one_step(hand, [&] { hand.click("proposal0"); });
        CHECK(hand.foot().trim.cup_posterior_mm == 17);
        hand.settle();
        // and the pair compared
        hand.give("stage prove");
        hand.give("compare other_foot");
        hand.settle();
        REQUIRE(hand.session.comparison());
        CHECK(hand.session.comparison()->cast);
        CHECK(hand.misfits() == "");
        hand.give("foot left");
        hand.settle();
        REQUIRE(hand.session.comparison());
        CHECK(hand.session.comparison()->side == Side::left);
        CHECK(hand.misfits() == "");
        hand.give("compare off");
    });
}
