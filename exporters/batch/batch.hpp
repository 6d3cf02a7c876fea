// Many jobs, one after another and some at once: each in a process of its own, so that none can stop the
// rest.
#pragma once

#include <algorithm>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "exporters/batch/job_list.hpp"
#include "exporters/batch/record.hpp"

namespace archwright::exporters::batch {

struct BatchSetting {
    std::filesystem::path folder;  ///< devices, and .batch with records, logs and locks
    int workers = 1;
    double time_limit_seconds = 600.0;
    std::size_t memory_limit_mb = 0;  ///< of each job's address space; 0: unbounded
    bool retry = false;               ///< try the failed ones again
    bool replace = false;             ///< pass --replace: devices of other designs are written over
    std::string program;    ///< what makes one job: PROGRAM --json --quiet --threads N make JOB -o DIR
    std::string materials;  ///< hash of what the program knows of them: part of what a job is made from
    std::vector<std::string> more_words;  ///< further words for `make`; part of what a job is made from
    std::function<bool()> cancelled = [] { return false; };
};

struct BatchStep {
    std::size_t done = 0, all = 0, failed = 0;
    double seconds_left = 0.0;  ///< by the mean of this run so far; 0 before the first
    bool passed_over = false;   ///< its record stood already
    Record record;              ///< the job just finished
};

struct BatchResult {
    std::vector<Record> records;   ///< in the list's order, of every job that has one
    std::size_t fresh = 0;         ///< made or failed in this run
    std::size_t failed = 0;        ///< of all records
    std::size_t old_failures = 0;  ///< of them those of an earlier run that were not tried again
    struct Open {
        std::string name;
        bool elsewhere;  ///< another process is at it; else nobody is: the run was interrupted
        const char* word() const { return elsewhere ? "with another process" : "not done"; }
    };
    std::vector<Open> open;  ///< jobs without a record
    std::size_t elsewhere() const {
        return static_cast<std::size_t>(
            std::count_if(open.begin(), open.end(), [](const Open& job) { return job.elsewhere; }));
    }
    bool cancelled = false;
};

/// Works through the list. A job whose record says it was made, from the same job, casts and words by the
/// same version, and whose files are there byte for byte, is passed over; so is one that failed, unless
/// `retry`. A job that would write the device of one before it in the list fails. A job that another process
/// has locked is left to it. A job whose lock or record cannot be written fails alone. Memory does not grow
/// with the list but for names and records. `told` is called after every job, from one thread at a time.
/// Fault (output) when the folder cannot be used.
Outcome<BatchResult> run_batch(const std::vector<ListedJob>& jobs, const BatchSetting& setting,
                               const std::function<void(const BatchStep&)>& told);

/// The table for people, and the same as CSV (RFC 4180, one header line).
std::string summary_table(const BatchResult& result, std::size_t listed);
std::string summary_csv(const BatchResult& result);

}  // namespace archwright::exporters::batch
