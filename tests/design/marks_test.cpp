// Found marks enter a job as suggestions; persons accept, refuse, rename, draw; what lies on them follows.
#include "engine/design/marks.hpp"

#include <catch2/catch.hpp>

#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;
using Source = foot::Landmark::Source;

namespace {

foot::Frame left_inches() {
    foot::Frame frame;
    frame.side = Side::left;
    frame.mm_per_unit = 25.4;
    frame.rotation = Eigen::AngleAxisd(0.7, Vec3(1, 2, 3).normalized()).toRotationMatrix();
    frame.translation = Vec3(12, -40, 7);
    return frame;
}

std::vector<mark::InkMark> ink() {
    mark::InkMark line;
    line.kind = Mark::Kind::line;
    line.points = {{20, 0, 5}, {40, 2, 8}, {60, 4, 11}, {90, 8, 9}};
    line.guess = Mark::Meaning::plantar_fascia;
    line.confidence = 0.9;
    line.breadth_mm = 1.4;
    line.name = "fascia";
    line.sentence = "A line.";
    mark::InkMark ring;
    ring.kind = Mark::Kind::area;
    ring.ring = true;
    ring.points = {{120, 0, 3}, {126, 6, 3}, {120, 12, 3}, {114, 6, 3}};
    ring.guess = Mark::Meaning::lesion;
    ring.confidence = 0.8;
    ring.name = "lesion";
    mark::InkMark spot;
    spot.kind = Mark::Kind::spot;
    spot.points = {{5, -10, 1}};
    spot.guess = Mark::Meaning::pain;
    spot.confidence = 0.7;
    spot.breadth_mm = 14.0;
    spot.name = "heel-spot";
    return {line, ring, spot};
}

const Mark& named(const FootDesign& foot, const std::string& name) {
    for (const Mark& mark : foot.marks)
        if (mark.name == name) return mark;
    FAIL("no mark " << name);
    return foot.marks.front();
}

}  // namespace

TEST_CASE("marks: what is found becomes suggestions in the cast's own coordinates, once") {
    FootDesign foot;
    const foot::Frame frame = left_inches();
    const auto first = suggest_marks(foot, ink(), frame);
    REQUIRE(first.size() == 3);
    REQUIRE(foot.marks.size() == 3);
    for (std::size_t i = 0; i < 3; ++i) {
        CHECK(first[i].what == InkInJob::What::added);
        const Mark& mark = foot.marks[i];
        CHECK(mark.open());
        CHECK(mark.source == Source::suggested);
        REQUIRE(mark.points.size() == ink()[i].points.size());
        for (std::size_t k = 0; k < mark.points.size(); ++k)
            CHECK((frame.to_design(mark.points[k]) - ink()[i].points[k]).norm() < 1e-9);
    }
    // the same ink, found again a little off, and partly, is the same marks
    auto again = ink();
    for (mark::InkMark& one : again)
        for (Vec3& p : one.points) p += Vec3(0.6, -0.8, 0.2);
    again[0].points.pop_back();
    const auto second = suggest_marks(foot, again, frame);
    for (const InkInJob& one : second) CHECK(one.what == InkInJob::What::known);
    CHECK(foot.marks.size() == 3);
    // other ink of the same meaning has a name of its own
    auto other = ink();
    for (mark::InkMark& one : other)
        for (Vec3& p : one.points) p += Vec3(0, 30, 0);
    suggest_marks(foot, other, frame);
    CHECK(foot.marks.size() == 6);
    CHECK(named(foot, "fascia-2").kind == Mark::Kind::line);
}

