// Panels by hand: what is pressed is a command that parses, every text has its box, a drag is one step.
#include <fstream>
#include <sstream>

#include "editor/ui/panel.hpp"
#include "editor/ui/ways_out.hpp"
#include "tests/editor_ui/hand.hpp"

using namespace archwright;
using namespace archwright::editor;
using Catch::Contains;
using tests::Hand;

namespace fs = std::filesystem;

namespace {

/// The example case in a folder of its own.
struct Example {
    tests::TemporaryFolder home;
    model::Setup setup() const {
        model::Setup setup;
        setup.state_folder = home.path() / "state";
        setup.config_folder = home.path() / "config";
        setup.unsaved_seconds = 0.05;
        setup.example_program = fs::path(ARCHWRIGHT_BINARY_DIR) / "archwright-demo";
        return setup;
    }
};

const char* const stages[] = {"receive", "examine", "balance", "dress", "trim",
                              "reliefs", "wall",    "post",    "prove", "make"};

std::string long_words(const char* end) {
    return std::string("a sentence as long as a person in a hurry writes it when nobody stops them, ") + end;
}

}  // namespace

TEST_CASE("panels: every text stands in its box with the longest values, in both sizes and at every scale") {
    const Example example;
    int pass = 0;  // the case is saved, and opened again by the next
    for (const auto& [w, h] : {std::pair(1600, 1000), std::pair(1280, 720)})
        for (const double scale : {1.0, 1.5, 2.0}) {
            const std::string relief = "nodule-relief-with-a-long-name-" + std::to_string(++pass);
            INFO(w << "x" << h << " at " << scale);
            Hand hand(example.setup(), w, h, scale);
            hand.frames(3);
            CHECK(hand.misfits() == "");  // the first screen, without a person and with recent cases
            hand.click("open");
            hand.frames(30);
            CHECK(hand.misfits() == "");
            hand.key(ImGuiKey_Escape);
            hand.click("example");
            hand.settle();
            REQUIRE(hand.session.has_job());
            hand.give("setting person " + std::string(scale == 1.0 ? "none" : "TECHNICIAN-00004"));
            if (scale == 1.0) hand.give("setting person \"\"");
            hand.give("setting theme " + std::string(scale == 1.5 ? "dark" : "light"));
            hand.give("feature add " + relief + " cavity points=[[70,10]]");
            hand.give("set features[" + relief + "].length_mm 38.5");
            hand.give("set order.body_mass_kg 299.5");
            hand.give("set order.insole_length_mm 379.5");
            hand.give("set order.asked " + ('"' + long_words("asked") + '"'));
            hand.give("set posts.rearfoot.height_mm 14.5");
            hand.give("set balance.heel_deg -29.5");
            hand.give("set wall.base_mm 2.05");
            hand.settle();
            const build::Examined* found = nullptr;
            if (const auto view = hand.session.view_of(Side::left); view.latest)
                found = view.latest->examined.get();
            for (const char* stage : stages) {
                hand.give(std::string("stage ") + stage);
                INFO(stage);
                CHECK(hand.misfits() == "");
                // with each check open
                for (const Check& check : hand.screen->all_checks()) {
                    hand.give("select check " + check.id);
                    INFO(check.id << ": " << check.message);
                    CHECK(hand.misfits() == "");
                }
            }
            hand.give("stage examine");
            for (std::size_t i = 0; found != nullptr && i < found->calls.size(); ++i) {
                hand.give("select finding " + std::to_string(i + 1));
                CHECK(hand.misfits() == "");
            }
            for (const design::Mark& mark : hand.foot().marks) {
                hand.give("select mark " + mark.name);
                CHECK(hand.misfits() == "");
            }
            for (const auto& [id, landmark] : hand.foot().landmarks) {
                hand.give(std::string("select landmark ") + foot::key(id));
                CHECK(hand.misfits() == "");
            }
            hand.give("stage reliefs");
            for (const feature::Feature& f : hand.foot().features) {
                hand.give("select feature " + f.name);
                CHECK(hand.misfits() == "");
            }
            CHECK(hand.screen->look().missing() == "");
            hand.give("save");
        }
}

