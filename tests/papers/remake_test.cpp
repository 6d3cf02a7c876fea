// The remake log: lines are added whole, by many at once, and hostile files are told by line and column; the
// Pareto's numbers add up.
#include "exporters/papers/remake_log.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <random>
#include <set>
#include <thread>

#include "engine/base/file.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters::papers;

namespace {

Remake remake_of(const std::string& cause, const std::string& code = "R4") {
    return {"2026-03-02", "WREN-3", Side::left, "B", code, cause, "KL-1"};
}

std::string line_of(const std::string& text) {
    return std::string(remake_header) + "\n" + text;
}

}  // namespace

TEST_CASE("remakes: what is added reads back, whatever stands in it") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "remakes.csv";
    const std::vector<std::string> causes{
        "edge presses", "he said \"too hard\", twice", ",,,", "\"", "a,b\"c\"",
        "h\u00e4lsa",   std::string(2000, 'x')};
    for (const std::string& cause : causes) {
        const auto done = add_remake(path, remake_of(cause), {});
        if (!done) FAIL(done.fault().message);
    }
    const auto log = read_remake_log(path, {});
    if (!log) FAIL(log.fault().message);
    REQUIRE(log->size() == causes.size());
    for (std::size_t k = 0; k < causes.size(); ++k) {
        CHECK((*log)[k].cause == causes[k]);
        CHECK((*log)[k].case_code == "WREN-3");
        CHECK((*log)[k].side == Side::left);
    }
    // what may not be entered leaves it as it is
    const std::string before = tests::content(path);
    for (const Remake& bad : {remake_of(""), remake_of("  "), remake_of("two\nlines"), remake_of("x", "R11"),
                              remake_of("x", ""), remake_of(std::string(2001, 'x'))}) {
        const auto refused = add_remake(path, bad, {});
        REQUIRE(!refused);
        CHECK(refused.fault().kind == FaultKind::usage);
        CHECK(!remake_trouble(bad, {}).empty());
    }
    CHECK(tests::content(path) == before);
}

TEST_CASE("remakes: hands that write at once lose nothing") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "remakes.csv";
    constexpr int hands = 6, each = 15;
    std::vector<std::thread> threads;
    std::vector<int> failed(hands, 0);
    for (int hand = 0; hand < hands; ++hand)
        threads.emplace_back([&, hand] {
            for (int k = 0; k < each; ++k)
                if (!add_remake(path,
                                remake_of("hand " + std::to_string(hand) + " line " + std::to_string(k)), {}))
                    ++failed[static_cast<std::size_t>(hand)];
        });
    for (std::thread& one : threads) one.join();
    for (const int count : failed) CHECK(count == 0);
    const auto log = read_remake_log(path, {});
    if (!log) FAIL(log.fault().message);
    CHECK(log->size() == hands * each);
    std::set<std::string> causes;
    for (const Remake& one : *log) causes.insert(one.cause);
    CHECK(causes.size() == hands * each);
}

TEST_CASE("remakes: a wrong log is told by line and column, and never added to") {
    struct Wrong {
        std::string text;
        const char* told;
    };
    const std::string good = "2026-03-02,WREN-3,left,B,R4,presses,KL-1\n";
    const std::vector<Wrong> wrong{
        {"date;case;side;revision;code;cause;by\n", "line 1, column 1"},
        {line_of(good + "2026-03-02,WREN-3,left,B,R4,presses\n"), "line 3, column 29: a line has seven"},
        {line_of("2026-02-30,WREN-3,left,B,R4,presses,KL-1\n"), "line 2, column 1: the day"},
        {line_of("2026-03-02,Mary Smith,left,B,R4,presses,KL-1\n"), "line 2, column 12: the case"},
        {line_of("2026-03-02,WREN-3,middle,B,R4,presses,KL-1\n"), "line 2, column 19: the side"},
        {line_of("2026-03-02,WREN-3,left,b,R4,presses,KL-1\n"), "line 2, column 24: the revision"},
        {line_of("2026-03-02,WREN-3,left,B,X9,presses,KL-1\n"), "line 2, column 26: the code"},
        {line_of("2026-03-02,WREN-3,left,B,R4,,KL-1\n"), "line 2, column 29: the cause"},
        {line_of("2026-03-02,WREN-3,left,B,R4,presses,\n"), "line 2, column 37: the person"},
        {line_of("2026-03-02,WREN-3,left,B,R4,\"presses,KL-1\n"), "line 2, column 29: a quoted text"},
        {line_of("2026-03-02,WREN-3,left,B,R4,\"a\"b,KL-1\n"), "line 2, column 32: after the closing"},
        {line_of("2026-03-02,WREN-3,left,B,R4,a\"b\",KL-1\n"), "line 2, column 30: a quote"},
        {line_of(good + "2026-03-02,WREN-3,le"), "line 3"},
        {line_of("2026-03-02,WREN-3,left,B,R4,\xff,KL-1\n"), "line 2, column 29: the cause"},
        {line_of(std::string("2026-03-02,WREN-3,left,B,R4,\0,KL-1\n", 35)), "line 2, column 29: the cause"},
        {line_of("\n"), "line 2, column 1"}};
    const tests::TemporaryFolder folder;
    for (const Wrong& one : wrong) {
        const auto read = read_remakes(one.text, "log.csv", {});
        INFO(one.text);
        REQUIRE(!read);
        INFO(read.fault().message);
        CHECK(read.fault().kind == FaultKind::input);
        CHECK(read.fault().message.find(one.told) != std::string::npos);
        const auto path = folder.path() / "log.csv";
        std::ofstream(path, std::ios::binary) << one.text;
        CHECK(!add_remake(path, remake_of("x"), {}));
        CHECK(tests::content(path) == one.text);
    }
    // any bytes at all: read or refused
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(20'000, 1'500, "bytes as a remake log");
    for (int n = 0; n < count; ++n) {
        std::string text = line_of(good + good);
        for (std::size_t k = random() % 8; k > 0; --k) {
            const std::size_t at = random() % text.size();
            const char with = "\",\n\r\0;x\xc3\xef"[random() % 9];
            if (random() % 3 == 0)
                text.erase(at, 1 + random() % 10);
            else
                text.insert(at, 1, with);
            if (text.empty()) text = ",";
        }
        const auto read = read_remakes(text, "log.csv", {});
        if (!read) CHECK(read.fault().message.find("line ") != std::string::npos);
    }
    CHECK(!read_remake_log(folder.path() / "none.csv", {}));
    CHECK(!read_remake_log(folder.path(), {}));
    CHECK(!add_remake(folder.path(), remake_of("x"), {}));
}

