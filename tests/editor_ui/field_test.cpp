// Fields, lists and keys by hand: each does its command, and one movement is one step of undo.
#include "tests/editor_ui/hand.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

namespace {

/// A session on the small job, the trim in sight.
struct Desk : tests::Desk {
    Hand hand{setup()};
    Desk() {
        hand.give(open_line());
        hand.settle();
        hand.give("stage trim");
    }
    double distal() const { return hand.foot().trim.distal_first_mm; }
    std::size_t steps() const { return hand.session.history()->position(); }
    void add_three() {
        hand.give("feature add one cavity points=[[60,5]]");
        hand.give("feature add two pad points=[[70,5]]");
        hand.give("feature add three cavity points=[[80,5]]");
        hand.give("stage reliefs");
    }
    std::string order() const {
        std::string all;
        for (const feature::Feature& f : hand.foot().features) all += f.name + (f.on ? " " : "- ");
        return all;
    }
};

}  // namespace

TEST_CASE("fields: drags of label and disc, the wheel and the arrows are one step of undo each") {
    Desk desk;
    Hand& hand = desk.hand;
    for (const char* what : {"label trim.distal_first_mm", "track trim.distal_first_mm"}) {
        INFO(what);
        const double before = desk.distal();
        const std::size_t steps = desk.steps();
        hand.show(what);
        Vec2 at = hand.middle(what);
        hand.move(at);
        hand.move(at);
        hand.press(true);
        for (int i = 0; i < 12; ++i) hand.move(at += Vec2(3, 0));
        hand.press(false);
        hand.frames(2);
        CHECK(desk.distal() != before);
        CHECK(desk.steps() == steps + 1);
        CHECK_FALSE(hand.session.history()->open());
        hand.give("undo");
        CHECK(desk.distal() == before);
    }
    const double before = desk.distal();
    const std::size_t steps = desk.steps();
    // focused, the wheel steps; the inspector stays where it is
    hand.click("box trim.distal_first_mm");
    hand.frames(2);
    CHECK(hand.screen->state().editing == "trim.distal_first_mm");
    const Vec2 place = hand.middle("label trim.distal_first_mm");
    for (int i = 0; i < 3; ++i) {
        hand.wheel(1);
        hand.frame();
    }
    CHECK(desk.distal() == Approx(before + 3 * 0.5));
    CHECK(hand.middle("label trim.distal_first_mm") == place);
    hand.key(ImGuiKey_DownArrow);
    CHECK(desk.distal() == Approx(before + 2 * 0.5));
    hand.key(ImGuiKey_UpArrow, Hand::ctrl);
    CHECK(desk.distal() == Approx(before + 2.1 * 0.5));
    hand.frames(60);  // a second without a step
    CHECK_FALSE(hand.session.history()->open());
    CHECK(desk.steps() == steps + 1);
    hand.key(ImGuiKey_UpArrow, Hand::shift);
    CHECK(desk.distal() == Approx(before + 12.1 * 0.5));
    hand.key(ImGuiKey_Escape);
    hand.frames(60);
    CHECK(desk.steps() == steps + 2);
    hand.give("undo 2");
    CHECK(desk.distal() == before);
}

TEST_CASE("fields: sums, Esc, Tab onwards and back, and back to the default") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.key(ImGuiKey_Tab);
    hand.frames(2);
    CHECK(hand.screen->state().editing == "trim.distal_first_mm");
    hand.type("8+0.5");
    hand.key(ImGuiKey_Tab);
    hand.frames(3);
    CHECK(desk.distal() == 8.5);
    CHECK(hand.screen->state().editing == "trim.distal_fifth_mm");
    hand.type("9");
    hand.key(ImGuiKey_Tab, Hand::shift);
    hand.frames(3);
    CHECK(hand.foot().trim.distal_fifth_mm == 9);
    CHECK(hand.screen->state().editing == "trim.distal_first_mm");
    hand.type("99");
    hand.key(ImGuiKey_Escape);
    hand.frames(3);
    CHECK(desk.distal() == 8.5);
    CHECK(hand.screen->state().editing.empty());
    // right after another stage was chosen: the first of that one
    hand.give("stage wall");
    hand.key(ImGuiKey_Tab);
    CHECK(hand.screen->state().editing == "wall.base_mm");
    hand.key(ImGuiKey_Escape);
    // materials are chosen from those that are at hand
    hand.frames(3);
    hand.click("drop material");
    hand.frames(2);
    hand.click("item materialpa12");
    CHECK(hand.foot().material == "pa12");
    hand.give("stage trim");
    // what is no number is told and changes nothing
    hand.click("box trim.distal_first_mm");
    hand.frames(2);
    hand.type("8+");
    hand.key(ImGuiKey_Enter);
    hand.frames(2);
    CHECK(desk.distal() == 8.5);
    CHECK(hand.screen->state().told_fault);
    hand.click("label trim.distal_first_mm", 1);
    CHECK(desk.distal() == design::Trim{}.distal_first_mm);
    hand.forget();
    hand.click("label trim.distal_first_mm", 1);  // is at its default: nothing to do
    CHECK_FALSE(hand.heard("reset"));
}

