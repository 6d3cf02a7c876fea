// A file that several people write: replaced only as it was known.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "engine/base/outcome.hpp"

namespace archwright {

/// What a writer knows of the file it is about to replace.
struct FileKnown {
    /// SHA-256 of the bytes it read; empty: there was no file. Unset: whatever is there gives way.
    std::optional<std::string> sha256;

    static FileKnown absent() { return {std::string()}; }
    static FileKnown anything() { return {std::nullopt}; }
};

/// Writes the file whole or not at all (write_file), and only where it still is as it was known: between the
/// look at it and the rename nobody who writes by this function comes in, be it on another machine that
/// shares the folder (a POSIX record lock on the file itself; a file that is not there yet is made by a link,
/// which fails where there is one). Nothing is left beside the file. Faults (output): changed or made by
/// somebody else meanwhile, or gone; somebody else is writing it for longer than ten seconds; as write_file.
/// All leave what is there as it is.
Outcome<Done> replace_file(const std::filesystem::path& target, const std::string& text,
                           const FileKnown& known);

}  // namespace archwright