TEST_CASE("panels: a first screen with recent cases, unsaved work and questions") {
    const Example example;
    {
        Hand hand(example.setup());
        hand.click("example");
        hand.settle();
        REQUIRE(hand.session.has_job());
        hand.give("set wall.base_mm 3.3");
        // a case that is dropped on one that is not saved waits for a person's word
        const std::string other = (hand.session.job_path().parent_path() / "lark-2207-b.json").string();
        hand.screen->open(other);
        hand.frames(2);
        CHECK(hand.misfits() == "");
        CHECK(hand.session.modified());
        hand.click("cancel question");
        CHECK_FALSE(hand.there("cancel question"));
        CHECK(hand.foot().wall.base_mm == 3.3);
        hand.screen->open(other);
        hand.frames(2);
        hand.click("save and open");
        hand.settle();
        CHECK(hand.session.job_path() == other);
        hand.give("set wall.base_mm 3.5");
        hand.screen->open(example.setup().state_folder.string() + "/example/lark-2207.json");
        hand.frames(2);
        hand.click("let go");
        hand.settle();
        CHECK(hand.foot().wall.base_mm == 3.3);  // as it was saved
        // a cast is the other foot, or a new case
        hand.screen->open(example.setup().state_folder.string() + "/example/lark-2207-left.ply");
        hand.frames(2);
        CHECK(hand.there("as other foot"));
        CHECK(hand.misfits() == "");
        hand.key(ImGuiKey_Escape);
        CHECK_FALSE(hand.there("as other foot"));
    }
    Hand later(example.setup(), 1280, 720);
    for (int i = 0; i < 100 && !later.there("recent " + later.session.settings().recent.front()); ++i) {
        later.session.wait(0.05);
        later.frame();
    }
    CHECK(later.misfits() == "");
    later.click("recent " + later.session.settings().recent.front());
    later.settle();
    CHECK(later.session.has_job());
}

TEST_CASE("panels: the first screen lists the jobs of a folder by the day due, when it is asked to") {
    const Example example;
    std::string folder;
    {
        Hand hand(example.setup());
        hand.click("example");
        hand.settle();
        folder = hand.session.job_path().parent_path().string();
        hand.give("set order.due 2026-12-04");
        hand.give("save");
    }
    const auto wait_for = [](Hand& hand, const std::string& what) {
        for (int i = 0; i < 400 && !hand.there(what); ++i) {
            hand.session.wait(0.05);
            hand.frame();
        }
        INFO(what);
        REQUIRE(hand.there(what));
    };
    {
        Hand hand(example.setup(), 1280, 720);
        wait_for(hand, "list jobs");
        hand.click("list jobs");
        wait_for(hand, "job " + folder + "/lark-2207-b.json");
        CHECK(hand.there("job " + folder + "/lark-2207.json"));
        CHECK(hand.misfits() == "");
    }
    // kept for the next time; a job is opened from it
    Hand next(example.setup(), 1280, 720);
    wait_for(next, "job " + folder + "/lark-2207.json");
    CHECK(next.misfits() == "");
    next.click("job " + folder + "/lark-2207.json");
    next.settle();
    CHECK(next.session.job_path().string() == folder + "/lark-2207.json");
    next.give("close discard=yes");
    wait_for(next, "no jobs");
    next.click("no jobs");
    next.frames(3);
    CHECK_FALSE(next.there("job " + folder + "/lark-2207.json"));
    CHECK(next.misfits() == "");
}

TEST_CASE("panels: files are chosen from a list, saved under another name, and a folder for the export") {
    const Example example;
    Hand hand(example.setup());
    hand.click("example");
    hand.settle();
    hand.key('S', Hand::ctrl | Hand::shift);
    for (int i = 0; i < 200 && !hand.there("file 0"); ++i) {
        hand.session.wait(0.02);
        hand.frame();
    }
    REQUIRE(hand.there("file 0"));
    CHECK(hand.misfits() == "");
    hand.key(ImGuiKey_A, Hand::ctrl);  // the name has the keys
    hand.type("another");
    hand.key(ImGuiKey_Enter);
    CHECK(hand.heard("save as"));
    CHECK(hand.session.job_path().filename() == "another.json");
    CHECK(fs::exists(hand.session.job_path()));
    // Ctrl O: a click chooses, a second opens
    hand.key('O', Hand::ctrl);
    for (int i = 0; i < 200 && !hand.there("file 0"); ++i) {
        hand.session.wait(0.02);
        hand.frame();
    }
    hand.forget();
    hand.click("file 0");
    CHECK(hand.said.empty());
    hand.click("file 0");
    hand.frames(2);
    CHECK((hand.heard("open") || hand.there("cancel question")));
}

