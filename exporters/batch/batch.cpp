#include "exporters/batch/batch.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>
#include <thread>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/version.hpp"
#include "engine/design/job_file.hpp"
#include "exporters/batch/child.hpp"
#include "exporters/batch/file_lock.hpp"

namespace archwright::exporters::batch {

namespace fs = std::filesystem;

namespace {

std::string first_line(std::string text) {
    if (const std::size_t end = text.find('\n'); end != std::string::npos) text.resize(end);
    return text;
}

Outcome<std::string> hash_of(const fs::path& path) {
    const auto file = FileBytes::read(path);
    if (!file) return file.fault();
    return sha256(file->bytes());
}

std::string text_of(const fs::path& path) {
    constexpr std::size_t most = 16U << 20U;
    const auto file = FileBytes::read(path, most);
    return file ? std::string(file->text()) : std::string();
}

// A relative path that begins with "-" would be taken for an option.
std::string as_word(const fs::path& path) {
    return path.is_absolute() ? path.string() : (fs::path(".") / path).string();
}

class Run {
  public:
    Run(const std::vector<ListedJob>& jobs, const BatchSetting& setting,
        const std::function<void(const BatchStep&)>& told)
        : jobs_(jobs), setting_(setting), told_(told), records_(jobs.size()), held_(jobs.size(), 0) {}

    Outcome<BatchResult> all() {
        std::error_code error;
        fs::create_directories(own(), error);
        if (error)
            return Fault{FaultKind::output,
                         "batch",
                         "Cannot make the folder " + own().string() + ": " + error.message() + ".",
                         {}};
        find_rivals();
        // a second pass takes what others had locked and left when they ended
        for (int pass = 0; pass < 2 && !setting_.cancelled(); ++pass) {
            next_.store(0);
            std::vector<std::thread> workers;
            for (int k = 0; k < setting_.workers; ++k) workers.emplace_back([this] { work(); });
            for (std::thread& worker : workers) worker.join();
        }
        BatchResult result;
        result.fresh = fresh_;
        result.cancelled = setting_.cancelled();
        result.old_failures = old_failures_;
        for (std::size_t i = 0; i < jobs_.size(); ++i) {
            // what another process holds is its own to tell of: the record there is of an earlier run
            if (!records_[i] && held_[i] == 0 && rivals_.count(i) == 0)
                if (const auto from = made_from(jobs_[i])) records_[i] = settled(jobs_[i], *from);
            if (records_[i]) {
                if (!records_[i]->made()) ++result.failed;
                result.records.push_back(*records_[i]);
            } else {
                result.open.push_back({jobs_[i].name, held_[i] != 0});
            }
        }
        return result;
    }

  private:
    fs::path own() const { return setting_.folder / ".batch"; }

    // Two jobs of one case, side and revision would write the same device: the first in the list has it.
    void find_rivals() {
        std::map<std::string, std::size_t> owners;
        for (std::size_t i = 0; i < jobs_.size(); ++i) {
            const auto job = design::read_job(jobs_[i].path, {.allow_outside = true, .limits = {}});
            if (!job) continue;  // it will fail and say why
            for (const Side side : {Side::left, Side::right}) {
                if (!job->foot(side)) continue;
                const std::string device = job->case_code + " " + word(side) + " revision " + job->revision();
                const auto [owner, first] = owners.emplace(device, i);
                if (!first && owner->second != i)
                    rivals_[i] = jobs_[owner->second].name + " of this list is " + device +
                                 " too, and both would write the same files: give one of them another case "
                                 "code or revision.";
            }
        }
    }

    // What a job is made from: its bytes, its casts', its insole's and the words. A file that cannot be read
    // counts as none; the job then fails by itself.
    Outcome<std::string> made_from(const ListedJob& listed) const {
        const auto own_hash = hash_of(listed.path);
        if (!own_hash) return own_hash;
        std::string all = *own_hash + " " + setting_.materials;
        for (const std::string& more : setting_.more_words) all += " " + more;
        if (const auto job = design::read_job(listed.path, {.allow_outside = true, .limits = {}})) {
            const auto add = [&](const std::string& named) {
                std::string part = "none";
                if (const auto file = design::resolve(listed.path, named, true))
                    if (const auto hash = hash_of(*file)) part = *hash;
                all += " " + part;
            };
            for (const Side side : {Side::left, Side::right})
                if (job->foot(side)) add(job->foot(side)->cast.path);
            if (!job->order.insole_outline.empty()) add(job->order.insole_outline);
        }
        return sha256(all);
    }

    // The record that stands for this job as it is now, if its work need not be done again.
    std::optional<Record> settled(const ListedJob& job, const std::string& from) const {
        auto record = read_record(own() / (job.name + ".record"));
        if (!record || record->made_from != from || record->version != version) return std::nullopt;
        if (!record->made()) {
            // files of another design stood in the way
            constexpr int could_not_write = 6;
            const bool again = setting_.retry || (setting_.replace && record->exit_code == could_not_write);
            return again ? std::nullopt : record;
        }
        if (record->files.empty() || (record->verdict != "pass" && record->verdict != "look"))
            return std::nullopt;  // no record of ours
        for (const auto& [name, wanted] : record->files) {
            if (name.find('/') != std::string::npos) return std::nullopt;
            const auto there = hash_of(setting_.folder / name);
            if (!there || *there != wanted) return std::nullopt;
        }
        return record;
    }

    void work() {
        while (!setting_.cancelled()) {
            const std::size_t i = next_.fetch_add(1);
            if (i >= jobs_.size()) return;
            {
                const std::lock_guard guard(mutex_);
                if (records_[i]) continue;
            }
            one(i);
        }
    }

