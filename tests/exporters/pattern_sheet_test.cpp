// Patterns on paper: true to size, nothing off the page, the same bytes again.
#include "exporters/pattern_sheet.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>
#include <regex>

#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"
#include "exporters/deliver_patterns.hpp"
#include "exporters/pattern_files.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters;
using design::Cover;
using pattern::Pattern;

namespace {

// Like a cover: 1 mm from point to point, broader in front.
Pattern part(double length, double breadth, Side side = Side::left) {
    Pattern p;
    p.case_code = "WREN-1042";
    p.revision = "B";
    p.date = "2026-11-16";
    p.side = side;
    p.cover.name = "top";
    p.cover.material = "EVA, shore A 35";
    p.cover.thickness_mm = 3.0;
    p.cover.length = Cover::Length::full;
    const int n = static_cast<int>(2.5 * (length + breadth));
    for (int k = 0; k < n; ++k) {
        const double a = 2.0 * std::numbers::pi * k / n;
        const double x = 0.5 * length * std::cos(a);
        p.cut.emplace_back(x + 0.4 * length, 0.5 * breadth * std::sin(a) * (1.0 + 0.15 * x / length));
    }
    for (const Vec2& q : p.cut) p.shell_edge.emplace_back(0.6 * q);
    for (int k = -10; k <= 110; ++k) p.axis.emplace_back(0.01 * k * length, 0.002 * k);
    p.spots = {{"heel centre", {5, 0}}, {"1", {0.5 * length, 20}}, {"5", {0.45 * length, -20}}};
    p.stretch_low = 0.94;
    p.stretch_high = 1.08;
    return p;
}

void on_page(const PatternSheet& sheet) {
    const auto within = [&](const Vec2& p) {
        return p.x() >= 5.0 && p.y() >= 5.0 && p.x() <= sheet.width_mm - 5.0 &&
               p.y() <= sheet.height_mm - 5.0;
    };
    for (const auto& stroke : sheet.strokes)
        for (const Vec2& p : stroke.points) {
            INFO(stroke.what << " " << p.transpose());
            CHECK(within(p));
        }
    for (const auto& words : sheet.words) {
        INFO(words.text);
        CHECK(within(words.at - Vec2(0.0, words.size_mm)));
        CHECK(within(words.at + Vec2(words.width_mm, 0.25 * words.size_mm)));
    }
}

std::string longest(std::size_t bytes, const std::string& piece) {
    std::string text;
    while (text.size() + piece.size() <= bytes) text += piece;
    return text;
}

}  // namespace

TEST_CASE("sheet: the outline is its own size and shape, as seen from above", "[sheet]") {
    for (const Side side : {Side::left, Side::right}) {
        const Pattern p = part(270, 100, side);
        const auto sheet = lay_out(p);
        if (!sheet.ok()) FAIL(sheet.fault().message);
        on_page(*sheet);
        const std::vector<Vec2>& cut = sheet->cut().points;
        REQUIRE(cut.size() == p.cut.size());
        // a mirror and a quarter turn, no scale: distances stay, the sense of a right foot's page (y down)
        // turns
        for (std::size_t i = 0; i < cut.size(); i += 7) {
            const std::size_t j = (i * 31 + 11) % cut.size();
            CHECK((cut[i] - cut[j]).norm() == Approx((p.cut[i] - p.cut[j]).norm()).margin(1e-9));
        }
        CHECK(std::abs(pattern::signed_area(cut)) == Approx(pattern::signed_area(p.cut)));
        CHECK((pattern::signed_area(cut) > 0.0) == (side == Side::left));
        // toes up on the page
        CHECK(cut.front().y() < cut[cut.size() / 2].y());
        // the words of the side are never mirrored and never the other's
        std::string all;
        for (const auto& words : sheet->words) all += words.text + "\n";
        CHECK(all.find(side == Side::left ? "LEFT" : "RIGHT") != std::string::npos);
        CHECK(all.find(side == Side::left ? "RIGHT" : "LEFT") == std::string::npos);
        for (const char* word : {"WREN-1042", "revision B", "top", "EVA, shore A 35", "3 mm", "foot side up",
                                 "1:1", "100 mm", "0.94", "1.08", "2026-11-16"}) {
            INFO(word);
            CHECK(all.find(word) != std::string::npos);
        }
        // medial of a left foot lies on its right
        double medial = 0.0, lateral = 0.0;
        for (const auto& words : sheet->words) {
            if (words.text == "medial") medial = words.at.x();
            if (words.text == "lateral") lateral = words.at.x();
        }
        CHECK((medial > lateral) == (side == Side::left));
    }
}

