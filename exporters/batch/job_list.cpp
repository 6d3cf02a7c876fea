#include "exporters/batch/job_list.hpp"

#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <set>
#include <sstream>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"

namespace archwright::exporters::batch {

namespace fs = std::filesystem;

namespace {

Fault fault(const std::string& message) {
    return {FaultKind::input, "batch", message, {}};
}

enum class Kind { job, ours_but_no_job, unknown };

/// A cheap look at the head of the file. What cannot be read is taken for a job: it will fail and say why.
Kind kind_of(const fs::path& path) {
    std::error_code error;
    if (!fs::is_regular_file(path, error)) return Kind::job;  // a pipe would be waited for, for ever
    std::ifstream in(path, std::ios::binary);
    if (!in) return Kind::job;
    std::string head(400, '\0');
    in.read(head.data(), static_cast<std::streamsize>(head.size()));
    head.resize(static_cast<std::size_t>(in.gcount()));
    if (head.find_first_not_of(" \t\r\n") == std::string::npos ||
        head.find("\"archwright job\"") != std::string::npos)
        return Kind::job;
    const std::string name = path.filename().string();
    return name.ends_with(".report.json") || name.ends_with(".record.json") ? Kind::ours_but_no_job
                                                                            : Kind::unknown;
}

/// '/' as '+'; what would make two names one, or break a line of the table, as %XX (RFC 3986); the tail of a
/// long one as the beginning of its hash.
std::string name_of(const fs::path& relative) {
    static constexpr char digits[] = "0123456789ABCDEF";
    std::string name;
    for (const char c : relative.generic_string()) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '/') {
            name += '+';
        } else if (c == '+' || c == '%' || byte < 0x20 || byte == 0x7f) {
            name += {'%', digits[byte >> 4U], digits[byte & 15U]};
        } else {
            name += c;
        }
    }
    constexpr std::size_t longest = 200, kept = 160, of_hash = 16;  // a file's name may have 255 bytes
    if (name.size() > longest) {
        std::size_t end = kept;
        while (end > 0 && (static_cast<unsigned char>(name[end]) & 0xC0U) == 0x80U) --end;  // whole UTF-8
        name = name.substr(0, end) + "~" + sha256(name).substr(0, of_hash);
    }
    return name;
}

bool readable_folder(const fs::path& folder) {
    return ::eaccess(folder.c_str(), R_OK | X_OK) == 0;
}

Outcome<JobList> below(const fs::path& folder, std::size_t most) {
    JobList list;
    std::vector<ListedJob>& jobs = list.jobs;
    std::error_code error;
    fs::recursive_directory_iterator it(folder, fs::directory_options::skip_permission_denied, error), end;
    if (!error && !readable_folder(folder)) error = std::make_error_code(std::errc::permission_denied);
    for (; !error && it != end; it.increment(error)) {
        const fs::path& path = it->path();
        const std::string name = name_of(path.lexically_relative(folder));
        if (it->is_symlink(error) && fs::is_directory(path, error)) {
            list.not_taken.push_back(name + " (a link to a folder)");
            continue;
        }
        if (it->is_directory(error)) {
            const bool hidden = path.filename().string().starts_with(".");
            if (hidden) it.disable_recursion_pending();
            if (hidden || readable_folder(path)) continue;
            jobs.push_back({path, name});  // nobody knows what is in it: it fails, and is told of
            continue;
        }
        if (lower(path.extension().string()) != ".json") continue;
        const Kind kind = kind_of(path);
        if (kind == Kind::unknown) list.not_taken.push_back(name);
        if (kind != Kind::job) continue;
        jobs.push_back({path, name});
        if (jobs.size() > most)
            return fault(folder.string() + " holds more than " + std::to_string(most) + " jobs.");
    }
    if (error) return fault("Cannot read the folder " + folder.string() + ": " + error.message() + ".");
    std::sort(jobs.begin(), jobs.end(),
              [](const ListedJob& a, const ListedJob& b) { return a.name < b.name; });
    std::sort(list.not_taken.begin(), list.not_taken.end());
    return list;
}

/// What the line names, without blanks around it and without its comment; a '#' within a name is none.
std::string named_by(std::string line) {
    for (std::size_t i = 0; i < line.size(); ++i)
        if (line[i] == '#' && (i == 0 || line[i - 1] == ' ' || line[i - 1] == '\t')) line.resize(i);
    const std::size_t from = line.find_first_not_of(" \t\r");
    if (from == std::string::npos) return {};
    return line.substr(from, line.find_last_not_of(" \t\r") - from + 1);
}

Outcome<JobList> named_in(const fs::path& list, std::size_t most) {
    constexpr std::size_t most_bytes = std::size_t{1} << 30U, longest_line = 4096;
    const auto file = FileBytes::read(list, most_bytes);
    if (!file) return file.fault();
    std::istringstream in{std::string(file->text())};
    std::vector<ListedJob> jobs;
    std::set<std::string> names;
    std::string absent;  // all of them: nobody wants to mend a list one line at a time
    std::string line;
    for (std::size_t number = 1; std::getline(in, line); ++number) {
        const std::string at = list.filename().string() + ", line " + std::to_string(number) + ": ";
        if (line.size() > longest_line || line.find('\0') != std::string::npos)
            return fault(at + "no line of a list of jobs.");
        constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
        if (number == 1 && line.starts_with(byte_order_mark)) line.erase(0, byte_order_mark.size());
        const std::string named = named_by(line);
        if (named.empty()) continue;
        const fs::path path = fs::path(named).is_absolute() ? fs::path(named) : list.parent_path() / named;
        std::error_code error;
        if (!fs::is_regular_file(path, error)) {
            absent += (absent.empty() ? "" : "\n") + at + "there is no job " + named + ".";
            constexpr std::size_t longest_message = 2000;
            if (absent.size() > longest_message) return fault(absent + "\nand perhaps more.");
            continue;
        }
        ListedJob job{path, name_of(fs::path(named).lexically_normal())};
        if (!names.insert(job.name).second) return fault(at + named + " is named twice.");
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