TEST_CASE("panels: what was found is answered, repaired and taken back; marks and landmarks likewise") {
    const Example example;
    Hand hand(example.setup());
    hand.click("example");
    hand.settle();
    hand.give("setting person T9");
    hand.give("stage examine");
    const auto view = hand.session.view_of(Side::left);
    REQUIRE(view.latest);
    REQUIRE(view.latest->examined);
    // the example's own repair hides what it mends: taken back, it is found again
    const std::size_t repaired = hand.foot().repairs.size();
    if (repaired > 0) {
        hand.click("unrepair " + hand.foot().repairs.front().name);
        CHECK(hand.foot().repairs.size() == repaired - 1);
        hand.settle();
    }
    const auto found = hand.session.view_of(Side::left).latest->examined;
    REQUIRE(found);
    REQUIRE_FALSE(found->calls.empty());
    const std::size_t answers = hand.foot().answers.size();
    hand.click("finding 1");
    CHECK(hand.session.selection() == model::Selection{"finding", "1"});
    const bool answered = found->calls[0].answered.has_value();
    hand.click("answer 10");  // the first button
    CHECK(hand.heard("answer "));
    CHECK(hand.foot().answers.size() == (answered ? answers - 1 : answers + 1));
    hand.settle();
    hand.click("answer 10");  // open again, or the foot's own
    CHECK(hand.foot().answers.size() == answers);
    hand.settle();
    std::size_t mends = 0;
    const auto again = hand.session.view_of(Side::left).latest->examined;
    for (std::size_t i = 0; i < again->calls.size() && mends == 0; ++i) {
        hand.give("select finding " + std::to_string(i + 1));
        const std::string button = "answer " + std::to_string(i + 1) + "2";
        if (!hand.there(button)) continue;
        hand.click("form why " + std::to_string(i + 1));
        hand.frames(2);
        hand.type("air under the plaster");
        hand.click(button);
        mends = hand.foot().repairs.size();
        CHECK(hand.foot().repairs.back().reason == "air under the plaster");
    }
    CHECK(mends == (repaired > 0 ? repaired : 1));
    hand.settle();

    // marks: refused, accepted, renamed; what lies on them follows
    const std::string mark = hand.foot().marks.front().name;
    hand.give("select mark " + mark);
    hand.click("mark does " + mark + "0");
    CHECK(hand.foot().marks.front().refused);
    hand.click("mark does " + mark + "0");
    CHECK_FALSE(hand.foot().marks.front().refused);
    CHECK(hand.foot().marks.front().by == "T9");
    hand.click("drop meaning " + mark);
    hand.click("item meaning " + mark + "2");
    CHECK(hand.foot().marks.front().meaning == design::Mark::Meaning::pain);
    hand.give("mark rename " + mark + " renamed");

    // a landmark as it was suggested
    const auto suggested =
        std::find_if(hand.foot().landmarks.begin(), hand.foot().landmarks.end(),
                     [](const auto& one) { return one.second.source == foot::Landmark::Source::suggested; });
    if (suggested != hand.foot().landmarks.end()) {
        const std::string key = foot::key(suggested->first);
        hand.give("select landmark " + key);
        hand.click("confirm " + key + "0");
        CHECK(hand.foot().landmarks.at(suggested->first).source == foot::Landmark::Source::set);
    }
    hand.click("look for ink0");
    hand.settle();
    CHECK(hand.heard("marks find"));
}

TEST_CASE("panels: statements, presets, approval and revision go on record") {
    const Example example;
    Hand hand(example.setup());
    hand.click("example");
    hand.settle();
    hand.give("stage receive");
    // nobody is known yet: the panel asks for a code, and nothing is stated before
    hand.forget();
    hand.click("Unitcm");
    CHECK_FALSE(hand.heard("state"));
    hand.screen->state().panels.typed["person"] = "T9";
    hand.click("keep person");
    CHECK(hand.session.settings().person == "T9");
    hand.frames(2);
    hand.click("Unitcm");
    hand.settle();
    CHECK(hand.heard("state unit=cm by=T9"));
    CHECK(hand.foot().cast.unit.value == LengthUnit::centimetre);
    CHECK(hand.misfits() == "");  // the stop, with its ways out
    hand.give("undo");
    hand.settle();
    hand.click("drop preset");
    hand.click("item preset0");
    hand.frames(2);
    CHECK(hand.misfits() == "");
    hand.click("preset0");
    CHECK(hand.heard("apply "));
    REQUIRE(hand.foot().presets.size() >= 1);
    CHECK(hand.foot().presets.back().by == "T9");
    hand.frames(2);
    CHECK(hand.misfits() == "");

    hand.give("stage make");
    hand.click("approve");
    CHECK(hand.foot().approvals.back().by == "T9");
    CHECK(hand.screen->state().panels.approved);
    hand.give("set wall.base_mm 3.3");  // voids it
    CHECK_FALSE(hand.screen->state().panels.approved);
    CHECK(hand.misfits() == "");
    hand.click("revise0");
    hand.screen->state().panels.typed["revise note"] = "too stiff, she says";
    hand.click("revised0");
    CHECK(hand.session.job().revisions.back().note == "too stiff, she says");
    CHECK(hand.session.job().revision() == "B");
}

