// A first device by hand, from a cast to its files, as docs/editor.md walks through it; its actions are
// counted.
#include <cstdlib>
#include <fstream>
#include <sstream>

#include "engine/base/file.hpp"
#include "tests/editor_ui/hand.hpp"

using namespace archwright;
using namespace archwright::editor;
using tests::Hand;

namespace fs = std::filesystem;

namespace {

/// The process works in this folder for a while: the list of files begins there.
struct Inside {
    fs::path before = fs::current_path();
    explicit Inside(const fs::path& folder) { fs::current_path(folder); }
    ~Inside() { fs::current_path(before); }
};

}  // namespace

TEST_CASE("a first device: from the cast to its files by hand, and archwright makes the same") {
    tests::TemporaryFolder home;
    const std::string demo = (fs::path(ARCHWRIGHT_BINARY_DIR) / "archwright-demo").string();
    REQUIRE(std::system(("'" + demo + "' '" + home.path().string() + "'").c_str()) == 0);
    for (const char* job : {"lark-2207.json", "lark-2207-b.json", "lark-2207-pp.json"})
        fs::remove(home.path() / job);
    const Inside inside(home.path());
    model::Setup setup;
    setup.state_folder = home.path() / ".state";
    setup.config_folder = home.path() / ".config";
    Hand hand(setup);

    // 1 to 3: the file
    hand.click("open");
    for (int i = 0; i < 400 && !hand.there("file 0"); ++i) {
        hand.session.wait(0.02);
        hand.frame();
    }
    hand.click("file 0");
    hand.click("file 0");
    hand.settle();
    REQUIRE(hand.session.has_job());
    // 4 to 8: who says so, the side, the unit
    hand.click("form person");
    hand.type("TECH1");
    hand.click("keep person");
    hand.frames(2);
    CHECK(hand.session.settings().person == "TECH1");
    hand.settle();
    const std::size_t before = hand.session.history()->position();
    hand.click(hand.there("accept Side0") ? "accept Side0" : "Sideleft");
    hand.settle();
    hand.click(hand.there("accept Unit0") ? "accept Unit0" : "Unitin");
    hand.settle();
    CHECK(hand.session.history()->position() == before + 2);
    CHECK(hand.foot().side.by == design::StatedBy::person);
    CHECK(hand.foot().cast.unit.by == design::StatedBy::person);
    // 9 and 10: the landmarks, looked at in the plan
    hand.key(ImGuiKey_PageDown);
    hand.click("confirm all0");
    for (const auto& [id, landmark] : hand.foot().landmarks)
        CHECK(landmark.source == foot::Landmark::Source::set);
    // 11 to 15: a deeper cup behind
    hand.click("stagetrim");
    hand.click("box trim.cup_posterior_mm");
    hand.key(ImGuiKey_A, Hand::ctrl);
    hand.type("16");
    hand.key(ImGuiKey_Enter);
    CHECK(hand.foot().trim.cup_posterior_mm == 16);
    // 16 to 18: saved, and made
    hand.key('S', Hand::ctrl);
    CHECK_FALSE(hand.session.modified());
    hand.key('E', Hand::ctrl);
    hand.settle();
    INFO("stops: " << (hand.session.view_of(hand.session.foot()).proved()
                           ? hand.session.view_of(hand.session.foot()).latest->device->open_stops().size()
                           : 99));
    hand.click("export files");
    hand.settle();
    while (hand.session.exporting() > 0) hand.session.wait(0.1);
    hand.frames(2);
    REQUIRE(hand.session.last_export());
    INFO((hand.session.last_export()->fault ? hand.session.last_export()->fault->message : ""));
    REQUIRE_FALSE(hand.session.last_export()->fault);
    CHECK(hand.misfits() == "");

    // docs/editor.md says how many it takes
    std::ifstream in(std::string(ARCHWRIGHT_SOURCE_DIR) + "/docs/editor.md");
    std::ostringstream page;
    page << in.rdbuf();
    INFO(hand.actions << " clicks, keys and texts");
    CHECK(page.str().find(std::to_string(hand.actions) + " clicks, keys and texts") != std::string::npos);

    const auto made =
        tests::run(home.path(), {"make", hand.session.job_path().string(), "-o", "again", "--format", "stl"});
    REQUIRE(made.code == 0);
    int compared = 0;
    for (const auto& file : hand.session.last_export()->files) {
        if (file.extension() != ".stl") continue;
        const auto a = FileBytes::read(file, std::size_t{1} << 30),
                   b = FileBytes::read(home.path() / "again" / file.filename(), std::size_t{1} << 30);
        REQUIRE(a.ok());
        REQUIRE(b.ok());
        CHECK(a->text() == b->text());
        ++compared;
    }
    CHECK(compared > 0);
}
