// Labels of undo steps say what a technician did, in his words: no key, no path, no JSON.
#include <catch2/catch.hpp>

#include "engine/design/command_apply.hpp"
#include "engine/design/command_label.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/foot/landmarks.hpp"

namespace archwright::design {

namespace {

std::string label_of_line(const std::string& line) {
    const auto command = parse(line, job_commands());
    INFO(line);
    REQUIRE(command.ok());
    return step_label(*command);
}

}  // namespace

TEST_CASE("step labels: landmarks by their titles", "[commands]") {
    CHECK(label_of_line("landmark set first_head_plantar 1,2,3 by=T1") == "1st metatarsal head set");
    CHECK(label_of_line("landmark confirm all by=T1") == "All landmarks confirmed");
    for (const foot::LandmarkId id : every_landmark()) {
        const std::string label = label_of_line(std::string("landmark remove ") + foot::key(id));
        CHECK(label.find('_') == std::string::npos);
        CHECK(label.substr(0, 5) == std::string(foot::title(id)).substr(0, 5));
    }
}

TEST_CASE("step labels: entries by what they are, counted from 1", "[commands]") {
    CHECK(label_of_line(R"(entry add trim.controls {"station": 0.6, "medial": true, "offset_mm": 3})") ==
          "Trim line control added");
    CHECK(label_of_line("entry remove trim.controls 0") == "Trim line control 1 removed");
    CHECK(label_of_line("entry remove left.covers top") == "Cover top removed");
    CHECK(label_of_line(R"(entry add covers {"name": "top"})") == "Cover top");
    CHECK(label_of_line(R"(entry add features[groove-1].stations {"along": 0.5} at=1)") ==
          "Station of groove-1 added");
    CHECK(label_of_line("entry remove features[groove-1].stations 1") == "Station 2 of groove-1 removed");
    CHECK(label_of_line("entry move wall.regions rear 2") == "Wall region rear to place 3");
    CHECK(label_of_line("station remove 0") == "Wall station 1 removed");
    CHECK(label_of_line("feature move fascia 0") == "fascia to place 1");
}

TEST_CASE("step labels: figures with their unit, choices in words", "[commands]") {
    CHECK(label_of_line("station add 0.4 3.5") == "Wall 3.5 mm at 0.4");
    CHECK(label_of_line("feature add front metatarsal_dome") == "metatarsal dome front");
    CHECK(label_of_line("feature add pad-1 pad") == "Pad-1 added");
    CHECK(label_of_line("state side=left unit=in by=T1") == "Stated: left foot, inches");
    CHECK(label_of_line("carry right parts=trim,wall") == "Order as on the right foot trim, wall");
    // what has no words of its own keeps what was given, shortened, on one line
    const std::string label = label_of_line("entry remove " + std::string(300, 'x') + " \"a\\nb\"");
    CHECK(label.size() < 120);
    CHECK(label.find('\n') == std::string::npos);
}

}  // namespace archwright::design