TEST_CASE("sheet: the smallest paper that holds it", "[sheet]") {
    const auto paper = [](double length, double breadth) {
        const auto sheet = lay_out(part(length, breadth));
        return sheet ? sheet->paper : sheet.fault().message;
    };
    CHECK(paper(200, 95) == "A4 portrait");
    CHECK(paper(265, 110) == "A4 portrait");
    CHECK(paper(290, 110) == "A3 portrait");
    CHECK(paper(200, 200).starts_with("A3"));
    CHECK(paper(900, 300).starts_with("A0"));
    CHECK(paper(1300, 300).find("more than a sheet of A0") != std::string::npos);
}

TEST_CASE("sheet: the check bar is 100 mm in every format", "[sheet]") {
    const auto sheet = lay_out(part(230, 98));
    REQUIRE(sheet.ok());
    int bars = 0;
    for (const auto& stroke : sheet->strokes)
        if (stroke.what == "bar") {
            ++bars;
            CHECK((stroke.points[1] - stroke.points[0]).norm() == Approx(100.0).margin(1e-9));
        }
    CHECK(bars == 1);
    const std::string svg = pattern_svg(*sheet);
    std::smatch found;
    REQUIRE(std::regex_search(
        svg, found, std::regex("class=\"bar\"[^>]* d=\"M([0-9.]+),([0-9.]+)L([0-9.]+),([0-9.]+)\"")));
    CHECK(*parse_number(found[4].str()) - *parse_number(found[2].str()) == Approx(100.0).margin(1e-6));
    CHECK(found[1].str() == found[3].str());
    // units: a user unit of the SVG is a millimetre
    CHECK(svg.find("width=\"210mm\"") == std::string::npos);
    CHECK(svg.find("width=\"210.000mm\" height=\"297.000mm\" viewBox=\"0 0 210.000 297.000\"") !=
          std::string::npos);
    const std::string dxf = pattern_dxf(*sheet);
    CHECK(dxf.find("$INSUNITS\n70\n4\n") != std::string::npos);
}

TEST_CASE("sheet: the longest texts stay on the page", "[sheet]") {
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(300, 30, "sheets with long texts"); i > 0; --i) {
        const double length = tests::uniform(random, 60, 260), breadth = tests::uniform(random, 60, 110);
        Pattern p = part(length, breadth, i % 2 == 0 ? Side::left : Side::right);
        p.cover.kind = static_cast<Cover::Kind>(i % 3);
        p.case_code = longest(design::longest_code, i % 2 ? "WM" : "W-");
        p.cover.name = longest(design::longest_code, "MW");
        const char* pieces[] = {"W", "soft foam ", "\u6f22", "a\n\tb", "&<>\"'", "\U0001F600 "};
        p.cover.material = longest(design::longest_words, pieces[i % 6]);
        p.revision = "AAA";
        p.cover.distal_mm = -12.25;
        p.cover.overlap_mm = 11.125;
        p.cover.margin_mm = 3.125;
        const auto sheet = lay_out(p);
        if (!sheet.ok()) FAIL(sheet.fault().message);
        on_page(*sheet);
        // nothing stands over the words beside it
        double right = 0.0;
        for (const Vec2& q : sheet->cut().points) right = std::max(right, q.x());
        for (const auto& stroke : sheet->strokes)
            if (stroke.what == "bar") CHECK(stroke.points[0].x() > right + 1.0);
        const auto pdf = pattern_pdf(*sheet);
        REQUIRE(pdf.ok());
        CHECK(verify_pattern_pdf(*pdf, *sheet).ok());
        CHECK(verify_pattern_svg(pattern_svg(*sheet), *sheet).ok());
        const std::string dxf = pattern_dxf(*sheet);
        CHECK(verify_pattern_dxf(dxf, *sheet).ok());
        for (const char c : dxf) CHECK((c == '\n' || (c >= 0x20 && c < 0x7F)));
        // every group is a code and a value
        CHECK(std::count(dxf.begin(), dxf.end(), '\n') % 2 == 0);
    }
}

