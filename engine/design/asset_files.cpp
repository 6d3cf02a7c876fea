#include "engine/design/asset_files.hpp"

#include <algorithm>

#include "engine/base/text.hpp"

namespace archwright::design {

Outcome<std::vector<std::filesystem::path>> asset_files(const std::filesystem::path& folder,
                                                        const std::string& what) {
    std::error_code ec;
    std::vector<std::filesystem::path> files;
    for (auto entry = std::filesystem::directory_iterator(folder, ec);
         !ec && entry != std::filesystem::directory_iterator(); entry.increment(ec))
        if (entry->path().extension() == ".json") files.push_back(entry->path());
    if (ec || files.empty())
        return Fault{FaultKind::input,
                     what,
                     "no " + what + "s in " + folder.string() +
                         (ec ? " (" + ec.message() + ")" : std::string()) +
                         ": set ARCHWRIGHT_ASSETS to the folder \"assets\" of the program",
                     {}};
    std::sort(files.begin(), files.end());
    return files;
}

Fault unknown_entry(const std::string& stage, const std::string& what, const std::string& key,
                    const std::vector<std::string>& keys) {
    constexpr std::size_t shown = 48;  // letters of a word that may be anything
    std::string list;
    for (const std::string& known : keys) list += (list.empty() ? "" : ", ") + known;
    const std::string near = nearest_word(std::string_view(key).substr(0, shown), keys);
    return {FaultKind::usage,
            stage,
            "the " + what + " \"" + key.substr(0, shown) + "\" is not known" +
                (near.empty() ? "" : " (did you mean \"" + near + "\"?)") + "; there are: " + list,
            {}};
}

}  // namespace archwright::design
