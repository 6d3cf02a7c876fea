#include "engine/base/file.hpp"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>
#include <sstream>
#include <thread>

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
    CHECK_FALSE(FileBytes::read(folder.path()).ok());
    CHECK_FALSE(FileBytes::read(folder.path() / "absent").ok());
    REQUIRE(write_file(folder.path() / "empty", std::string()).ok());
    const auto empty = FileBytes::read(folder.path() / "empty");
    REQUIRE(empty.ok());
    CHECK(empty->bytes().empty());
}

TEST_CASE("a file that is larger than allowed, or changes while it is read, is not read") {
    const tests::TemporaryFolder folder;
    const auto path = folder.path() / "cast.stl";
    REQUIRE(write_file(path, std::string(1000, 'x')).ok());
    const auto large = FileBytes::read(path, 999);
    REQUIRE_FALSE(large.ok());
    CHECK(large.fault().message.find("1000 bytes") != std::string::npos);

    // cut short and made long again by another thread, over and over: whole, or refused
    std::atomic<bool> enough{false};
    const std::size_t size = std::size_t{8} << 20U;
    std::filesystem::resize_file(path, size);
    std::thread other([&] {
        while (!enough) {
            std::filesystem::resize_file(path, size / 3);
            std::filesystem::resize_file(path, size);
        }
    });
    int refused = 0;
    for (int i = 0; i < 200; ++i) {
        const auto file = FileBytes::read(path);
        if (file.ok()) {
            CHECK((file->bytes().size() == size || file->bytes().size() == size / 3));
        } else {
            CHECK(file.fault().message.find("changed") != std::string::npos);
            ++refused;
        }
    }
    enough = true;
    other.join();
    INFO("refused " << refused << " of 200");
    CHECK(refused > 0);
}

TEST_CASE("what killed processes left is removed when nobody has touched it for an hour") {
    const tests::TemporaryFolder folder;
    const auto old = folder.path() / ".job.json.AbCdEf.part", young = folder.path() / ".job.json.GhIjKl.part",
               other = folder.path() / ".jobs.json.MnOpQr.part";
    for (const auto& path : {old, young, other}) REQUIRE(write_file(path, std::string("x")).ok());
    const auto before = std::filesystem::file_time_type::clock::now() - std::chrono::hours(2);
    std::filesystem::last_write_time(old, before);
    std::filesystem::last_write_time(other, before);
    REQUIRE(write_file(folder.path() / "job.json", std::string("new")).ok());
    CHECK_FALSE(std::filesystem::exists(old));
    CHECK(std::filesystem::exists(young));
    CHECK(std::filesystem::exists(other));
}

TEST_CASE("SHA-256 of the published examples") {
    // FIPS 180-4 example messages (NIST, Secure Hash Standard examples)
    CHECK(sha256(std::string("abc")) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(sha256(std::string()) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}
