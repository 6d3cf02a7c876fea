// One file, several writers: nothing that was written is lost, and nobody reads half of it.
#include "engine/base/replace_file.hpp"

#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <fstream>
#include <random>
#include <set>
#include <sstream>
#include <thread>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
namespace fs = std::filesystem;

namespace {

std::string text_of(const fs::path& path) {
    const auto file = FileBytes::read(path);
    return file ? std::string(file->text()) : std::string();
}

std::size_t files_left_in(const fs::path& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

/// A text of lines with its own length in front: half of it would be seen.
std::string sealed(const std::string& lines) {
    return std::to_string(lines.size()) + "\n" + lines;
}
std::optional<std::string> opened(const std::string& text) {
    const std::size_t end = text.find('\n');
    if (end == std::string::npos || std::to_string(text.size() - end - 1) != text.substr(0, end))
        return std::nullopt;
    return text.substr(end + 1);
}

/// Adds lines of its own to files it finds in the folder until it has added as many as asked; exit code 0, or
/// what went wrong.
int add_lines(const fs::path& folder, int writer, int count, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    for (int done = 0; done < count;) {
        const fs::path file = folder / ("job-" + std::to_string(random() % 3));
        const auto read = FileBytes::read(file);
        FileKnown known = FileKnown::absent();
        std::string lines;
        if (read) {
            const auto old = opened(std::string(read->text()));
            if (!old) return 2;  // half a file
            lines = *old;
            known.sha256 = sha256(read->bytes());
        } else if (fs::exists(file)) {
            return 3;
        }
        if (random() % 3 == 0) std::this_thread::sleep_for(std::chrono::microseconds(random() % 800));
        lines += std::to_string(writer) + "." + std::to_string(done) + "\n";
        const auto saved = replace_file(file, sealed(lines), known);
        if (saved)
            ++done;
        else if (saved.fault().message.find("was changed by another program") == std::string::npos &&
                 saved.fault().message.find("exists already") == std::string::npos)
            return 4;
    }
    return 0;
}

}  // namespace

TEST_CASE("a file is replaced only as it was known") {
    const tests::TemporaryFolder folder;
    const fs::path file = folder.path() / "a.json";
    REQUIRE(replace_file(file, "one", FileKnown::absent()).ok());
    CHECK(text_of(file) == "one");
    const auto again = replace_file(file, "two", FileKnown::absent());
    REQUIRE_FALSE(again.ok());
    CHECK(again.fault().message.find("exists already") != std::string::npos);
    const FileKnown one{sha256(std::string("one"))}, other{sha256(std::string("other"))};
    const auto changed = replace_file(file, "two", other);
    REQUIRE_FALSE(changed.ok());
    CHECK(changed.fault().kind == FaultKind::output);
    CHECK(changed.fault().message.find("was changed by another program") != std::string::npos);
    CHECK(text_of(file) == "one");
    REQUIRE(replace_file(file, "two", one).ok());
    CHECK(text_of(file) == "two");
    REQUIRE(replace_file(file, "three", FileKnown::anything()).ok());
    fs::remove(file);
    const auto gone = replace_file(file, "four", one);
    REQUIRE_FALSE(gone.ok());
    CHECK(gone.fault().message.find("is gone") != std::string::npos);
    CHECK(files_left_in(folder.path()) == 0);  // nothing is left beside it
}

TEST_CASE("what stands in the way is told, never waited for") {
    const tests::TemporaryFolder folder;
    const fs::path pipe = folder.path() / "pipe.json", inside = folder.path() / "folder.json";
    REQUIRE(::mkfifo(pipe.c_str(), 0644) == 0);
    fs::create_directory(inside);
    for (const fs::path& path : {pipe, inside}) {
        CHECK_FALSE(replace_file(path, "x", FileKnown::absent()).ok());
        CHECK_FALSE(replace_file(path, "x", FileKnown{sha256(std::string("x"))}).ok());
    }
    CHECK_FALSE(replace_file(folder.path() / "none" / "a.json", "x", FileKnown::absent()).ok());
    CHECK(files_left_in(folder.path()) == 2);
}

TEST_CASE("four processes add to the same files at random: every line is there once, no file is ever half") {
    const int rounds = tests::cases(20, 2, "rounds of four writers on three files");
    std::mt19937_64 random(tests::seed());
    for (int round = 0; round < rounds; ++round) {
        const tests::TemporaryFolder folder;
        constexpr int writers = 4, lines = 40;
        std::vector<pid_t> children;
        for (int w = 0; w < writers; ++w) {
            const std::uint64_t seed = random();
            const pid_t child = ::fork();
            if (child == 0) ::_exit(add_lines(folder.path(), w, lines, seed));
            children.push_back(child);
        }
        for (const pid_t child : children) {
            int status = -1;
            ::waitpid(child, &status, 0);
            CHECK(WIFEXITED(status));
            CHECK(WEXITSTATUS(status) == 0);
        }
        std::multiset<std::string> found;
        for (const auto& entry : fs::directory_iterator(folder.path())) {
            CHECK(entry.path().filename().string().starts_with("job-"));  // nothing else is left
            const auto content = opened(text_of(entry.path()));
            REQUIRE(content.has_value());
            std::istringstream in(*content);
            for (std::string line; std::getline(in, line);) found.insert(line);
        }
        CHECK(found.size() == writers * lines);
        for (int w = 0; w < writers; ++w)
            for (int k = 0; k < lines; ++k)
                CHECK(found.count(std::to_string(w) + "." + std::to_string(k)) == 1);
    }
}
