// The table of a study: read as a spreadsheet writes it, and every mistake told by row and column.
#include "engine/study/table.hpp"

#include <catch2/catch.hpp>

using namespace archwright;
using namespace archwright::study;

TEST_CASE("a table is read whatever stands between its cells") {
    for (const char between : {',', ';', '\t'}) {
        std::string text =
            "\xEF\xBB\xBF# a "
            "study\nfoot,caster,repeat,side,cast\nF1,AB,1,left,a.stl\nF1,AB,2,,b.stl\n\nF2,\"CD\",1,right,c."
            "stl # last\r\n";
        for (char& c : text)
            if (c == ',') c = between;
        const auto table = parse_table(text, "study.csv");
        INFO((table.ok() ? "" : table.fault().message));
        REQUIRE(table.ok());
        REQUIRE(table->rows.size() == 3);
        CHECK(table->casts);
        CHECK(table->rows[1].repeat == 2);
        CHECK(table->rows[1].side == Side::left);  // as row 3 says of this foot
        CHECK(table->rows[2].caster == "CD");
        CHECK(table->rows[2].row == 6);
        CHECK(table->several_repeats);
        CHECK(table->several_casters);
        CHECK_FALSE(table->several_methods);
        CHECK(table->sha256.size() == 64);
    }
    const auto figures =
        parse_table("foot,repeat,arch_height:mm,angle:degrees\nF1,1,17.5,\nF1,2,17.9,3\nF2,1,12,-4\n", "f");
    REQUIRE(figures.ok());
    CHECK_FALSE(figures->casts);
    REQUIRE(figures->given.size() == 2);
    CHECK(figures->given[0].title == "Arch height");
    CHECK(figures->given[1].unit == "degrees");
    CHECK_FALSE(figures->rows[0].values[1]);
    CHECK(figures->rows[2].values[1] == -4.0);
}

TEST_CASE("what is wrong with a table is told with its row and column") {
    struct Wrong {
        const char* text;
        const char* words;
    };
    const std::string head = "foot,caster,repeat,cast\n";
    for (const Wrong& one : {
             Wrong{"", "no line of column names"},
             Wrong{"caster,repeat,cast\n", "the column foot is missing"},
             Wrong{"foot,caster\n", "neither a column cast nor a figure"},
             Wrong{"foot,cast,arch:mm\n", "one or the other"},
             Wrong{"foot,castr\n", "is it cast?"},
             Wrong{"foot,foot,cast\n", "two of this name"},
             Wrong{"foot,arch:mm,arch:mm\n", "two of this name"},
             Wrong{"foot,caster,repeat,cast\nMr Smith,A,1,a.stl\n", "no names"},
             Wrong{"foot,caster,repeat,cast\nF1,,1,a.stl\n", "row 2, column caster"},
             Wrong{"foot,caster,repeat,cast\nF1,A,1.5,a.stl\n", "no whole number"},
             Wrong{"foot,caster,repeat,cast\nF1,A,1,\n", "the name of the file is missing"},
             Wrong{"foot,caster,repeat,cast\nF1,A,1,a.stl,9\n", "behind the last column"},
             Wrong{"foot,caster,repeat,cast\nF1,A,1,a.stl\nF1,A,1,b.stl\n", "row 2 is the same"},
             Wrong{"foot,side,repeat,cast\nF1,left,1,a.stl\nF1,right,2,b.stl\n", "is left in row 2"},
             Wrong{"foot,side,cast\nF1,lft,a.stl\n", "neither left nor right"},
             Wrong{"foot,unit,cast\nF1,ft,a.stl\n", "none of mm, cm, in, m"},
             Wrong{"foot,arch:mm\nF1,12,5\n", "behind the last column"},
             Wrong{"foot,arch:mm\nF1,abc\n", "no number"},
             Wrong{"foot,repeat,cast\nF1,1,a.stl\nF1,2,b.stl\n", "fewer than two feet"},
             Wrong{"foot,cast\nF1,a.stl\nF2,b.stl\n", "nothing is repeated"},
         }) {
        const auto table = parse_table(one.text, "study.csv");
        INFO(one.text);
        REQUIRE_FALSE(table.ok());
        INFO(table.fault().message);
        CHECK(table.fault().kind == FaultKind::input);
        CHECK(table.fault().message.find("study.csv") == 0);
        CHECK(table.fault().message.find(one.words) != std::string::npos);
    }
    std::string many = head;
    for (int i = 0; i < 2500; ++i)
        many += "F" + std::to_string(i % 7) + ",A," + std::to_string(i % 900 + 1) + ",a" + std::to_string(i) +
                ".stl\n";
    const auto table = parse_table(many, "study.csv");
    REQUIRE_FALSE(table.ok());
    CHECK(table.fault().message.find("more than 2000 rows") != std::string::npos);
}