TEST_CASE("fields: a press on the default's tick goes back to it; with Ctrl the disc goes a tenth as far") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.give("set trim.distal_first_mm 40");
    const std::string track = "track trim.distal_first_mm";
    hand.show(track);
    const ui::Box box = *hand.screen->place_of(track);
    // the track ends 6 within its box; the range is that of the table
    const double low = 0, high = 60;
    const auto place = [&](double value) {
        return Vec2(box.x + 6 + (box.w - 12) * (value - low) / (high - low), box.centre().y());
    };
    const std::size_t steps = desk.steps();
    const double standard = design::Trim{}.distal_first_mm;
    hand.click(place(standard));
    CHECK(desk.distal() == standard);
    CHECK(desk.steps() == steps + 1);
    hand.give("undo");
    // taken by the disc
    const auto dragged = [&](bool ctrl) {
        Vec2 at = place(40);
        hand.move(at);
        hand.move(at);
        ImGui::GetIO().KeyCtrl = ctrl;
        ImGui::GetIO().KeyMods = ctrl ? ImGuiKeyModFlags_Ctrl : 0;
        hand.press(true);
        for (int i = 0; i < 10; ++i) hand.move(at += Vec2(1, 0));
        hand.press(false);
        ImGui::GetIO().KeyCtrl = false;
        ImGui::GetIO().KeyMods = 0;
        hand.frames(2);
        const double gone = desk.distal() - 40;
        hand.give("undo");
        return gone;
    };
    const double whole = 10 * (high - low) / (box.w - 12), coarse = dragged(false), fine = dragged(true);
    CHECK(coarse == Approx(whole).margin(0.26));       // a step is 0.5
    CHECK(fine == Approx(0.1 * whole).margin(0.026));  // and a tenth of it
}

TEST_CASE("fields: Esc leaves a field even before it has the keys") {
    Desk desk;
    Hand& hand = desk.hand;
    ImGuiIO& io = ImGui::GetIO();
    const auto down = [&](ImGuiKey_ key, bool is) { io.KeysDown[ImGui::GetKeyIndex(key)] = is; };
    down(ImGuiKey_Tab, true);
    hand.frame();
    down(ImGuiKey_Tab, false);
    down(ImGuiKey_Escape, true);
    hand.frame();
    down(ImGuiKey_Escape, false);
    hand.frames(3);
    CHECK(hand.screen->state().editing.empty());
    // and the command list has the keys it was opened by
    hand.key('K', Hand::ctrl);
    hand.frames(3);
    hand.type("set trim.distal_first_mm 9");
    hand.key(ImGuiKey_Enter);
    CHECK(desk.distal() == 9);
}

TEST_CASE("steps: as they are read, and under the cursor their lines in the plan") {
    using ui::step_words;
    using Words = std::pair<std::string, std::string>;
    CHECK(step_words("trim.cup_posterior_mm 15") == Words("Cup posterior", "15.0 mm"));
    CHECK(step_words("balance.heel_deg 8") == Words("Balance heel", "8.0\u00b0 inverted"));
    CHECK(step_words("posts.rearfoot.height_mm 3") == Words("Rearfoot height", "3.0 mm"));
    CHECK(step_words("features[fascia].depth_mm 2.5") == Words("fascia depth", "2.5 mm"));
    CHECK(step_words("capture.forefoot corrected") == Words("Capture forefoot", "corrected"));
    CHECK(step_words("State  cm") == Words("State cm", ""));
    Desk desk;
    Hand& hand = desk.hand;
    hand.give("set trim.distal_first_mm 9");
    hand.settle();
    hand.give("set trim.distal_first_mm 12");
    hand.settle();
    hand.move(hand.middle("step1"));
    hand.frames(2);
    CHECK(hand.screen->state().step_hovered == std::size_t{1});
    CHECK(hand.misfits() == "");
    CHECK(hand.screen->outline_of_step(1));
    CHECK_FALSE(hand.screen->outline_of_step(7));
    CHECK(hand.screen->outline_of_step(1)->trim != hand.screen->outline_of_step(2)->trim);
    hand.move({800, 300});
    hand.frames(2);
    CHECK_FALSE(hand.screen->state().step_hovered);
}

