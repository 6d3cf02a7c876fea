#include "tests/support/random_cases.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <iostream>

namespace archwright::tests {

namespace {

bool set(const char* name) {
    const char* value = std::getenv(name);
    return value != nullptr && std::string(value) == "1";
}

}  // namespace

std::uint64_t seed() {
    const char* value = std::getenv("ARCHWRIGHT_SEED");
    return value != nullptr ? std::strtoull(value, nullptr, 10) : 20261125;
}

int cases(int full, int slice, const std::string& what) {
    int count = set("ARCHWRIGHT_FULL") ? full : slice;
    if (set("ARCHWRIGHT_TENTH")) count = std::max(1, count / 10);
    count = std::min(count, full);
    std::cout << "cases: " << count << " of " << full << ", seed " << seed() << " (" << what << ")\n"
              << std::flush;
    return count;
}

bool share_holds(int found, int count, double share) {
    return found + 3.0 * std::sqrt(count * share * (1.0 - share)) >= count * share;
}

void skipped(const std::string& reason) {
    std::cout << "skipped: " << reason << "\n" << std::flush;
}

std::string scans_folder() {
    const std::filesystem::path folder =
        std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / ".." / "shared" / "scans";
    std::error_code error;
    return std::filesystem::is_directory(folder, error) ? folder.lexically_normal().string() : std::string();
}

}  // namespace archwright::tests
