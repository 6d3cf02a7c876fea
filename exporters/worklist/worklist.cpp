#include "exporters/worklist/worklist.hpp"

#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>
#include <tuple>

#include "engine/base/file.hpp"
#include "engine/base/parallel.hpp"
#include "engine/design/description.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/writer.hpp"
#include "exporters/batch/job_list.hpp"

namespace archwright::exporters::worklist {

namespace fs = std::filesystem;

namespace {

struct StateWords {
    State state;
    const char *word, *title;
};
constexpr StateWords state_words[] = {{State::received, "received", "received"},
                                      {State::designing, "designing", "designing"},
                                      {State::waiting, "waiting", "waiting for approval"},
                                      {State::approved, "approved", "approved"},
                                      {State::made, "made", "made"}};

/// 64 hexadecimal digits behind the mark; empty when there are none.
std::string fingerprint_behind(const std::string& text, const std::string& mark) {
    constexpr std::size_t digits = 64;
    const std::size_t at = text.find(mark);
    if (at == std::string::npos) return {};
    const std::string found = text.substr(at + mark.size(), digits);
    const bool good =
        found.size() == digits && found.find_first_not_of("0123456789abcdef") == std::string::npos;
    return good ? found : std::string();
}

std::string head_of(const fs::path& path) {
    std::string head(4096, '\0');
    std::ifstream in(path, std::ios::binary);
    in.read(head.data(), static_cast<std::streamsize>(head.size()));
    head.resize(static_cast<std::size_t>(std::max<std::streamsize>(in.gcount(), 0)));
    return head;
}

/// The design a device record is of; empty where it does not read whole, or a file it tells of is not beside
/// it in the size it tells.
std::string recorded_in(const fs::path& path) {
    constexpr std::uintmax_t most_bytes = 4U << 20U;
    std::error_code error;
    if (fs::file_size(path, error) > most_bytes || error) return {};
    const auto bytes = FileBytes::read(path);
    if (!bytes) return {};
    const auto record = nlohmann::json::parse(bytes->text(), nullptr, false);
    if (!record.is_object()) return {};
    if (const auto outputs = record.find("outputs"); outputs != record.end() && outputs->is_array())
        for (const auto& file : *outputs) {
            if (!file.is_object() || !file.contains("file") || !file["file"].is_string() ||
                !file.contains("bytes") || !file["bytes"].is_number_unsigned())
                return {};
            const fs::path name = fs::path(file["file"].get<std::string>()).filename();
            if (fs::file_size(path.parent_path() / name, error) != file["bytes"].get<std::uintmax_t>() ||
                error)
                return {};
        }
    return fingerprint_behind(std::string(bytes->text()), "\"fingerprint\": \"");
}

/// Nobody has designed anything yet: the foot is as `archwright new` leaves it.
bool only_received(const design::FootDesign& foot) {
    for (const auto& [id, landmark] : foot.landmarks)
        if (landmark.source == foot::Landmark::Source::set) return false;
    for (const design::Mark& mark : foot.marks)
        if (mark.source == foot::Landmark::Source::set || mark.refused) return false;
    if (!foot.repairs.empty() || !foot.answers.empty() || !foot.presets.empty() || !foot.sign_offs.empty() ||
        !foot.approvals.empty())
        return false;
    design::FootDesign bare = foot;
    const design::FootDesign blank;
    bare.side = blank.side;
    bare.cast = blank.cast;
    bare.calipers = blank.calipers;
    bare.landmarks = blank.landmarks;
    bare.marks = blank.marks;
    return design::print(design::to_json(bare, design::Writing::deciding), true) ==
           design::print(design::to_json(blank, design::Writing::deciding), true);
}

}  // namespace

const char* word(State state) {
    return state_words[static_cast<std::size_t>(state)].word;
}
const char* title(State state) {
    return state_words[static_cast<std::size_t>(state)].title;
}

std::string feet_apart(const WorkItem& item) {
    if (std::all_of(item.feet.begin(), item.feet.end(),
                    [&](const auto& foot) { return foot.second == item.state; }))
        return {};
    std::string text;
    for (const auto& [side, state] : item.feet)
        text += (text.empty() ? "" : ", ") + std::string(archwright::word(side)) + " " + title(state);
    return text;
}

Outcome<Papers> papers_below(const fs::path& folder, Progress& progress) {
    Papers papers;
    std::error_code error;
    fs::recursive_directory_iterator at(folder, fs::directory_options::skip_permission_denied, error), end;
    for (; !error && at != end; at.increment(error)) {
        if (progress.cancelled()) return Fault{FaultKind::cancelled, "jobs", "Cancelled.", {}};
        std::error_code unseen;
        const std::string name = at->path().filename().string();
        if (name.starts_with(".")) {
            at.disable_recursion_pending();
            continue;
        }
        if (!at->is_regular_file(unseen)) continue;
        std::string found;
        if (name.ends_with(".preview.html")) {
            found = fingerprint_behind(head_of(at->path()), "<meta name=\"archwright-design\" content=\"");
            if (!found.empty()) papers.previews[found] = true;
        } else if (name.ends_with(".record.json")) {
            found = recorded_in(at->path());
            if (!found.empty()) papers.records[found] = true;
        }
    }
    return papers;
}

State state_of(const design::Job& job, Side side, const Papers& papers) {
    const std::string now = design::fingerprint(job, side);
    if (papers.records.count(now) != 0) return State::made;
    if (design::valid_approval(job, side) != nullptr) return State::approved;
    if (papers.previews.count(now) != 0) return State::waiting;
    return only_received(*job.foot(side)) ? State::received : State::designing;
}

Outcome<Worklist> read_worklist(const fs::path& folder, Progress& progress) {
    std::error_code error;
    if (!fs::is_directory(folder, error))
        return Fault{FaultKind::input,
                     "jobs",
                     folder.string() + " is no folder: name the folder the jobs are in.",
                     {}};
    Worklist list;
    auto listed = batch::list_jobs(folder);
    if (!listed) {
        if (!fs::is_empty(folder, error) && error) return listed.fault();
        if (listed.fault().message.find("holds no job") == std::string::npos) return listed.fault();
        return list;
    }
    const auto papers = papers_below(folder, progress);
    if (!papers) return papers.fault();
    list.not_taken = std::move(listed->not_taken);

    struct Read {
        WorkItem item;
        std::string trouble;
    };
    std::vector<Read> all(listed->jobs.size());
    parallel_for(all.size(), 8, [&](std::size_t begin, std::size_t last) {
        for (std::size_t i = begin; i < last && !progress.cancelled(); ++i) {
            WorkItem& item = all[i].item;
            item.path = listed->jobs[i].path;
            item.name = item.path.lexically_relative(folder).generic_string();
            design::JobReading reading;
            reading.allow_outside = true;  // nothing it names is opened
            const auto job = design::read_job(item.path, reading);
            if (!job || (!job->left && !job->right)) {
                all[i].trouble = job ? "The job has no foot." : job.fault().message;
                continue;
            }
            item.case_code = job->case_code;
            item.revision = job->revision();
            item.due = job->order.due;
            item.prescriber = job->order.prescriber;
            item.state = State::made;
            for (const Side side : {Side::left, Side::right}) {
                if (!job->foot(side)) continue;
                item.feet.emplace_back(side, state_of(*job, side, *papers));
                item.state = std::min(item.state, item.feet.back().second);
            }
        }
    });
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "jobs", "Cancelled.", {}};
    for (Read& one : all) {
        if (one.trouble.empty())
            list.items.push_back(std::move(one.item));
        else
            list.unreadable.emplace_back(one.item.name, one.trouble);
    }
    const auto key = [](const WorkItem& item) {
        return std::tuple(item.due.empty(), item.due, item.case_code, item.name);
    };
    std::sort(list.items.begin(), list.items.end(),
              [&](const WorkItem& a, const WorkItem& b) { return key(a) < key(b); });
    std::sort(list.unreadable.begin(), list.unreadable.end());
    return list;
}

}  // namespace archwright::exporters::worklist
