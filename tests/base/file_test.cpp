#include "engine/base/file.hpp"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>
#include <sstream>

#include "engine/base/hash.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
namespace fs = std::filesystem;

namespace {

std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

std::size_t entries(const fs::path& folder) {
    std::size_t count = 0;
    for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder)) ++count;
    return count;
}

}  // namespace

TEST_CASE("a file is replaced whole") {
    const tests::TemporaryFolder folder;
    const fs::path target = folder.path() / "device.txt";
    REQUIRE(write_file(target, std::string("first")).ok());
    REQUIRE(write_file(target, std::string("second")).ok());
    CHECK(content(target) == "second");
    CHECK(entries(folder.path()) == 1);
}

TEST_CASE("a failed verification keeps what was there and leaves nothing behind") {
    const tests::TemporaryFolder folder;
    const fs::path target = folder.path() / "device.txt";
    REQUIRE(write_file(target, std::string("first")).ok());
    const auto refuse = [](const fs::path&) -> Outcome<Done> {
        return Fault{FaultKind::output, "t", "no", {}};
    };
    const auto outcome = write_file(target, std::string("second"), refuse);
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.fault().message == "no");
    CHECK(content(target) == "first");
    CHECK(entries(folder.path()) == 1);
}

TEST_CASE("a full disk keeps what was there") {
    const tests::TemporaryFolder folder;
    const fs::path target = folder.path() / "device.txt";
    REQUIRE(write_file(target, std::string("first")).ok());
    // in a child: the limit stands for a full disk (write fails with EFBIG once the signal is ignored)
    const pid_t child = fork();
    if (child == 0) {
        std::signal(SIGXFSZ, SIG_IGN);
        const rlimit limit{1000, 1000};
        setrlimit(RLIMIT_FSIZE, &limit);
        const auto outcome = write_file(target, std::string(100'000, 'x'));
        _exit(outcome.ok() ? 1 : 0);
    }
    int status = 0;
    waitpid(child, &status, 0);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    CHECK(content(target) == "first");
    CHECK(entries(folder.path()) == 1);
}

TEST_CASE("a folder that is not there is named") {
    const tests::TemporaryFolder folder;
    const auto outcome = write_file(folder.path() / "absent" / "device.stl", std::string("x"));
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.fault().kind == FaultKind::output);
    CHECK(outcome.fault().message.find("device.stl") != std::string::npos);
}

TEST_CASE("folders, pipes and absent files are not read") {
    const tests::TemporaryFolder folder;
    CHECK_FALSE(MappedFile::open(folder.path()).ok());
    CHECK_FALSE(MappedFile::open(folder.path() / "absent").ok());
    REQUIRE(write_file(folder.path() / "empty", std::string()).ok());
    const auto empty = MappedFile::open(folder.path() / "empty");
    REQUIRE(empty.ok());
    CHECK((*empty)->bytes().empty());
}

TEST_CASE("SHA-256 of the published examples") {
    // FIPS 180-4 example messages (NIST, Secure Hash Standard examples)
    CHECK(sha256(std::string("abc")) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256(std::string()) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}
