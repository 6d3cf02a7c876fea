// Entries of the assets, read from a JSON file each that is described as jobs are.
#pragma once

#include <map>
#include <string>
#include <utility>

#include "engine/base/file.hpp"
#include "engine/design/asset_files.hpp"
#include "engine/design/reader.hpp"

namespace archwright::design {

/// Every file of a folder by its name without .json, which becomes its `key`. `settle(entry, problems)` looks
/// at what is read. `what`: stage and the trade's word for one. Fault (input) names file and key.
template <class T, class Settle>
Outcome<std::map<std::string, T>> read_entries(const std::filesystem::path& folder, const std::string& what,
                                               const Settle& settle) {
    constexpr std::size_t most_bytes = std::size_t{1} << 20U;
    const auto files = asset_files(folder, what);
    if (!files) return files.fault();
    std::map<std::string, T> all;
    for (const auto& path : *files) {
        const std::string name = path.filename().string();
        const auto file = FileBytes::read(path, most_bytes);
        if (!file) return file.fault();
        const auto json = parse_json(file->text(), name);
        if (!json) return json.fault();
        T entry;
        entry.key = path.stem().string();
        Problems problems;
        if (json->kind == Json::Kind::object)
            read_json(*json, "", entry, Reader::Rules{}, problems);
        else
            problems.add("this file is a group of keys in { }");
        if (problems.empty()) settle(entry, problems);
        if (!problems.empty()) return Fault{FaultKind::input, what, name + ": " + problems.text(), {}};
        all.emplace(entry.key, std::move(entry));
    }
    return all;
}

}  // namespace archwright::design