TEST_CASE("marks: accepted, refused, renamed, drawn; a refused one is not offered again") {
    FootDesign foot;
    const foot::Frame frame = left_inches();
    suggest_marks(foot, ink(), frame);
    feature::Feature relief;
    relief.name = "groove";
    relief.anchor = "fascia";
    foot.features = {relief};

    REQUIRE(accept_mark(foot, "fascia", std::nullopt, "T-1").ok());
    CHECK(named(foot, "fascia").source == Source::set);
    CHECK(named(foot, "fascia").by == "T-1");
    CHECK(named(foot, "fascia").meaning == Mark::Meaning::plantar_fascia);
    REQUIRE(rename_mark(foot, "fascia", "band").ok());
    CHECK(foot.features.front().anchor == "band");
    CHECK(lying_on(foot, "band") == std::vector<std::string>{"groove"});
    REQUIRE(refuse_mark(foot, "heel-spot", "T-1").ok());
    CHECK(named(foot, "heel-spot").refused);
    const auto again = suggest_marks(foot, ink(), frame);
    CHECK(again[0].name == "band");
    CHECK(again[2].what == InkInJob::What::refused);
    CHECK(foot.marks.size() == 3);
    CHECK_FALSE(relieve_mark(foot, "heel-spot").ok());
    REQUIRE(accept_mark(foot, "heel-spot", Mark::Meaning::bone, "T-2").ok());
    CHECK_FALSE(named(foot, "heel-spot").refused);
    CHECK(named(foot, "heel-spot").meaning == Mark::Meaning::bone);

    REQUIRE(draw_mark(foot, "tender", {{1, 2, 3}}, {}, Mark::Meaning::pain, "T-2").ok());
    CHECK(named(foot, "tender").kind == Mark::Kind::spot);
    REQUIRE(draw_mark(foot, "band", {{1, 2, 3}, {4, 5, 6}}, {}, {}, "T-2").ok());
    CHECK(named(foot, "band").points.size() == 2);
    CHECK(foot.features.front().anchor == "band");

    // every refusal says what and changes nothing
    const auto before = foot.marks.size();
    CHECK(accept_mark(foot, "bnd", {}, "T-1").fault().message.find("\"band\"") != std::string::npos);
    CHECK_FALSE(accept_mark(foot, "band", {}, "no code!").ok());
    CHECK_FALSE(rename_mark(foot, "band", "tender").ok());
    CHECK_FALSE(rename_mark(foot, "band", "heel_centre").ok());
    CHECK_FALSE(rename_mark(foot, "band", "two words").ok());
    CHECK_FALSE(draw_mark(foot, "area", {{1, 2, 3}, {4, 5, 6}}, Mark::Kind::area, {}, "T-1").ok());
    CHECK_FALSE(draw_mark(foot, "", {{1, 2, 3}}, {}, {}, "T-1").ok());
    CHECK(foot.marks.size() == before);
}

TEST_CASE("marks: the usual relief has the usual allowance") {
    FootDesign foot;
    suggest_marks(foot, ink(), left_inches());
    REQUIRE(relieve_mark(foot, "fascia").ok());
    CHECK(foot.features.back().kind == feature::Feature::Kind::groove);
    CHECK(foot.features.back().width_mm == Approx(10.0));
    CHECK(foot.features.back().anchor == "fascia");
    REQUIRE(relieve_mark(foot, "heel-spot").ok());
    CHECK(foot.features.back().kind == feature::Feature::Kind::cavity);
    CHECK(foot.features.back().width_mm == Approx(18.0));  // the spot's 14 mm and 4 mm
    const auto second = relieve_mark(foot, "heel-spot");
    REQUIRE(second.ok());
    CHECK(*second == "heel-spot-relief-2");
}

TEST_CASE("marks: suggestions and refusals leave an approval as it is until something lies on them") {
    Job job = tests::plain_job(Side::left);
    const std::string before = fingerprint(job, Side::left);
    FootDesign& foot = *job.foot(Side::left);
    suggest_marks(foot, ink(), left_inches());
    CHECK(fingerprint(job, Side::left) == before);
    REQUIRE(refuse_mark(foot, "lesion", "T-1").ok());
    CHECK(fingerprint(job, Side::left) == before);
    REQUIRE(relieve_mark(foot, "fascia").ok());
    const std::string relieved = fingerprint(job, Side::left);
    CHECK(relieved != before);
    foot.marks.front().points.front() += Vec3(0.1, 0, 0);
    CHECK(fingerprint(job, Side::left) != relieved);
    // and the file keeps it all
    const auto read = parse_job(write_job(job), "x");
    REQUIRE(read.ok());
    CHECK(write_job(*read) == write_job(job));
    CHECK(named(*read->foot(Side::left), "lesion").refused);
    CHECK(named(*read->foot(Side::left), "heel-spot").breadth_mm == Approx(14.0));
}