TEST_CASE("sheet: a file that is another is told", "[sheet]") {
    const auto sheet = lay_out(part(230, 98));
    REQUIRE(sheet.ok());
    const std::string pdf = *pattern_pdf(*sheet), svg = pattern_svg(*sheet), dxf = pattern_dxf(*sheet);
    CHECK(verify_pattern_pdf(pdf, *sheet).ok());
    CHECK_FALSE(verify_pattern_pdf(pdf.substr(0, pdf.size() / 2), *sheet).ok());
    CHECK_FALSE(verify_pattern_svg(svg.substr(0, svg.size() / 2), *sheet).ok());
    CHECK_FALSE(verify_pattern_dxf(dxf.substr(0, dxf.size() / 2), *sheet).ok());
    CHECK_FALSE(verify_pattern_pdf("", *sheet).ok());
    CHECK_FALSE(verify_pattern_svg("", *sheet).ok());
    CHECK_FALSE(verify_pattern_dxf("", *sheet).ok());
    PatternSheet moved = *sheet;
    for (auto& stroke : moved.strokes)
        if (stroke.layer == PatternSheet::Layer::cut) stroke.points[5].x() += 0.01;
    CHECK_FALSE(verify_pattern_svg(svg, moved).ok());
    CHECK_FALSE(verify_pattern_dxf(dxf, moved).ok());
    PatternSheet fewer = *sheet;
    for (auto& stroke : fewer.strokes)
        if (stroke.layer == PatternSheet::Layer::cut) stroke.points.pop_back();
    CHECK_FALSE(verify_pattern_svg(svg, fewer).ok());
    CHECK_FALSE(verify_pattern_dxf(dxf, fewer).ok());
    PatternSheet larger = *sheet;
    larger.width_mm = 297.0;
    CHECK_FALSE(verify_pattern_pdf(pdf, larger).ok());
    CHECK_FALSE(verify_pattern_svg(svg, larger).ok());
}

TEST_CASE("sheet: the same bytes again, and no clock in them", "[sheet]") {
    Pattern p = part(230, 98);
    const auto one = lay_out(p), two = lay_out(p);
    REQUIRE((one.ok() && two.ok()));
    CHECK(*pattern_pdf(*one) == *pattern_pdf(*two));
    CHECK(pattern_svg(*one) == pattern_svg(*two));
    CHECK(pattern_dxf(*one) == pattern_dxf(*two));
    const std::string pdf = *pattern_pdf(*one);
    CHECK(pdf.find("/CreationDate (20261116000000") != std::string::npos);
    p.date.clear();
    CHECK(pattern_pdf(*lay_out(p))->find("/CreationDate (19700101000000") != std::string::npos);
}

TEST_CASE("patterns on disk: all or nothing, and no other pattern is written over", "[sheet]") {
    namespace fs = std::filesystem;
    const tests::TemporaryFolder folder;
    Progress progress;
    PatternSetting setting;
    setting.folder = folder.path() / "out";
    std::vector<Pattern> patterns{part(230, 98), part(60, 90)};
    patterns[1].cover.name = "front";
    const auto files = [&] {
        std::size_t n = 0;
        for (const auto& entry : fs::directory_iterator(setting.folder)) {
            INFO(entry.path());
            CHECK(entry.path().filename().string().starts_with("WREN-1042-left-B-"));
            ++n;
        }
        return n;
    };
    const auto first = deliver_patterns(patterns, setting, progress);
    if (!first.ok()) FAIL(first.fault().message);
    CHECK(files() == 6);
    CHECK(tests::content(setting.folder / "WREN-1042-left-B-front.svg").size() == (*first)[1].files[1].bytes);
    REQUIRE(deliver_patterns(patterns, setting, progress).ok());
    // another pattern under the same name stays, whichever format is asked
    const std::string before = tests::content(setting.folder / "WREN-1042-left-B-top.dxf");
    patterns[0] = part(231, 98);
    setting.formats = {PatternFormat::pdf};
    const auto refused = deliver_patterns(patterns, setting, progress);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.fault().kind == FaultKind::output);
    CHECK_THAT(refused.fault().message, Catch::Contains("--replace"));
    CHECK(tests::content(setting.folder / "WREN-1042-left-B-top.dxf") == before);
    // replaced: what was not made anew and would tell of another pattern goes
    setting.replace = true;
    REQUIRE(deliver_patterns(patterns, setting, progress).ok());
    CHECK_FALSE(fs::exists(setting.folder / "WREN-1042-left-B-top.dxf"));
    CHECK(fs::exists(setting.folder / "WREN-1042-left-B-front.dxf"));
    setting.inputs = {setting.folder / "WREN-1042-left-B-front.pdf"};
    const auto input = deliver_patterns(patterns, setting, progress);
    REQUIRE_FALSE(input.ok());
    CHECK(input.fault().kind == FaultKind::usage);
}
