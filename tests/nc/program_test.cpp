// Programs written, read back, and what a reader refuses.
#include "exporters/nc/program.hpp"

#include <catch2/catch.hpp>

#include "tests/mill/random.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::exporters;
using tests::Draw;

namespace {

mill::Cutter cutter_named(const char* name) {
    mill::Cutter cutter;
    cutter.name = name;
    return cutter;
}

std::vector<mill::Operation> random_operations(Draw& draw) {
    std::vector<mill::Operation> operations;
    const int count = 1 + draw.of(3);
    for (int o = 0; o < count; ++o) {
        mill::Operation operation{"pass", cutter_named("ball (odd \xc3\xa9 name)"), 0.0, {}};
        operation.turns = 1000.0 + draw.of(20000);
        Vec3 at = draw.point(100.0);
        at.z() = 5.0;
        operation.moves.push_back({at, true, 0.0});
        const int moves = 1 + draw.of(60);
        for (int m = 0; m < moves; ++m) {
            const Vec3 to = draw.point(150.0);
            const bool rapid = draw.of(3) == 0;
            mill::Move move{to, rapid, rapid ? 0.0 : 10.0 + draw.of(3000)};
            const Vec3 from = operation.moves.back().to;
            const double aside = draw.between(-60.0, 60.0);
            const int turn = draw.of(3) - 1;
            if (const Vec2 chord = (to - from).head<2>(); !rapid && turn != 0 && chord.norm() > 1.0) {
                move.turn = turn;
                move.centre = 0.5 * (to + from).head<2>() + aside * Vec2(-chord.y(), chord.x()).normalized();
            }
            operation.moves.push_back(move);
        }
        operations.push_back(operation);
    }
    return operations;
}

std::vector<mill::Cutter> cutters_of(const std::vector<mill::Operation>& operations) {
    std::vector<mill::Cutter> cutters;
    for (const auto& operation : operations) cutters.push_back(operation.cutter);
    return cutters;
}

}  // namespace

TEST_CASE("a program read back is the moves that were written, in every post's words") {
    Draw draw(tests::seed());
    const int count = tests::cases(1000, 200, "programs");
    for (int i = 0; i < count; ++i) {
        const auto operations = random_operations(draw);
        workshop::Post post;
        post.inch = draw.of(2) == 0;
        post.decimals = (post.inch ? 4 : 3) + draw.of(2);
        post.numbers = draw.of(2) == 0;
        post.line_length = 60 + draw.of(150);
        if (draw.of(3) == 0) post.tool_length.clear();
        nc::Head head;
        head.lines = {"ARCHWRIGHT WREN-3 A left", std::string(300, 'w') + " long (and [bracketed]) %;"};
        head.melts = draw.of(2) == 0;
        const std::string text = nc::write_program(operations, head, post);
        CHECK(text == nc::write_program(operations, head, post));
        CHECK(nc::checksum_holds(text));
        for (std::size_t begin = 0; begin < text.size();) {
            const std::size_t end = text.find('\n', begin);
            CHECK(end - begin <= static_cast<std::size_t>(post.line_length));
            begin = end + 1;
        }
        CHECK((text.find("HEAT") != std::string::npos) == head.melts);
        CHECK(text.find("guards closed") != std::string::npos);
        const auto back = nc::read_program(text, cutters_of(operations));
        INFO(text.substr(0, 3000));
        REQUIRE(back.ok());
        REQUIRE(back->size() == operations.size());
        const double last = std::pow(10.0, -post.decimals) * (post.inch ? 25.4 : 1.0) * 0.51;
        for (std::size_t o = 0; o < operations.size(); ++o) {
            REQUIRE((*back)[o].moves.size() == operations[o].moves.size());
            CHECK((*back)[o].turns == Approx(operations[o].turns).margin(0.5));
            for (std::size_t m = 0; m < operations[o].moves.size(); ++m) {
                const mill::Move &was = operations[o].moves[m], &is = (*back)[o].moves[m];
                CHECK((was.to - is.to).cwiseAbs().maxCoeff() <= last);
                CHECK(was.rapid == is.rapid);
                CHECK(was.turn == is.turn);
                // the ends' roundings move the line that holds the centre, by more the further off it is
                if (was.turn != 0) CHECK((was.centre - is.centre).norm() <= 200.0 * last);
                if (!was.rapid) CHECK(is.feed == Approx(was.feed).margin(0.5));
            }
        }
    }
}

