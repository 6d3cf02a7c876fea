// archwright-drawings DIR: the drawings of the documents, as PNG.
#include <cstdio>
#include <filesystem>

#include "assets/drawings/drawings.hpp"

using namespace archwright;

namespace {

int failed(const Fault& fault) {
    std::fprintf(stderr, "archwright-drawings: %s\n", fault.message.c_str());
    return fault.kind == FaultKind::output ? 6 : 1;  // as the main program's (docs/commands.md)
}

}  // namespace

int main(int count, char** words) {
    if (count != 2 || words[1][0] == '-' || words[1][0] == '\0') {
        std::fputs("usage: archwright-drawings DIR\n", stderr);
        return 2;
    }
    const std::filesystem::path folder = words[1];
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (!std::filesystem::is_directory(folder, error))
        return failed({FaultKind::output,
                       "write",
                       "No folder could be made at " + folder.string() + ": give another place.",
                       {}});
    const auto drawings = drawings::all_drawings();
    if (!drawings) return failed(drawings.fault());
    for (const drawings::Drawing& drawing : *drawings)
        if (const auto done = picture::write_png(drawing.image, folder / (drawing.name + ".png")); !done)
            return failed(done.fault());
    return 0;
}