    void one(std::size_t i) {
        const ListedJob& job = jobs_[i];
        auto lock = FileLock::take(own() / (job.name + ".lock"));
        held_[i] = lock && !lock->has_value();
        if (held_[i]) return;
        Record record;
        bool fresh = false;
        if (!lock) {
            record.outcome = "failed";
            record.exit_code = 6;
            record.message = lock.fault().message;
        } else if (const auto rival = rivals_.find(i); rival != rivals_.end()) {
            record.outcome = "failed";
            record.exit_code = 2;
            record.message = rival->second;
        } else if (const auto from = made_from(job); !from) {
            record.outcome = "failed";
            record.exit_code = 3;
            record.message = from.fault().message;
        } else if (const auto before = settled(job, *from)) {
            record = *before;
        } else {
            fresh = true;
            record = make(job);
            if (setting_.cancelled()) return;  // it was interrupted: no record, so that it is done again
            record.made_from = *from;
        }
        record.name = job.name;
        record.version = version;
        if (fresh)
            if (const auto done = write_record(record, own() / (job.name + ".record")); !done) {
                record.message = "It " + std::string(record.made() ? "was made" : "failed") +
                                 ", but no record of that could be kept. " + done.fault().message;
                record.outcome = "failed";
                record.exit_code = 6;
            }
        tell(i, std::move(record), fresh);
    }

    Record make(const ListedJob& job) const {
        const int cores = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
        std::vector<std::string> words{setting_.program,
                                       "--json",
                                       "--quiet",
                                       "--threads",
                                       std::to_string(std::max(1, cores / setting_.workers)),
                                       "make",
                                       as_word(job.path),
                                       "-o",
                                       as_word(setting_.folder)};
        words.insert(words.end(), setting_.more_words.begin(), setting_.more_words.end());
        if (setting_.replace) words.push_back("--replace");
        const fs::path out = own() / (job.name + ".out"), log = own() / (job.name + ".log");
        const auto end = run_child(words, out, log, {setting_.time_limit_seconds, setting_.memory_limit_mb},
                                   setting_.cancelled);
        Record record;
        if (!end) {
            record.outcome = "failed";
            record.message = end.fault().message;
            return record;
        }
        record.exit_code = end->exit_code;
        record.seconds = end->seconds;
        record.peak_mb = end->peak_mb;
        const auto told = nlohmann::json::parse(text_of(out), nullptr, false);
        if (end->timed_out) {
            record.outcome = "timed out";
            record.message = "It took longer than the time limit.";
        } else if (end->signal != 0) {
            record.outcome = "crashed";
            record.message = "It was ended by signal " + std::to_string(end->signal) + ".";
        } else if (end->exit_code == 0 && told.is_object() && told.contains("devices")) {
            record.outcome = "made";
            record.verdict = "pass";
            for (const auto& device : told["devices"]) {
                if (device.value("verdict", "") == "look") record.verdict = "look";
                for (const auto& look : device.value("look_at", nlohmann::json::array()))
                    record.message += (record.message.empty() ? "" : ", ") + look.get<std::string>();
                for (const auto& file : device["files"])  // hashed by make, when it read them back
                    record.files[fs::path(file.value("path", "")).filename().string()] =
                        file.value("sha256", "");
            }
        } else {
            record.outcome = "failed";
            record.message = told.is_object() ? told.value("message", "") : first_line(text_of(log));
            if (record.message.empty())
                record.message = "It ended with exit code " + std::to_string(end->exit_code) +
                                 " and without a word: was the program, or the folder, taken away?";
            if (!told.is_object() && setting_.memory_limit_mb > 0)
                record.message +=
                    " (--memory-limit " + std::to_string(setting_.memory_limit_mb) + " may be too little.)";
        }
        std::error_code ignored;
        fs::remove(out, ignored);
        if (record.made()) fs::remove(log, ignored);
        return record;
    }

    void tell(std::size_t i, Record record, bool fresh) {
        const std::lock_guard guard(mutex_);
        ++done_;
        if (!record.made()) ++failed_;
        if (fresh) ++fresh_;
        BatchStep step;
        step.done = done_;
        step.all = jobs_.size();
        step.failed = failed_;
        const double elapsed =
            std::chrono::duration<double>(std::chrono::steady_clock::now() - begin_).count();
        if (fresh_ > 0)
            step.seconds_left =
                elapsed / static_cast<double>(fresh_) * static_cast<double>(step.all - step.done);
        step.passed_over = !fresh && !record.made_from.empty();
        if (step.passed_over && !record.made()) ++old_failures_;
        step.record = record;
        records_[i] = std::move(record);
        if (told_) told_(step);
    }

    const std::vector<ListedJob>& jobs_;
    const BatchSetting& setting_;
    const std::function<void(const BatchStep&)>& told_;
    std::vector<std::optional<Record>> records_;
    std::map<std::size_t, std::string> rivals_;  ///< why a job is not made: another has its device
    std::vector<char> held_;                     ///< by another process when last asked
    std::atomic<std::size_t> next_{0};
    std::mutex mutex_;
    std::size_t done_ = 0, failed_ = 0, fresh_ = 0, old_failures_ = 0;
    std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
};

}  // namespace

Outcome<BatchResult> run_batch(const std::vector<ListedJob>& jobs, const BatchSetting& setting,
                               const std::function<void(const BatchStep&)>& told) {
    return Run(jobs, setting, told).all();
}

}  // namespace archwright::exporters::batch
