#include "engine/design/job_file.hpp"

#include <algorithm>
#include <set>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/migration.hpp"
#include "engine/design/reader.hpp"
#include "engine/design/writer.hpp"
#include "engine/lettering/layout.hpp"

namespace archwright::design {

namespace {

constexpr const char* format_name = "archwright job";

Fault wrong_job(const std::string& message) {
    return Fault{FaultKind::usage, "job", message, {}};
}

void check_statement(const Statement& s, const std::string& path, Problems& problems) {
    if (s.by == StatedBy::person && s.code.empty())
        problems.add(path + " is stated by a person: write that person's code as " + path + ".code");
    if (s.by == StatedBy::proposed && s.evidence.empty())
        problems.add(path + " is proposed: write what it rests on as " + path + ".evidence");
}

void check_direction(const std::optional<Vec3>& direction, const std::string& path, Problems& problems) {
    if (direction && direction->norm() == 0)
        problems.add(path + " is [0, 0, 0]: write a direction, for example [0, 0, 1]");
}

void check_marks(const std::vector<Mark>& marks, const std::string& path, Problems& problems) {
    std::set<std::string> names;
    for (std::size_t i = 0; i < marks.size(); ++i) {
        const std::string here = path + "[" + std::to_string(i) + "]";
        if (!names.insert(marks[i].name).second)
            problems.add(here + ".name \"" + marks[i].name +
                         "\" is taken by an earlier mark: choose another");
        const std::size_t n = marks[i].points.size();
        const bool fits = marks[i].kind == Mark::Kind::spot   ? n == 1
                          : marks[i].kind == Mark::Kind::line ? n >= 2
                                                              : n >= 3;
        if (!fits)
            problems.add(here + " is of kind \"" + key_of(marks[i].kind) + "\" and has " + std::to_string(n) +
                         " points: a spot has one, a line two or more, an area three or more");
    }
}

void check_repairs(const std::vector<Repair>& repairs, const std::string& path, Problems& problems) {
    std::set<std::string> names;
    for (std::size_t i = 0; i < repairs.size(); ++i)
        if (!names.insert(repairs[i].name).second)
            problems.add(path + "[" + std::to_string(i) + "].name \"" + repairs[i].name +
                         "\" is taken by an earlier repair: choose another");
}

template <class Station>
void check_stations(const std::vector<Station>& stations, const std::string& path, Problems& problems) {
    for (std::size_t i = 1; i < stations.size(); ++i)
        if (!(stations[i - 1].along < stations[i].along))
            problems.add(path + ".stations[" + std::to_string(i) + "].along is " + exact(stations[i].along) +
                         ": stations must stand in order, each further along than the one before");
}

void check_wall_entries(const Wall& wall, const std::string& path, Problems& problems) {
    check_stations(wall.stations, path, problems);
    std::set<std::string> names;
    for (std::size_t i = 0; i < wall.regions.size(); ++i)
        if (!names.insert(wall.regions[i].name).second)
            problems.add(path + ".regions[" + std::to_string(i) + "].name \"" + wall.regions[i].name +
                         "\" is taken by an earlier region: choose another");
}

void check_covers(const std::vector<Cover>& covers, const std::string& path, Problems& problems) {
    std::set<std::string> names;
    for (std::size_t i = 0; i < covers.size(); ++i) {
        const Cover& cover = covers[i];
        const std::string here = path + "[" + std::to_string(i) + "]";
        // file names: some disks take upper and lower case for the same
        if (!names.insert(lower(cover.name)).second)
            problems.add(here + ".name \"" + cover.name +
                         "\" is taken by an earlier one (upper and lower case are the same): choose another");
        if (!cover.outline.empty() && cover.outline.size() < 3)
            problems.add(here + ".outline has " + std::to_string(cover.outline.size()) +
                         (cover.outline.size() == 1 ? " point" : " points") +
                         ": a closed curve has three or more; leave it out for the shell's own outline");
        if (cover.outline.empty() && cover.kind == Cover::Kind::extension &&
            cover.length == Cover::Length::shell)
            problems.add(here +
                         " is an extension that ends with the shell: nothing would be left of it; write "
                         "\"length\": \"sulcus\" or \"full\"");
    }
}

void check_lettering(const Lettering& letters, const std::string& path, Problems& problems) {
    const lettering::Style style{letters.height_mm, letters.stroke_mm, letters.depth_mm};
    if (const std::string trouble = lettering::text_trouble(letters.text); !trouble.empty())
        problems.add(path + ".text " + in_quotes(letters.text) + " " + trouble);
    if (!letters.on) return;
    if (!letters.case_code && !letters.side && !letters.revision &&
        letters.text.find_first_not_of(' ') == std::string::npos)
        problems.add(path + " is on and says nothing: write case_code, side, revision or a text");
    if (const std::string trouble = lettering::style_trouble(style); !trouble.empty())
        problems.add(path + trouble);
}

}  // namespace

void check_foot(const FootDesign& foot, const std::string& path, Problems& problems) {
    check_statement(foot.side, path + ".side", problems);
    check_statement(foot.cast.unit, path + ".cast.unit", problems);
    check_direction(foot.cast.up, path + ".cast.up", problems);
    check_direction(foot.cast.toes, path + ".cast.toes", problems);
    check_marks(foot.marks, path + ".marks", problems);
    check_repairs(foot.repairs, path + ".repairs", problems);
    check_wall_entries(foot.wall, path + ".wall", problems);
    for (std::size_t i = 0; i < foot.features.size(); ++i)
        check_stations(foot.features[i].stations, path + ".features[" + std::to_string(i) + "]", problems);
    check_covers(foot.covers, path + ".covers", problems);
    check_lettering(foot.lettering, path + ".lettering", problems);
}

namespace {

/// What no single key shows.
void check_whole(const Job& job, Problems& problems) {
    if (!job.left && !job.right) problems.add("the job has no foot: write \"left\", \"right\" or both");
    for (std::size_t i = 0; i < job.revisions.size(); ++i) {
        const std::string wanted = i == 0 ? "A" : next_letter(job.revisions[i - 1].letter);
        if (job.revisions[i].letter != wanted) {
            problems.add("revisions[" + std::to_string(i) + "].letter is \"" + job.revisions[i].letter +
                         "\": revisions follow one another, and this one is " + wanted);
            break;
        }
    }
    for (const Side side : {Side::left, Side::right})
        if (job.foot(side)) check_foot(*job.foot(side), word(side), problems);
}

Outcome<Job> job_from_tree(Json file, const std::string& name, const JobReading& reading) {
    const Json* format = file.find("format");
    if (file.kind != Json::Kind::object || !format || format->text != format_name)
        return Fault{FaultKind::input,
                     "job",
                     name + " is no job: it does not begin with \"format\": \"" + format_name + "\"",
                     {}};
    if (const auto done = migrate(file, job_version, migrations(), name); !done) return done.fault();
    file.drop("format");
    file.drop("version");

    Job job;
    Problems problems;
    read_json(file, "", job, Reader::Rules{false, reading.allow_outside}, problems);
    if (problems.empty()) check_whole(job, problems);
    if (!problems.empty()) return wrong_job(name + ": " + problems.text());
    return job;
}

}  // namespace

Outcome<Job> parse_job(std::string_view text, const std::string& name, const JobReading& reading) {
    Outcome<Json> json = parse_json(text, name, reading.limits);
    if (!json) return json.fault();
    return job_from_tree(std::move(json).value(), name, reading);
}

Outcome<Job> read_job(const std::filesystem::path& path, const JobReading& reading, FileKnown* known) {
    const auto file = FileBytes::read(path, reading.limits.bytes);
    if (!file) return file.fault();
    if (known != nullptr) known->sha256 = sha256(file->bytes());
    return parse_job(file->text(), path.filename().string(), reading);
}

Json job_tree(const Job& job) {
    Json file = Json::object();
    file.add("format", Json::of(format_name));
    file.add("version", Json::of(static_cast<double>(job_version)));
    for (auto& member : to_json(job, Writing::complete).members) file.members.push_back(std::move(member));
    return file;
}

std::string write_job(const Job& job) {
    return print(job_tree(job));
}

Outcome<Done> check_job(const Job& job, const JobReading& reading) {
    // Read back as any reader would: what cannot be read again is never written over a good file.
    const std::string text = write_job(job);
    const auto read = parse_job(text, "the job", reading);
    if (!read) return read.fault();
    if (write_job(*read) != text)
        return Fault{
            FaultKind::internal, "job", "the job would not read back as it is: a value is not finite", {}};
    return Done{};
}

Outcome<Done> save_job(const Job& job, const std::filesystem::path& path, const JobReading& reading,
                       const FileKnown& known) {
    if (const auto good = check_job(job, reading); !good) return good.fault();
    return replace_file(path, write_job(job), known);
}

Outcome<std::filesystem::path> resolve(const std::filesystem::path& job_path, const std::string& named,
                                       bool allow_outside) {
    namespace fs = std::filesystem;
    const auto refuse = [&](const std::string& why) {
        return Fault{FaultKind::usage,
                     "job",
                     "the job names the file " + in_quotes(named, longest_words) + ": " + why,
                     {}};
    };
    if (const std::string trouble = text_trouble(named, TextKind::path, allow_outside); !trouble.empty())
        return refuse(trouble);
    std::error_code ec;
    const fs::path folder = fs::weakly_canonical(fs::absolute(job_path, ec).parent_path(), ec);
    if (ec) return refuse("the job's folder cannot be looked up (" + ec.message() + ")");
    const fs::path full = fs::weakly_canonical(folder / fs::path(named), ec);
    if (ec) return refuse("it cannot be looked up (" + ec.message() + ")");
    if (!allow_outside) {
        const auto [end, rest] = std::mismatch(folder.begin(), folder.end(), full.begin(), full.end());
        if (end != folder.end())
            return refuse("a link leads out of the job's folder; copy the file beside the job");
    }
    return full;
}

}  // namespace archwright::design
