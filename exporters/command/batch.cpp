#include "exporters/batch/batch.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
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

}  // namespace

int run_batch(Console& console, const BatchOptions& options) {
    const auto jobs = batch::list_jobs(options.jobs);
    if (!jobs) return static_cast<int>(console.fail(jobs.fault()));
    batch::BatchSetting setting;
    setting.folder = options.folder;
    setting.workers = options.workers;
    setting.time_limit_seconds = options.time_limit_seconds;
    setting.memory_limit_mb = options.memory_limit_mb;
    setting.retry = options.retry;
    setting.program = batch::this_program();
    setting.more_words = options.make_words;
    setting.cancelled = [&console] { return console.progress().cancelled(); };
    const auto result = batch::run_batch(*jobs, setting, [&](const batch::BatchStep& step) {
        console.progress().report(std::to_string(step.done) + " of " + std::to_string(step.all) + ", " +
                                      std::to_string(step.failed) + " failed" + time_left(step.seconds_left) +
                                      " (" + step.record.name + " " + step.record.outcome + ")",
                                  static_cast<double>(step.done) / static_cast<double>(step.all));
    });
    if (!result) return static_cast<int>(console.fail(result.fault()));
    const auto csv = options.folder / "batch.csv";
    if (const auto done = write_file(csv, batch::summary_csv(*result)); !done)
        return static_cast<int>(console.fail(done.fault()));
    if (console.json()) {
        console.print(nlohmann::ordered_json{{"ok", result->failed == 0 && !result->cancelled},
                                             {"listed", jobs->size()},
                                             {"made", result->records.size() - result->failed},
                                             {"failed", result->failed},
                                             {"in_this_run", result->fresh},
                                             {"elsewhere", result->elsewhere.size()},
                                             {"table", csv.string()}}
                          .dump(2) +
                      "\n");
    } else {
        console.say(batch::summary_table(*result, jobs->size()) + "The same as CSV: " + csv.string());
    }
    if (result->cancelled) return static_cast<int>(Exit::cancelled);
    constexpr std::size_t most_told = 20;
    return result->failed == 0 ? 0 : 100 + static_cast<int>(std::min(result->failed, most_told));
}

}  // namespace archwright::exporters::command
