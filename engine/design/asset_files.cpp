#include "engine/design/asset_files.hpp"

#include <algorithm>

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

}  // namespace archwright::design
