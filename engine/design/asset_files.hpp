// The JSON files of one folder of the assets, and entries of them found by their key.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::design {

/// Every *.json of a folder, by name. `what` is the stage and the trade's word for them ("material"). Fault
/// (input) when the folder cannot be read or holds none.
Outcome<std::vector<std::filesystem::path>> asset_files(const std::filesystem::path& folder,
                                                        const std::string& what);

/// Fault (usage): no such `what`, the nearest key and all there are.
Fault unknown_entry(const std::string& stage, const std::string& what, const std::string& key,
                    const std::vector<std::string>& keys);

/// The entry of that key, or unknown_entry.
template <class T>
Outcome<T> find_entry(const std::map<std::string, T>& all, const std::string& stage, const std::string& what,
                      const std::string& key) {
    if (const auto found = all.find(key); found != all.end()) return found->second;
    std::vector<std::string> keys;
    for (const auto& [known, entry] : all) keys.push_back(known);
    return unknown_entry(stage, what, key, keys);
}

}  // namespace archwright::design
