// The example case: made by the program that makes it, beside this one, then opened like any other.
#include <cstdlib>

#include "editor/model/session.hpp"
#include "engine/base/file.hpp"
#include "exporters/batch/child.hpp"

namespace archwright::editor::model {

namespace fs = std::filesystem;
using design::Command;

namespace {

constexpr std::size_t most_trouble_bytes = std::size_t{1} << 16;
constexpr double most_seconds = 300;  // on the slowest of machines; it takes some seconds
const char* const job_file = "lark-2207.json";

Fault trouble(FaultKind kind, const std::string& message) {
    return {kind, "example", message, {}};
}

Outcome<fs::path> folder_of_its_own() {
    std::error_code error;
    std::string name = (fs::temp_directory_path(error) / "archwright-example-XXXXXX").string();
    if (error || mkdtemp(name.data()) == nullptr)
        return trouble(FaultKind::output, "No folder for the example can be made. Name one: example FOLDER");
    return fs::path(name);
}

/// The job in the folder, made there when there is none.
Outcome<fs::path> make_example(const fs::path& program, const fs::path& folder, Progress& progress) {
    std::error_code error;
    if (fs::exists(folder / job_file, error)) return folder / job_file;
    fs::create_directories(folder, error);
    if (error)
        return trouble(FaultKind::output, folder.string() + " cannot be made: " + error.message() + ".");
    const fs::path out = folder / ".making", said = folder / ".making-said";
    exporters::batch::ChildLimits limits;
    limits.seconds = most_seconds;
    const auto ended = exporters::batch::run_child({program.string(), folder.string()}, out, said, limits,
                                                   [&] { return progress.cancelled(); });
    std::string words;
    if (const auto file = FileBytes::read(said, most_trouble_bytes)) words = file->text();
    fs::remove(out, error);
    fs::remove(said, error);
    if (!ended) return ended.fault();
    if (ended->cancelled) return trouble(FaultKind::cancelled, "Cancelled.");
    if (ended->exit_code != 0 || !fs::exists(folder / job_file, error))
        return trouble(FaultKind::output, "The example could not be made. " + program.string() +
                                              " said: " + (words.empty() ? "nothing" : words));
    return folder / job_file;
}

}  // namespace

Outcome<Reply> Session::run_example(const Command& command) {
    fs::path program = setup_.example_program;
    if (program.empty())
        program = fs::path(exporters::batch::this_program()).parent_path() / "archwright-demo";
    std::error_code error;
    if (!fs::exists(program, error))
        return trouble(FaultKind::usage, "The program that makes the example is not beside this one: " +
                                             program.string() + ". Build archwright-demo.");
    fs::path folder = command.value("folder");
    if (folder.empty() && !setup_.state_folder.empty()) folder = setup_.state_folder / "example";
    if (folder.empty()) {
        const auto made = folder_of_its_own();
        if (!made) return made.fault();
        folder = *made;
    }
    return run_behind("Making the example case", [=, this](Progress& progress) -> Background::Finish {
        auto job = make_example(program, folder, progress);
        return [=, this] {
            Command open{"open", {}};
            if (job) open.with("job", job->string());
            answer_ = job ? run_open(open) : Outcome<Reply>(job.fault());
        };
    });
}

}  // namespace archwright::editor::model
