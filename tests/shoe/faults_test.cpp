// Faulty drawings: a message that names the file, the place and what to do; never a crash or a hang.
#include <chrono>
#include <iostream>

#include "assets/generator/random.hpp"
#include "tests/shoe/drawings.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::tests;
using Catch::Contains;

namespace {

std::string square_lines(double gap) {
    const std::vector<Vec2> p = {{0, 0}, {200, 0}, {200, 90}, {0, 90}, {0, gap}};
    std::string all;
    for (std::size_t i = 0; i + 1 < p.size(); ++i)
        all += entity("LINE", {{10, p[i].x()}, {20, p[i].y()}, {11, p[i + 1].x()}, {21, p[i + 1].y()}});
    return all;
}

}  // namespace

TEST_CASE("drawings: what is wrong, where, and what to do") {
    const std::string rect = "<rect width='200' height='80'/>";
    std::string many = "<polygon points='";
    for (int i = 0; i < 30'000; ++i) many += exact(i * 0.01) + "," + exact(i % 2) + " ";
    std::string pieces;
    for (int i = 0; i < 6'000; ++i) pieces += "<path d='M0 " + std::to_string(i) + "H1'/>";
    std::string deep;
    for (int i = 0; i < 5'000; ++i) deep += "<g>";
    const struct {
        std::string text;
        std::vector<std::string> says;
    } faults[] = {
        {"", {"empty"}},
        {" \n\n ", {"empty"}},
        {"hello", {"neither SVG nor DXF"}},
        {std::string("AB\0CD", 5), {"binary"}},
        {"<html><body/></html>", {"line 1", "no SVG"}},
        {svg(rect + "<g>"), {"line 4", "XML"}},
        {svg(rect).substr(0, 120), {"XML"}},
        {"<!DOCTYPE svg [<!ENTITY a \"aaaa\">]>" + svg(rect).substr(22), {"line 1", "entities"}},
        {svg(rect + "<svg/>"), {"line 3", "<svg> inside <svg>"}},
        {svg("<use href='#a'/>"), {"line 3", "<use>"}},
        {svg(""), {"no outline", "one closed line"}},
        {svg("<text>x</text>"), {"no outline"}},
        {svg(rect + rect), {"2 closed lines", "line 3, 3"}},
        {svg(rect + "\n" + rect + "\n" + rect), {"3 closed lines", "line 3, 4, 5"}},
        {svg("\n<path d='M0 0H200V80H0V5'/>"), {"not closed", "line 4", "gap of 5.00 mm"}},
        {svg("<path d='M0 0L200 80H0L200 0Z'/>"), {"crosses"}},
        {svg("<path d='L0 0'/>"), {"line 3", "does not begin with M"}},
        {svg("<path d='M0 0H'/>"), {"line 3", "not understood"}},
        {svg("<path d='M0 0H1e999Z'/>"), {"line 3", "not understood"}},
        {svg("<path d='M0 0 10 10 10'/>"), {"line 3", "not understood"}},
        {svg("<path d='M0 0A1 1 0 2 1 30 30Z'/>"), {"line 3", "not understood from \"2 1"}},
        {svg("<path d='M0 0L1,,x'/>"), {"line 3", "not understood"}},
        {svg("<polygon points='1 2 3'/>"), {"line 3", "points"}},
        {svg("<g transform='twist(3)'>" + rect + "</g>"), {"line 3", "transform"}},
        {svg("<rect width='20mm' height='8'/>"), {"line 3", "plain number"}},
        {svg("<circle r='1e200' transform='scale(1e200)'/>"), {"line 3", "too large"}},
        {svg("<circle r='1e100'/>"), {"points"}},
        {svg("<rect width='1e9' height='1e9'/>"), {"km away"}},
        {svg(many + "'/>"), {"more than 20000 points"}},
        {svg(pieces), {"more than 5000 pieces"}},
        {svg(deep), {"deep"}},
        {dxf(""), {"no outline"}},
        {dxf(square_lines(0)).substr(0, 150), {"breaks off"}},
        {dxf(square_lines(2.5)), {"not closed", "gap of 2.50 mm", "y 2.5"}},
        {dxf(square_lines(0) + square_lines(0)), {"closed"}},
        {dxf("0\nLINE\n10\nnine\n"), {"\"nine\"", "no number"}},
        {dxf("zero\n"), {"group code", "Save the drawing again"}},
        {dxf(entity("ARC", {{40, 0}})), {"no radius"}},
        {dxf(entity("ARC", {{40, 5}, {210, 1}, {230, 1}})), {"tilted"}},
        {dxf(entity("POLYLINE", {{70, 1}}) + entity("LINE", {})), {"POLYLINE is not ended"}},
        {dxf(entity("SPLINE", {{71, 3}, {11, 0}, {21, 0}})), {"fit points alone"}},
        {dxf(entity("SPLINE", {{71, 3}, {10, 0}, {20, 0}})), {"too few control points"}},
        {dxf(entity("SPLINE", {{71, 1}, {40, 0}, {40, 1}, {10, 0}, {20, 0}, {10, 9}, {20, 0}})),
         {"2 knots where 4"}},
        {dxf(entity("SPLINE",
                    {{71, 1}, {40, 0}, {40, 0}, {40, 0}, {40, 0}, {10, 0}, {20, 0}, {10, 9}, {20, 0}})),
         {"span nothing"}},
        {dxf(entity("CIRCLE", {{40, 50}}) + entity("INSERT", {})), {"no outline", "CIRCLE", "INSERT"}},
        {"0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n", {"no section of entities"}},
    };
    for (const auto& [text, says] : faults) {
        INFO(text.substr(0, 400));
        const auto drawing = read(text, "traced.svg");
        REQUIRE_FALSE(drawing.ok());
        CHECK(drawing.fault().kind == FaultKind::input);
        CHECK_THAT(drawing.fault().message, Catch::StartsWith("traced.svg: "));
        for (const std::string& word : says) CHECK_THAT(drawing.fault().message, Contains(word));
    }
    TemporaryFolder folder;
    CHECK_THAT(shoe::read_drawing(folder.path() / "absent.dxf").fault().message, Contains("absent.dxf"));
}

TEST_CASE("drawings: truncated and changed files give an outline or a message, in time") {
    std::vector<Vec2> corners = right_insole(60).points();
    std::string light = "0\nLWPOLYLINE\n90\n60\n70\n1\n";
    for (const Vec2& p : corners) light += "10\n" + exact(p.x()) + "\n20\n" + exact(p.y()) + "\n42\n0.01\n";
    std::string spline = "0\nSPLINE\n70\n0\n71\n3\n";
    for (const int k : {0, 0, 0, 0, 1, 2, 3, 3, 3, 3}) spline += "40\n" + std::to_string(k) + "\n";
    for (int k = 0; k < 6; ++k)
        spline += "10\n" + std::to_string(k * 40) + "\n20\n" + std::to_string(k * k) + "\n";
    const std::vector<std::string> seeds = {
        svg("<g transform='rotate(30) translate(4 5) matrix(1 0 0 1 3 4)'>" +
            path_of(right_insole(80), 1.0, -1.0, Vec2(20, 50)) + "</g>"),
        svg("<path d='M50 150a100 100 30 01200,0 100 100 0 0 1-200 0zM3 3c1 2 3 4 5 6s3 4 5 6q1 2 3 4t5 6'/>"
            "<rect x='1' y='2' width='3' height='4' rx='1'/><ellipse cx='4' cy='5' rx='6' ry='7'/>"),
        dxf(light),
        dxf(spline + square_lines(0)),
    };
    const std::string bytes = "0123456789.-+eEMmLlHhVvCcSsQqTtAaZz<>/'\" \n\r\t&;\xff";
    generator::Random random(tests::seed() + 71);
    std::size_t read_well = 0;
    const int count = tests::cases(200'000, 6'000, "changed drawings");
    const auto begin = std::chrono::steady_clock::now();
    for (int i = 0; i < count; ++i) {
        std::string text = seeds[static_cast<std::size_t>(i) % seeds.size()];
        for (std::uint64_t k = random.next() % 6; k-- > 0;) {
            const std::size_t at = random.next() % text.size();
            const std::size_t length = std::min<std::size_t>(random.next() % 30, text.size() - at);
            switch (random.next() % 5) {
                case 0:
                    text.resize(at + 1);
                    break;
                case 1:
                    text[at] = bytes[random.next() % bytes.size()];
                    break;
                case 2:
                    text.insert(at, text.substr(random.next() % text.size(), length));
                    break;
                case 3:
                    text.erase(at, length);
                    if (text.empty()) text = "0";
                    break;
                default:
                    text.insert(at, 1 + random.next() % 3, bytes[random.next() % bytes.size()]);
            }
        }
        const auto drawing = read(text, "changed");
        if (!drawing) {
            INFO(text);
            REQUIRE_THAT(drawing.fault().message, Catch::StartsWith("changed: "));
            REQUIRE(drawing.fault().kind == FaultKind::input);
            continue;
        }
        ++read_well;
        REQUIRE(drawing->outline.points().size() >= 3);
        REQUIRE(drawing->outline.points().size() <= shoe::most_outline_points);
        REQUIRE(drawing->outline.area() > 0.0);
        const auto insole = shoe::Insole::posed(drawing->outline, Side::left, "changed");
        if (insole) REQUIRE(insole->length_mm <= 1.5 * shoe::longest_insole_mm);
    }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begin;
    std::cout << "  " << read_well << " of " << count << " read, " << rounded(took.count(), 1) << " s\n";
    CHECK(read_well > static_cast<std::size_t>(count) / 20);
    CHECK(read_well < static_cast<std::size_t>(count));
}
