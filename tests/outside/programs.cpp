#include "tests/outside/programs.hpp"

#include <cstdio>
#include <cstdlib>

#include "engine/base/text.hpp"
#include "tests/support/random_cases.hpp"

namespace archwright::tests {

bool installed(const std::string& program) {
    if (std::system(("command -v " + program + " >/dev/null 2>&1").c_str()) == 0) return true;
    skipped(program + " not installed");
    return false;
}

std::string output_of(const std::string& command, const std::filesystem::path& folder) {
    std::string text;
    FILE* const pipe = ::popen(("cd '" + folder.string() + "' && " + command + " 2>&1").c_str(), "r");
    if (pipe == nullptr) return text;
    char part[4096];
    while (const std::size_t n = std::fread(part, 1, sizeof part, pipe)) text.append(part, n);
    ::pclose(pipe);
    return text;
}

std::optional<double> number_after(const std::string& text, const std::string& label) {
    const std::size_t found = text.find(label);
    if (found == std::string::npos) return std::nullopt;
    const std::size_t begin = text.find_first_not_of(" =:", found + label.size());
    if (begin == std::string::npos) return std::nullopt;
    const std::size_t end = text.find_first_not_of("+-.0123456789eE", begin);
    return parse_number(text.substr(begin, end - begin));
}

}  // namespace archwright::tests