TEST_CASE("lists: reliefs are moved by the grip and by keys, switched, copied and put into the other place") {
    Desk desk;
    Hand& hand = desk.hand;
    desk.add_three();
    REQUIRE(desk.order() == "one two three ");
    Vec2 at = hand.middle("grip one");
    hand.move(at);
    hand.move(at);
    hand.press(true);
    const double row = hand.middle("grip two").y() - at.y();
    for (int i = 0; i < 10; ++i) hand.move(at += Vec2(0, 0.26 * row));
    CHECK(desk.order() == "one two three ");  // not before it is let go
    hand.press(false);
    hand.frames(2);
    CHECK(desk.order() == "two three one ");
    // taken by the grip and put back is no step
    const std::size_t steps = desk.steps();
    at = hand.middle("grip one");
    hand.click(at);
    CHECK(desk.steps() == steps);

    hand.give("select feature one");
    hand.key(ImGuiKey_UpArrow, Hand::alt);
    CHECK(desk.order() == "two one three ");
    hand.key(ImGuiKey_DownArrow, Hand::alt);
    hand.key(ImGuiKey_DownArrow, Hand::alt);  // is the last already
    CHECK(desk.order() == "two three one ");
    hand.key(' ');
    CHECK(desk.order() == "two three one- ");
    hand.key(' ');
    hand.key('D', Hand::ctrl);
    CHECK(desk.order() == "two three one one-1 ");
    hand.key('C', Hand::ctrl);
    hand.key('V', Hand::ctrl);
    REQUIRE(hand.foot().features.size() == 5);
    CHECK(hand.foot().features.back().points == hand.foot().features[2].points);
    hand.give("select feature two");
    hand.key(ImGuiKey_Delete);
    CHECK(hand.foot().features.size() == 4);
}

TEST_CASE("a long text that is only passed through stays whole") {
    Desk desk;
    Hand& hand = desk.hand;
    const std::string text(1500, 'w');
    hand.give("set order.complaint " + text);
    hand.give("stage receive");
    hand.settle();
    const std::size_t steps = desk.steps();
    hand.click("box order.complaint");
    hand.frames(2);
    for (int i = 0; i < 4; ++i) hand.key(ImGuiKey_Tab);
    hand.key(ImGuiKey_Escape);
    CHECK(hand.session.job().order.complaint == text);
    CHECK(desk.steps() == steps);
}

TEST_CASE("the first letter behind a click is a letter") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.settle();
    const std::string from = hand.session.view("from");
    hand.click("box trim.cup_posterior_mm");
    CHECK(hand.screen->state().editing == "trim.cup_posterior_mm");
    hand.key('1');  // while the box has no keys yet, or has them: never a key of the screen
    hand.key('N');
    CHECK(hand.session.view("from") == from);
    CHECK(hand.session.selection().what != "check");
    hand.key(ImGuiKey_Escape);
    // what is not there any more is not typed into
    hand.give("stage wall");
    hand.frames(3);
    CHECK(hand.screen->state().editing.empty());
}

TEST_CASE("after a cancel nothing of the older design stands as if it were the new one") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.settle();
    REQUIRE(hand.session.view_of(Side::left).proved());
    hand.move({800, 400});
    hand.give("set trim.cup_posterior_mm 13");
    hand.give("cancel");
    for (int i = 0; i < 400 && !hand.session.idle(); ++i) hand.session.wait(0.05);
    hand.settle();
    if (!hand.session.view_of(Side::left).stale) return;  // built before the cancel came
    CHECK(hand.screen->stale());
    CHECK(hand.screen->superseded());
    REQUIRE(hand.there("build it0"));
    hand.click("build it0");
    hand.settle();
    CHECK(hand.session.view_of(Side::left).proved());
    CHECK_FALSE(hand.screen->stale());
    CHECK_FALSE(hand.there("build it0"));
}

TEST_CASE("a place that was read is read again when the shape changes") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.settle();
    hand.move(hand.middle("plan"));
    hand.frames(2);
    REQUIRE(hand.screen->state().cursor);
    REQUIRE(hand.screen->state().cursor->wall_mm);
    const double before = *hand.screen->state().cursor->wall_mm;
    hand.give("set wall.base_mm 4.5");
    hand.settle();
    REQUIRE(hand.screen->state().cursor);
    CHECK(*hand.screen->state().cursor->wall_mm > before + 0.5);
}

TEST_CASE("every stage that can stop a build belongs to a stage of the screen") {
    for (const auto& [stops, shown] :
         {std::pair("underside", "wall"), std::pair("shell", "wall"), std::pair("posts", "post"),
          std::pair("carpet", "dress"), std::pair("stand", "examine"), std::pair("examine", "examine"),
          std::pair("repair", "examine"), std::pair("features", "reliefs"), std::pair("trim", "trim"),
          std::pair("balance", "balance"), std::pair("lettering", "make"), std::pair("rim", "prove"),
          std::pair("receive.side", "receive"), std::pair("read", "receive")}) {
        INFO(stops);
        CHECK(ui::stage_of(stops) == shown);
    }
}

