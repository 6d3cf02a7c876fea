#include "editor/model/places.hpp"

#include <cstdlib>

namespace archwright::editor::model {

namespace fs = std::filesystem;

namespace {

Outcome<fs::path> folder(const char* variable, const fs::path& below_home) {
    // the specification: a relative path is no path
    if (const char* set = std::getenv(variable); set != nullptr && fs::path(set).is_absolute())
        return fs::path(set) / "archwright";
    if (const char* home = std::getenv("HOME"); home != nullptr && fs::path(home).is_absolute())
        return fs::path(home) / below_home / "archwright";
    return Fault{FaultKind::input,
                 "editor",
                 std::string("Neither ") + variable +
                     " nor HOME names a folder, so nothing can be kept between sessions. Set one of them.",
                 {}};
}

}  // namespace

Outcome<fs::path> config_folder() {
    return folder("XDG_CONFIG_HOME", ".config");
}
Outcome<fs::path> state_folder() {
    return folder("XDG_STATE_HOME", fs::path(".local") / "state");
}

}  // namespace archwright::editor::model
