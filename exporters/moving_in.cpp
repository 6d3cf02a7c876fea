#include "exporters/moving_in.hpp"

#include <stdlib.h>

#include <nlohmann/json.hpp>
#include <set>

#include "engine/base/file.hpp"

namespace archwright::exporters {

namespace fs = std::filesystem;

Outcome<Staging> Staging::in(const fs::path& folder) {
    std::error_code error;
    fs::create_directories(folder, error);
    remove_abandoned(folder, ".archwright.", "");
    std::string made = (folder / ".archwright.XXXXXX").string();
    if (error || ::mkdtemp(made.data()) == nullptr)
        return Fault{
            FaultKind::output,
            "write",
            "Cannot write in the folder " + folder.string() + ": " +
                (error ? error.message() : std::error_code(errno, std::generic_category()).message()) +
                ". Nothing was changed.",
            {}};
    Staging staging(folder);
    staging.path_ = made;
    return staging;
}

Staging::Staging(Staging&& other) noexcept
    : folder_(std::move(other.folder_)), path_(std::move(other.path_)) {
    other.path_.clear();
}

Staging::~Staging() {
    std::error_code ignored;
    if (!path_.empty()) fs::remove_all(path_, ignored);
}

Outcome<Done> Staging::move_in(const std::vector<std::string>& names) const {
    for (const std::string& name : names) {
        std::error_code error;
        fs::rename(path_ / name, folder_ / name, error);
        if (error)
            return Fault{FaultKind::output,
                         "write",
                         "Cannot put " + name + " into " + folder_.string() + ": " + error.message() +
                             ". Files there without a report beside them are not a finished delivery.",
                         {}};
    }
    return Done{};
}

std::optional<fs::path> differs_there(const fs::path& folder, const NamedFiles& files) {
    std::error_code error;
    for (const auto& [name, content] : files) {
        fs::path there = folder / name;
        if (!fs::exists(there, error)) continue;
        const auto old = FileBytes::read(there);
        if (!old || old->text() != content) return there;
    }
    return std::nullopt;
}

Outcome<Done> put_together(const fs::path& folder, const NamedFiles& files) {
    const auto staging = Staging::in(folder);
    if (!staging) return staging.fault();
    std::vector<std::string> names;
    for (const auto& [name, content] : files) {
        if (const auto done = write_file(staging->path() / name, content); !done) return done.fault();
        names.push_back(name);
    }
    return staging->move_in(names);
}

std::vector<std::string> names_of(const std::string& stem) {
    return {stem + ".stl", stem + ".3mf", stem + ".step", stem + ".report.json", stem + ".report.txt"};
}

std::string part_stem(const std::string& stem, const std::string& part) {
    return stem + "-" + part;
}

namespace {

// Discarded where there is none that can be read.
nlohmann::json report_there(const fs::path& folder, const std::string& stem) {
    const auto file = FileBytes::read(folder / (stem + ".report.json"));
    return nlohmann::json::parse(file ? file->text() : std::string_view(), nullptr, false);
}

}  // namespace

std::vector<std::string> part_files_there(const fs::path& folder, const std::string& stem) {
    std::set<std::string> parts;
    const nlohmann::json report = report_there(folder, stem);
    if (!report.is_object() || !report.contains("files") || !report["files"].is_array()) return {};
    for (const auto& file : report["files"]) {
        if (!file.is_object() || !file.contains("name") || !file["name"].is_string()) continue;
        const std::string name = file["name"].get<std::string>();
        // a report that was tampered with names no file outside the folder
        if (name.starts_with(part_stem(stem, "")) && name == fs::path(name).filename().string())
            parts.insert(fs::path(name).stem().string());
    }
    // and those of parts whose format the last delivery left out
    if (report.contains("parts") && report["parts"].is_array())
        for (const auto& part : report["parts"]) {
            if (!part.is_object() || !part.contains("name") || !part["name"].is_string()) continue;
            const std::string name = part_stem(stem, part["name"].get<std::string>());
            if (name == fs::path(name).filename().string()) parts.insert(name);
        }
    std::vector<std::string> names;
    for (const std::string& part : parts)
        for (const char* ending : {".stl", ".step"}) names.push_back(part + ending);
    return names;
}

std::string fingerprint_there(const fs::path& folder, const std::string& stem,
                              const std::vector<std::string>& names) {
    std::error_code error;
    bool any = false;
    for (const std::string& name : names) any |= fs::exists(folder / name, error);
    if (!any) return {};
    const nlohmann::json report = report_there(folder, stem);
    if (!report.is_object() || !report.contains("fingerprint") || !report["fingerprint"].is_string())
        return "?";
    return report["fingerprint"].get<std::string>();
}

bool same_file(const fs::path& a, const fs::path& b) {
    std::error_code error;
    return fs::equivalent(a, b, error) && !error;
}

}  // namespace archwright::exporters