TEST_CASE("remakes: a laboratory's own codes") {
    const auto codes =
        read_remake_codes("code,words\nEDGE,edge sharp\nR5,\"stiff, says the wearer\"\n", "codes.csv");
    if (!codes) FAIL(codes.fault().message);
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "remakes.csv";
    REQUIRE(add_remake(path, remake_of("x", "EDGE"), *codes).ok());
    REQUIRE(add_remake(path, remake_of("x", "R5"), *codes).ok());
    CHECK(!read_remake_log(path, {}));
    const auto rows = pareto(*read_remake_log(path, *codes), *codes);
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].code == "EDGE");  // of equals by code
    CHECK(rows[0].words == "edge sharp");
    CHECK(rows[1].words == "stiff, says the wearer");
    CHECK(read_remake_codes("code,words\nA,b\nA,c\n", "c").fault().message.find("line 3, column 1") !=
          std::string::npos);
    CHECK(!read_remake_codes("code,words\nA b,c\n", "c"));
    CHECK(!read_remake_codes("code,words\nA\n", "c"));
    CHECK(!read_remake_codes("", "c"));
}

TEST_CASE("remakes: the Pareto's numbers add up, in one order, whatever order the log is in") {
    std::mt19937_64 random(tests::seed());
    const int count = tests::cases(3'000, 300, "logs and their Pareto");
    for (int n = 0; n < count; ++n) {
        std::vector<Remake> log;
        const std::size_t size = random() % 60;
        for (std::size_t k = 0; k < size; ++k)
            log.push_back(remake_of("x", "R" + std::to_string(random() % (1 + random() % 10))));
        const auto rows = pareto(log, {});
        std::size_t total = 0, tenths = 0;
        for (std::size_t k = 0; k < rows.size(); ++k) {
            total += rows[k].count;
            tenths += static_cast<std::size_t>(std::lround(10.0 * rows[k].percent));
            CHECK(std::lround(10.0 * rows[k].so_far) == static_cast<long>(tenths));
            // no share is off by more than the tenth it is told to
            CHECK(std::abs(rows[k].percent - 100.0 * static_cast<double>(rows[k].count) /
                                                 static_cast<double>(log.size())) < 0.1 + 1e-9);
            if (k == 0) continue;
            CHECK((rows[k - 1].count > rows[k].count ||
                   (rows[k - 1].count == rows[k].count && rows[k - 1].code < rows[k].code)));
        }
        CHECK(total == log.size());
        CHECK(tenths == (log.empty() ? 0U : 1000U));
        std::shuffle(log.begin(), log.end(), random);
        CHECK(pareto_lines(pareto(log, {})) == pareto_lines(rows));
        if (n > 3) continue;
        const auto svg = pareto_svg(rows, "Remakes");
        REQUIRE(svg.ok());
        CHECK(*pareto_svg(pareto(log, {}), "Remakes") == *svg);
        const auto image = pareto_image(rows, "Remakes");
        REQUIRE(image.ok());
        CHECK(image->width == 1440);
    }
}