TEST_CASE("a row under the cursor stays where it is when a stop comes and goes") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.give("stage wall");
    hand.settle();
    const std::string row = "box wall.base_mm";
    hand.move(hand.middle(row));
    const Vec2 at = hand.middle(row);
    const double above = hand.screen->state().panels.above;
    hand.give("set wall.base_mm 0.6");  // less than any material bears
    hand.settle();
    REQUIRE(hand.screen->state().panels.above > above + 20);
    CHECK((hand.middle(row) - at).norm() < 1);
    hand.give("set wall.base_mm 3.2");
    hand.settle();
    CHECK((hand.middle(row) - at).norm() < 1);
}

TEST_CASE("keys: stages, regions, looks, adding; and none of them while something is typed") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.key(ImGuiKey_PageDown);
    CHECK(hand.session.stage() == "reliefs");
    hand.key(ImGuiKey_PageUp);
    CHECK(hand.session.stage() == "trim");
    // regions
    hand.key(ui::key_f6);
    CHECK(hand.screen->state().panels.region == 0);
    hand.key(ImGuiKey_DownArrow);
    CHECK(hand.session.stage() == "reliefs");
    hand.key(ui::key_f6);
    const double x = hand.screen->state().section_x, y = hand.screen->state().section_y;
    hand.key(ImGuiKey_UpArrow);
    hand.key(ImGuiKey_RightArrow, Hand::shift);
    CHECK(hand.screen->state().section_x == Approx(x + 0.5));
    CHECK(hand.screen->state().section_y == Approx(y + 0.1));  // a left foot's medial side is to the right
    hand.key(ui::key_f6, Hand::shift);
    CHECK(hand.screen->state().panels.region == 0);
    hand.key(ImGuiKey_Escape);
    CHECK(hand.screen->state().panels.region == -1);
    // the next look, round and round
    std::set<std::string> seen;
    std::size_t looks = 0;
    for (const Check& check : hand.screen->all_checks()) looks += check.verdict != Verdict::pass ? 1 : 0;
    REQUIRE(looks > 0);
    for (std::size_t i = 0; i < looks; ++i) {
        hand.key('N');
        REQUIRE(hand.session.selection().what == "check");
        CHECK(ui::stage_of(hand.session.selection().name) == hand.session.stage());
        seen.insert(hand.session.selection().name);
    }
    CHECK(seen.size() == looks);
    // A, then the first that is listed
    hand.key('A');
    CHECK(hand.screen->state().command_list);
    hand.frames(2);
    hand.key(ImGuiKey_Enter);
    hand.frames(2);
    CHECK(hand.foot().features.size() == 1);
    CHECK(hand.session.selection().what == "feature");
    // letters are dead while something is typed
    hand.give("stage trim");
    hand.give("select none");
    hand.settle();  // what was built meanwhile shifts the rows
    hand.click("box trim.distal_first_mm");
    hand.frames(2);
    hand.forget();
    hand.key('N');
    hand.key('B');
    CHECK(hand.said == std::vector<std::string>());
    hand.key(ImGuiKey_Escape);
    hand.key('E', Hand::ctrl);
    CHECK(hand.session.stage() == "make");
}

TEST_CASE("export: formats are chosen, what was written is listed, files of another design wait for a word") {
    Desk desk;
    Hand& hand = desk.hand;
    hand.give("stage make");
    hand.settle();
    CHECK(hand.misfits() == "");
    hand.click("format step");
    hand.click("format 3mf");
    hand.click("export files");
    hand.settle();
    for (int i = 0; i < 600 && hand.session.exporting() > 0; ++i) hand.session.wait(0.1);
    hand.frames(2);
    CHECK(hand.heard("export"));
    REQUIRE(hand.session.last_export());
    INFO((hand.session.last_export()->fault ? hand.session.last_export()->fault->message : ""));
    REQUIRE_FALSE(hand.session.last_export()->fault);
    CHECK(hand.session.last_export()->files.size() == 3);
    CHECK(std::filesystem::exists(desk.folder / "made"));
    hand.give("set wall.base_mm 3.6");
    hand.settle();
    hand.click("export files");
    hand.settle();
    hand.frames(2);
    REQUIRE(hand.session.last_export()->fault);
    CHECK(hand.misfits() == "");
    hand.click("replace0");
    hand.settle();
    hand.frames(2);
    CHECK_FALSE(hand.session.last_export()->fault);
}
