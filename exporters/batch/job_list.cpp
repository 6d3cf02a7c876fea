#include "exporters/batch/job_list.hpp"

#include <algorithm>
#include <fstream>
#include <set>

namespace archwright::exporters::batch {

namespace fs = std::filesystem;

namespace {

Fault fault(const std::string& message, FaultKind kind = FaultKind::input) {
    return {kind, "batch", message, {}};
}

enum class Kind { job, ours_but_no_job, unknown };

/// A cheap look at the head of the file.
Kind kind_of(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::string head(400, '\0');
    in.read(head.data(), static_cast<std::streamsize>(head.size()));
    head.resize(static_cast<std::size_t>(in.gcount()));
    if (head.find_first_not_of(" \t\r\n") == std::string::npos ||
        head.find("\"archwright job\"") != std::string::npos)
        return Kind::job;
    return path.filename().string().ends_with(".report.json") ? Kind::ours_but_no_job : Kind::unknown;
}

std::string name_of(const fs::path& relative) {
    std::string name = relative.generic_string();
    std::replace(name.begin(), name.end(), '/', '+');
    return name;
}

Outcome<JobList> below(const fs::path& folder, std::size_t most) {
    JobList list;
    std::vector<ListedJob>& jobs = list.jobs;
    std::error_code error;
    fs::recursive_directory_iterator it(folder, fs::directory_options::skip_permission_denied, error), end;
    for (; !error && it != end; it.increment(error)) {
        const fs::path& path = it->path();
        if (it->is_directory(error)) {
            if (path.filename().string().starts_with(".")) it.disable_recursion_pending();
            continue;
        }
        if (path.extension() != ".json" || !it->is_regular_file(error)) continue;
        const Kind kind = kind_of(path);
        if (kind == Kind::unknown) list.not_taken.push_back(name_of(path.lexically_relative(folder)));
        if (kind != Kind::job) continue;
        jobs.push_back({path, name_of(path.lexically_relative(folder))});
        if (jobs.size() > most)
            return fault(folder.string() + " holds more than " + std::to_string(most) + " jobs.");
    }
    if (error) return fault("Cannot read the folder " + folder.string() + ": " + error.message() + ".");
    std::sort(jobs.begin(), jobs.end(),
              [](const ListedJob& a, const ListedJob& b) { return a.name < b.name; });
    std::sort(list.not_taken.begin(), list.not_taken.end());
    return list;
}

Outcome<JobList> named_in(const fs::path& list, std::size_t most) {
    std::ifstream in(list);
    if (!in) return fault("Cannot read the list " + list.string() + ".");
    constexpr std::size_t longest_line = 4096;
    std::vector<ListedJob> jobs;
    std::set<std::string> names;
    std::string absent;  // all of them: nobody wants to mend a list one line at a time
    std::string line;
    for (std::size_t number = 1; std::getline(in, line); ++number) {
        const std::string at = list.filename().string() + ", line " + std::to_string(number) + ": ";
        if (line.size() > longest_line || line.find('\0') != std::string::npos)
            return fault(at + "no line of a list of jobs.");
        if (const std::size_t comment = line.find('#'); comment != std::string::npos) line.resize(comment);
        const std::size_t from = line.find_first_not_of(" \t\r");
        if (from == std::string::npos) continue;
        line = line.substr(from, line.find_last_not_of(" \t\r") - from + 1);
        const fs::path path = fs::path(line).is_absolute() ? fs::path(line) : list.parent_path() / line;
        std::error_code error;
        if (!fs::is_regular_file(path, error)) {
            absent += (absent.empty() ? "" : "\n") + at + "there is no job " + line + ".";
            constexpr std::size_t longest_message = 2000;
            if (absent.size() > longest_message) return fault(absent + "\nand perhaps more.");
            continue;
        }
        ListedJob job{path, name_of(fs::path(line).lexically_normal().relative_path())};
        if (!names.insert(job.name).second) return fault(at + line + " is named twice.");
        jobs.push_back(std::move(job));
        if (jobs.size() > most) return fault(at + "more than " + std::to_string(most) + " jobs.");
    }
    if (!absent.empty()) return fault(absent);
    return JobList{std::move(jobs), {}};
}

}  // namespace

Outcome<JobList> list_jobs(const fs::path& folder_or_list, std::size_t most) {
    std::error_code error;
    const bool folder = fs::is_directory(folder_or_list, error);
    auto jobs = folder ? below(folder_or_list, most) : named_in(folder_or_list, most);
    if (!jobs) return jobs;
    if (jobs->jobs.empty())
        return fault(folder_or_list.string() + (folder ? " holds no job." : " names no job."));
    return jobs;
}

}  // namespace archwright::exporters::batch
