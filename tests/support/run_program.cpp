#include "tests/support/run_program.hpp"

#include <fcntl.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <sstream>

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"

namespace archwright::tests {

namespace fs = std::filesystem;

std::string program_path() {
    return std::string(ARCHWRIGHT_BINARY_DIR) + "/archwright";
}

std::string shell(const std::string& command) {
    std::string said;
    FILE* pipe = ::popen(command.c_str(), "r");
    REQUIRE(pipe != nullptr);
    char part[4096];
    while (const std::size_t n = std::fread(part, 1, sizeof part, pipe)) said.append(part, n);
    ::pclose(pipe);
    return said;
}

std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

pid_t start(const fs::path& folder, const std::vector<std::string>& words,
            const std::vector<std::string>& settings) {
    const std::string program = program_path();
    const pid_t child = fork();
    if (child != 0) return child;
    if (chdir(folder.c_str()) != 0) _exit(99);
    const int out = open("stdout.txt", O_WRONLY | O_CREAT | O_TRUNC, 0644);
    const int error = open("stderr.txt", O_WRONLY | O_CREAT | O_TRUNC, 0644);
    const int nothing = open("/dev/null", O_RDONLY);
    dup2(nothing, 0);
    dup2(out, 1);
    dup2(error, 2);
    for (const std::string& setting : settings) putenv(strdup(setting.c_str()));
    std::vector<char*> argv{const_cast<char*>(program.c_str())};
    for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    execv(program.c_str(), argv.data());
    _exit(98);
}

Run run(const fs::path& folder, const std::vector<std::string>& words,
        const std::vector<std::string>& settings) {
    const pid_t child = start(folder, words, settings);
    int status = 0;
    waitpid(child, &status, 0);
    Run result;
    result.code = WIFEXITED(status) ? WEXITSTATUS(status) : 256 + WTERMSIG(status);
    result.out = content(folder / "stdout.txt");
    result.error = content(folder / "stderr.txt");
    fs::remove(folder / "stdout.txt");
    fs::remove(folder / "stderr.txt");
    return result;
}

void put_cast(const fs::path& path) {
    generator::FootShape shape;
    shape.side = Side::left;
    const auto foot = generator::Foot::make(shape);
    REQUIRE(foot.ok());
    generator::CastSpec spec;
    spec.kind = generator::CastSpec::Kind::plaster_negative;
    spec.unit = LengthUnit::inch;
    spec.triangles = 60'000;
    spec.rotation << 0, 0, 1, 1, 0, 0, 0, 1, 0;
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    REQUIRE(generator::write_cast(path, cast->mesh, generator::CastFormat::ply_binary, "test").ok());
}

void put_case(const fs::path& folder, const std::string& code) {
    put_cast(folder / "cast.ply");
    REQUIRE(run(folder, {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--case",
                         code, "--by", "T1"})
                .code == 0);
}

void check_refused(const fs::path& folder, const std::string& command, const std::vector<std::string>& more,
                   int code, const std::string& say) {
    std::vector<std::string> words{command, "case.json", "-o", "out"};
    words.insert(words.end(), more.begin(), more.end());
    const Run told = run(folder, words);
    INFO(told.error);
    CHECK(told.code == code);
    CHECK(told.error.find(say) != std::string::npos);
    CHECK_FALSE(fs::exists(folder / "out"));
}

}  // namespace archwright::tests