TEST_CASE("panels: a stop shows its ways out, and a person signs with a reason") {
    const Example example;
    Hand hand(example.setup());
    hand.click("example");
    hand.settle();
    hand.give("setting person T9");
    // corrected when the cast was taken, and turned once more: a stop that may be signed
    hand.give("set capture.forefoot corrected");
    hand.give("set balance.heel_deg 8");
    hand.give("set balance.method heel_bisection");
    hand.settle();
    const auto stops = [&] {
        const auto view = hand.session.view_of(Side::left);
        return view.proved() ? view.latest->device->open_stops() : std::vector<Check>{};
    };
    REQUIRE_FALSE(stops().empty());
    const Check stop = stops().front();
    INFO(stop.id << ": " << stop.message);
    REQUIRE(stop.id == "balance.capture");
    hand.give("stage " + ui::stage_of(stop.id));
    CHECK(hand.misfits() == "");
    const std::vector<ui::WayOut> ways = ui::ways_out(stop, hand.foot(), nullptr, "");
    REQUIRE_FALSE(ways.empty());
    hand.click("way " + stop.title + std::to_string(ways.size()));  // "Sign it ..."
    hand.frames(2);
    CHECK(hand.misfits() == "");
    hand.forget();
    hand.click("sign " + stop.id + "0");
    CHECK_FALSE(hand.heard("sign"));  // no reason, no sign-off
    hand.screen->state().panels.typed["sign reason " + stop.id] = "asked \"on the phone\" \\ twice";
    hand.click("sign " + stop.id + "0");
    CHECK(hand.heard("sign " + stop.id + " by=T9"));
    REQUIRE_FALSE(hand.foot().sign_offs.empty());
    CHECK(hand.foot().sign_offs.back().reason == "asked \"on the phone\" \\ twice");
    hand.settle();
    CHECK(stops().empty());
    for (const Check& check : hand.screen->all_checks())
        if (check.id == stop.id) CHECK(hand.screen->sign_of_check(check) == ui::Sign::looked_signed);
    // an edit voids it; the way out is then a way out
    hand.give("set wall.base_mm 3.3");
    hand.settle();
    REQUIRE_FALSE(stops().empty());
    hand.click("way " + stop.title + "0");
    CHECK(hand.heard(ways.front().command));
    hand.settle();
    // the capture is undone twice over here: each way lifts its part
    CHECK(ways.size() == 2);
    hand.click("way " + stop.title + "0");
    CHECK(hand.heard(ways.back().command));
    hand.settle();
    CHECK(stops().empty());
}

TEST_CASE("ways out keep what was asked, within the ranges of the table") {
    design::FootDesign foot;
    foot.wall.base_mm = 2.0;
    feature::Feature relief;
    relief.name = "nodule";
    relief.kind = feature::Feature::Kind::cavity;
    relief.depth_mm = 3.0;
    foot.features.push_back(relief);
    Check check = named_check("wall.least", "Least wall");
    check.verdict = Verdict::stop;
    check.figure = 1.13;
    check.limit = 1.5;
    check.unit = "mm";
    auto ways = ui::ways_out(check, foot, nullptr, "nodule");
    REQUIRE(ways.size() == 2);
    CHECK(ways[0].command == "set features[nodule].depth_mm 2.6");
    CHECK(ways[0].words == "Depth 2.6 mm");
    CHECK(ways[1].command.starts_with("set wall.base_mm 2.4"));
    // nothing is proposed that leaves the range, or for what holds
    check.limit = 40;
    CHECK(ui::ways_out(check, foot, nullptr, "nodule").empty());
    check.limit = 1.0;
    CHECK(ui::ways_out(check, foot, nullptr, "nodule").empty());
    check.limit = 1.5;
    foot.features[0].on = false;
    CHECK(ui::ways_out(check, foot, nullptr, "nodule").size() == 1);
    // statements want a person
    const Fault ask{
        FaultKind::ask, "receive", "Which foot is it? Type: archwright state J --side right|left", {}};
    CHECK(ui::ways_out(ask, foot, "").empty());
    CHECK(ui::ways_out(ask, foot, "K1").size() == 2);
}

TEST_CASE("docs/editor.md holds the keys as the program knows them") {
    std::ifstream in(std::string(ARCHWRIGHT_SOURCE_DIR) + "/docs/editor.md");
    std::ostringstream page;
    page << in.rdbuf();
    const std::string text = page.str(), begin = "<!-- generated: keys -->\n",
                      end = "<!-- end of generated: keys -->";
    const std::size_t from = text.find(begin), to = text.find(end);
    REQUIRE(from != std::string::npos);
    REQUIRE(to != std::string::npos);
    // If this fails: replace the part between the two marks by what key_reference() returns.
    CHECK(text.substr(from + begin.size(), to - from - begin.size()) == ui::key_reference());
}