TEST_CASE("the checksum catches every changed byte") {
    Draw draw(tests::seed() + 1);
    const auto operations = random_operations(draw);
    const std::string text = nc::write_program(operations, {}, {});
    const int count = tests::cases(5000, 1000, "changed bytes");
    for (int i = 0; i < count; ++i) {
        std::string other = text;
        const int kind = draw.of(3);
        const auto at = static_cast<std::size_t>(draw.of(static_cast<int>(text.size())));
        const char c = static_cast<char>(32 + draw.of(95));
        if (kind == 0) other[at] = c;
        if (kind == 1) other.erase(at, 1);
        if (kind == 2) other.insert(at, 1, c);
        if (other == text) continue;
        CHECK_FALSE(nc::checksum_holds(other));
        (void)nc::read_program(other, cutters_of(operations));  // and no reading of it does harm
    }
    CHECK_FALSE(nc::checksum_holds(""));
    CHECK_FALSE(nc::checksum_holds("G21\nM30\n"));
}

TEST_CASE("words that no mill may be given are refused with their line") {
    const std::vector<mill::Cutter> cutters{cutter_named("one")};
    const std::string head = "%\nG17 G21 G90 G94\nT1 M6\nS1000 M3\nG0 X0 Y0\nG0 Z5\n", end = "M30\n%\n";
    const auto says = [&](const std::string& body) {
        const auto read = nc::read_program(body, cutters);
        return read.ok() ? std::string() : read.fault().message;
    };
    CHECK(says(head + "G1 X1 F100\n" + end).empty());
    CHECK(says(head + "G2 X2 I1 F100\nX0 I-1\nG3 X2 Y2 Z-1 J2\nG1 X3\n" + end).empty());
    CHECK(says(head + "g1 x+1.5 f100 (lower case)\n" + end).empty());
    for (const auto& [body, say] :
         {std::pair<std::string, std::string>{head + "G1 X1\n" + end, "Line 7: a feed without a speed"},
          {head + "G1 X1.2.3 F9\n" + end, "no word with a number"},
          {head + "G1 X F9\n" + end, "no word"},
          {head + "G1 G0 X1 F9\n" + end, "two kinds of motion"},
          {head + "G1 X1 X2 F9\n" + end, "stands twice"},
          {head + "G5 X1 Y1 I1 F9\n" + end, "G5 is not known"},
          {head + "G2 X1 Y1 F9\n" + end, "an arc without its centre"},
          {head + "G2 X1 Y1 R1 F9\n" + end, "R is not known"},
          {head + "G3 X1 Y1 I5 F9\n" + end, "off its circle"},
          {head + "G3 X0 Y0 Z1 I5 F9\n" + end, "where it began"},
          {head + "G3 X1 I0 J0 F9\n" + end, "off its circle"},
          {head + "G2 X2 I1 K1 F9\n" + end, "K is not known"},
          {head + "G1 X1 I1 F9\n" + end, "without an arc"},
          {head + "G3 I1 F9\n" + end, "without its end"},
          {head + "G1 X1 F9 (open\n" + end, "not closed"},
          {head + "G1 X1 F9", "does not end"},
          {head + "T2 M6\n" + end, "there is no cutter 2"},
          {head + "M5\nG1 X1 F9\n" + end, "spindle still"},
          {head + "T1 M6\n" + end, "with the spindle turning"},
          {head + "G43 H2\n" + end, "another cutter"},
          {head + "G53 G1 Z0 F9\n" + end, "G53"},
          {head + "G91\n" + end, "G91 is not known"},
          {head + "G1 X1e5 F9\n" + end, "E"},
          {head + "G1 X99999999 F9\n" + end, "no word with a number"},
          {"G90\nT1 M6\nG0 X1\n" + end, "before G20 or G21"},
          {"G21\nT1 M6\nG0 X1\n" + end, "before G90"},
          {"G21 G90 G94\nG0 X1\n" + end, "before a cutter"},
          {"G21 G90 G94\nT1 M6\nM3\n" + end, "without a speed"},
          {"G21 G90 G94\nT1 M6\nS9 M3\nG0 Z5\n" + end, "unknown place"}}) {
        INFO(body);
        CHECK(says(body).find(say) != std::string::npos);
    }
}
