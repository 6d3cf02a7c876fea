// The house: folders are concepts, and dependencies point one way. Reads every include of our own.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

namespace fs = std::filesystem;

namespace {

// Lowest first. A folder may include itself and what stands before it; siblings of a row not each other.
const std::vector<std::vector<std::string>> rows = {
    {"engine/base"},
    {"engine/mesh", "engine/shoe", "engine/statistic"},
    {"engine/scan", "engine/mill", "engine/registration"},
    {"engine/foot"},
    {"engine/surface"},
    {"engine/feature", "engine/lettering", "engine/examine", "engine/mark"},
    {"engine/design"},
    {"engine/flex", "engine/solid", "engine/workshop"},
    {"engine/build"},
    {"engine/picture", "engine/pattern", "engine/compare", "engine/calibrate", "engine/ask", "engine/print",
     "engine/mould"},
    {"engine/study"},
    {"exporters"},
    {"exporters/batch", "exporters/nc", "exporters/comparing"},
    {"exporters/papers", "exporters/preview", "exporters/worklist"},
    {"exporters/command"},
    {"editor/model"},
    {"editor/view"},
    {"editor/ui"},
    {"editor/app"}};

// Outside the row: what makes casts uses the mesh alone; the demonstration adds a job to one; the documents'
// drawings show that job's foot by any of the engine's own code.
const std::string generator = "assets/generator";
const std::string demo = "assets/demo";
const std::string drawings = "assets/drawings";

int row_of(const std::string& folder) {
    for (std::size_t i = 0; i < rows.size(); ++i)
        if (std::count(rows[i].begin(), rows[i].end(), folder)) return static_cast<int>(i);
    return -1;
}

struct Include {
    std::string file, folder, target, target_folder;
    bool ours;
};

std::vector<Include> all_includes(const std::vector<std::string>& tops) {
    std::vector<Include> found;
    const fs::path root = ARCHWRIGHT_SOURCE_DIR;
    const std::regex line_form(R"(^\s*#\s*include\s*([<"])([^>"]+)[>"])");
    for (const std::string& top : tops) {
        if (!fs::exists(root / top)) continue;
        for (const auto& entry : fs::recursive_directory_iterator(root / top)) {
            const std::string extension = entry.path().extension().string();
            if (extension != ".hpp" && extension != ".cpp") continue;
            const fs::path relative = entry.path().lexically_relative(root);
            std::ifstream in(entry.path());
            std::string line;
            while (std::getline(in, line)) {
                std::smatch match;
                if (!std::regex_search(line, match, line_form)) continue;
                const std::string target = match[2];
                found.push_back({relative.string(), relative.parent_path().string(), target,
                                 fs::path(target).parent_path().string(), match[1] == "\""});
            }
        }
    }
    return found;
}

}  // namespace

TEST_CASE("dependencies point one way") {
    const auto includes = all_includes({"engine", "exporters", "editor", "assets"});
    REQUIRE(includes.size() > 100);  // the reader of includes works
    for (const Include& include : includes) {
        if (!include.ours) continue;
        INFO(include.file << " includes " << include.target);
        if (include.folder == generator) {
            const int row = row_of(include.target_folder);
            CHECK((include.target_folder == generator || (row >= 0 && row <= row_of("engine/mesh"))));
            continue;
        }
        if (include.folder == demo) {
            const int row = row_of(include.target_folder);
            CHECK((include.target_folder == demo || include.target_folder == generator ||
                   (row >= 0 && row <= row_of("engine/design"))));
            continue;
        }
        if (include.folder == drawings) {
            const int row = row_of(include.target_folder);
            CHECK((include.target_folder == drawings || include.target_folder == demo ||
                   include.target_folder == generator || (row >= 0 && row <= row_of("engine/picture"))));
            continue;
        }
        if (include.folder == "engine/shoe") {  // an outline knows nothing of meshes, feet or jobs
            CHECK((include.target_folder == "engine/shoe" || include.target_folder == "engine/base"));
            continue;
        }
        const int from = row_of(include.folder), to = row_of(include.target_folder);
        REQUIRE(from >= 0);  // every folder has its place in the house
        REQUIRE(to >= 0);    // ... and so has what it includes; nothing includes tests or the generator
        CHECK((to < from || include.folder == include.target_folder));
    }
}

TEST_CASE("the exact kernel stays behind its wall") {
    // The only place that may include OpenCASCADE is engine/solid.
    std::set<std::string> kernel;
    for (const fs::path folder : {"/usr/include/opencascade"})
        for (const auto& entry : fs::directory_iterator(folder))
            kernel.insert(entry.path().filename().string());
    REQUIRE(kernel.size() > 1000);
    for (const Include& include : all_includes({"engine", "exporters", "editor", "assets"})) {
        if (include.ours || !kernel.count(include.target)) continue;
        INFO(include.file << " includes " << include.target);
        CHECK(include.folder == "engine/solid");
    }
}

TEST_CASE("the sparse factor stays behind its wall") {
    const std::regex factor(R"(^(cholmod.*|suitesparse/.*|Eigen/(Cholmod|SPQR|UmfPack)Support)$)");
    int found = 0;
    for (const Include& include : all_includes({"engine", "exporters", "editor", "assets"})) {
        if (!std::regex_match(include.target, factor)) continue;
        INFO(include.file << " includes " << include.target);
        CHECK(include.folder == "engine/flex");
        ++found;
    }
    CHECK(found > 0);
}

TEST_CASE("the screen stays out of engine, exporters and the editor's model") {
    const std::regex screen(R"(^(imgui.*|GLFW/.*|GL/.*|EGL/.*)$)");
    for (const Include& include : all_includes({"engine", "exporters", "editor/model"}))
        if (std::regex_match(include.target, screen))
            FAIL_CHECK(include.file << " includes " << include.target);
}

TEST_CASE("the root holds what is agreed") {
    const std::set<std::string> agreed = {"CMakeLists.txt",
                                          "README.md",
                                          "DEVELOPERS.md",
                                          "engine",
                                          "editor",
                                          "exporters",
                                          "tests",
                                          "assets",
                                          "docs",
                                          "LICENSE",
                                          "CMakePresets.json",
                                          "build",
                                          "out"};
    for (const auto& entry : fs::directory_iterator(ARCHWRIGHT_SOURCE_DIR)) {
        const std::string name = entry.path().filename().string();
        INFO(name);
        CHECK((name.front() == '.' || agreed.count(name) == 1));
    }
}
