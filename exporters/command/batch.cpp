#include "exporters/batch/batch.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/design/material.hpp"
#include "exporters/batch/child.hpp"
#include "exporters/command/options.hpp"

namespace archwright::exporters::command {

namespace {

std::string time_left(double seconds) {
    if (seconds <= 0.0) return "";
    if (seconds < 90.0) return ", about " + rounded(seconds, 0) + " s left";
    if (seconds < 5400.0) return ", about " + rounded(seconds / 60.0, 0) + " min left";
    return ", about " + rounded(seconds / 3600.0, 1) + " h left";
}

// Of every material's file: a device is not the same when its material is not.
std::string materials_hash() {
    std::set<std::filesystem::path> files;
    std::error_code error;
    for (std::filesystem::directory_iterator it(design::assets_folder() / "materials", error), end;
         !error && it != end; it.increment(error))
        files.insert(it->path());
    std::string all;
    for (const auto& path : files)
        if (const auto file = FileBytes::read(path)) all += path.filename().string() + sha256(file->bytes());
    return sha256(all);
}

}  // namespace

int run_batch(Console& console, const BatchOptions& options) {
    const auto list = batch::list_jobs(options.jobs);
    if (!list) return static_cast<int>(console.fail(list.fault()));
    const std::vector<batch::ListedJob>& jobs = list->jobs;
    batch::BatchSetting setting;
    setting.folder = options.folder;
    setting.workers = options.workers;
    setting.time_limit_seconds = options.time_limit_seconds;
    setting.memory_limit_mb = options.memory_limit_mb;
    setting.retry = options.retry;
    setting.replace = options.replace;
    setting.program = batch::this_program();
    setting.more_words = options.make_words;
    setting.materials = materials_hash();
    setting.cancelled = [&console] { return console.progress().cancelled(); };
    console.progress().report(std::to_string(jobs.size()) + (jobs.size() == 1 ? " job, " : " jobs, ") +
                                  std::to_string(setting.workers) + " at once",
                              0.0);
    const auto result = batch::run_batch(jobs, setting, [&](const batch::BatchStep& step) {
        console.progress().report(std::to_string(step.done) + " of " + std::to_string(step.all) + ", " +
                                      std::to_string(step.failed) + " failed" + time_left(step.seconds_left) +
                                      " (" + step.record.name + " " +
                                      (step.passed_over ? "passed over: " : "") + step.record.outcome + ")",
                                  static_cast<double>(step.done) / static_cast<double>(step.all));
    });
    if (!result) return static_cast<int>(console.fail(result.fault()));
    const auto csv = options.folder / "batch.csv";
    const auto kept = write_file(csv, batch::summary_csv(*result));
    if (console.json()) {
        console.print_json(nlohmann::ordered_json{{"ok", result->failed == 0 && result->open.empty()},
                                                  {"listed", jobs.size()},
                                                  {"made", result->records.size() - result->failed},
                                                  {"failed", result->failed},
                                                  {"in_this_run", result->fresh},
                                                  {"elsewhere", result->elsewhere()},
                                                  {"not_taken", list->not_taken},
                                                  {"table", kept ? csv.string() : ""},
                                                  {"table_fault", kept ? "" : kept.fault().message}});
    } else {
        std::string not_taken;
        for (const std::string& name : list->not_taken) not_taken += (not_taken.empty() ? "" : ", ") + name;
        if (!not_taken.empty())
            not_taken =
                "Not taken as jobs (links, or want of \"format\": \"archwright job\"): " + not_taken + ".\n";
        console.say(batch::summary_table(*result, jobs.size()) + not_taken +
                    (kept ? "The same as CSV: " + csv.string() : std::string()));
        if (!kept) console.fail(kept.fault());
    }
    if (result->cancelled) return static_cast<int>(Exit::cancelled);
    constexpr std::size_t most_told = 20;
    if (result->failed > 0) return 100 + static_cast<int>(std::min(result->failed, most_told));
    if (!result->open.empty()) return static_cast<int>(Exit::elsewhere);
    return static_cast<int>(kept ? Exit::done : Exit::output);
}

}  // namespace archwright::exporters::command
