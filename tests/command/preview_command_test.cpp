// The preview by the command line: written, answered, refused where it should be.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using tests::put_case, tests::Run, tests::run;

TEST_CASE("preview and reply: one file, and an answer that fits it alone") {
    const tests::TemporaryFolder folder;
    put_case(folder.path(), "WREN-3");
    const Run told = run(folder.path(), {"--json", "preview", "case.json", "-o", "out"});
    INFO(told.error);
    REQUIRE(told.code == 0);
    const auto one = nlohmann::json::parse(told.out)["previews"][0];
    const std::filesystem::path file = folder.path() / "out" / one["file"].get<std::string>();
    CHECK(file.filename() == "WREN-3-left-A.preview.html");
    CHECK(std::filesystem::file_size(file) == one["bytes"]);
    CHECK(one["triangles"] <= 60000);
    CHECK(one["off_mm"] < 0.2);
    const std::string html = tests::content(file);
    const std::size_t at = html.find("Fingerprint of the design: <code>") + 33;
    const std::string fingerprint = html.substr(at, 64);
    CHECK(run(folder.path(), {"preview", "case.json", "-o", "out"}).code == 0);  // the same again

    // a wrong check is told and is not taken for an answer
    std::ofstream(folder.path() / "mail.txt")
        << "ARCHWRIGHT REPLY 1\ncase: WREN-3\nside: left\nrevision: A\n"
           "fingerprint: "
        << fingerprint << "\nanswer: accepted\nby: P-1\ncheck: 00000000\nEND OF REPLY\n";
    const Run changed = run(folder.path(), {"reply", "mail.txt", "case.json"});
    CHECK(changed.code == 5);
    CHECK(changed.out.find("changed on its way") != std::string::npos);
    CHECK(changed.out.find("archwright approve") == std::string::npos);
    const Run as_json = run(folder.path(), {"--json", "reply", "mail.txt", "case.json"});
    CHECK(nlohmann::json::parse(as_json.out)["fits"] == true);
    CHECK(nlohmann::json::parse(as_json.out)["whole"] == false);
    const Run none = run(folder.path(), {"reply", "case.json", "case.json"});
    CHECK(none.code == 3);
    CHECK(none.error.find("Copy the text under the preview") != std::string::npos);

    // another design: not over the preview that is there, unless it is said
    REQUIRE(run(folder.path(), {"set", "case.json", "wall.base_mm=3.4"}).code == 0);
    CHECK(run(folder.path(), {"preview", "case.json", "-o", "out"}).code == 6);
    CHECK(tests::content(file) == html);
    CHECK(run(folder.path(), {"preview", "case.json", "-o", "out", "--replace"}).code == 0);
    CHECK(tests::content(file) != html);
    CHECK(run(folder.path(), {"reply", "mail.txt", "case.json"}).out.find("changed since") !=
          std::string::npos);
}
