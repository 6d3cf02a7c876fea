#include <algorithm>

#include "engine/base/text.hpp"
#include "exporters/batch/batch.hpp"

namespace archwright::exporters::batch {

namespace {

// A message may quote a file: nothing of it is to steer the terminal.
std::string printable(std::string text) {
    for (char& c : text)
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
    return text;
}

std::string csv_field(const std::string& raw) {
    const std::string text = printable(raw);
    if (text.find_first_of(",\"") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char c : text) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + "\"";
}

std::string cell(std::string text, std::size_t width) {
    text.resize(width, ' ');
    return text;
}

}  // namespace

std::string summary_csv(const BatchResult& result) {
    std::string text = "job,outcome,verdict,exit_code,seconds,peak_mb,message,files\r\n";
    for (const Record& r : result.records) {
        std::string files;
        for (const auto& [file, hash] : r.files) files += (files.empty() ? "" : " ") + file;
        text += csv_field(r.name) + "," + csv_field(r.outcome) + "," + csv_field(r.verdict) + "," +
                std::to_string(r.exit_code) + "," + rounded(r.seconds, 2) + "," + rounded(r.peak_mb, 0) +
                "," + csv_field(r.message) + "," + csv_field(files) + "\r\n";
    }
    for (const BatchResult::Open& job : result.open)
        text += csv_field(job.name) + "," + job.word() + ",,,,,,\r\n";
    return text;
}

std::string summary_table(const BatchResult& result, std::size_t listed) {
    std::size_t name = 3;
    for (const Record& r : result.records) name = std::max(name, r.name.size());
    for (const BatchResult::Open& job : result.open) name = std::max(name, job.name.size());
    name = std::min<std::size_t>(name, 48);
    std::string text = "  " + cell("job", name) + "  " + cell("outcome", 9) + "  " + cell("verdict", 7) +
                       "  " + cell("seconds", 7) + "  MB\n";
    for (const Record& r : result.records) {
        text += "  " + cell(r.name, name) + "  " + cell(r.outcome, 9) + "  " + cell(r.verdict, 7) + "  " +
                cell(rounded(r.seconds, 1), 7) + "  " + rounded(r.peak_mb, 0) + "\n";
        if (!r.message.empty()) text += "    " + printable(r.message.substr(0, r.message.find('\n'))) + "\n";
    }
    const std::size_t elsewhere = result.elsewhere();
    for (const BatchResult::Open& job : result.open)
        text += "  " + cell(job.name, name) + "  " + job.word() + "\n";
    text += std::to_string(listed) + " listed: " + std::to_string(result.records.size() - result.failed) +
            " made, " + std::to_string(result.failed) + " failed";
    const std::size_t open = listed - result.records.size();
    if (open > 0) text += ", " + std::to_string(open) + " not done";
    if (elsewhere > 0) text += " (" + std::to_string(elsewhere) + " in another process's hands)";
    text += "; " + std::to_string(result.fresh) + " in this run.\n";
    if (result.old_failures > 0)
        text += std::to_string(result.old_failures) +
                " failed in an earlier run and were not tried again: --retry tries them.\n";
    if (result.cancelled) text += "Interrupted: the same command goes on where this one stopped.\n";
    return text;
}

}  // namespace archwright::exporters::batch
