// How many random cases a test runs, and with which seed; both printed, so that a failure can be run again.
#pragma once

#include <cstdint>
#include <string>

namespace archwright::tests {

/// The seed of every random test: ARCHWRIGHT_SEED, or a fixed one.
std::uint64_t seed();

/// `full` under ARCHWRIGHT_FULL=1 (`tests/run.sh --full`), else `slice`; a tenth of the slice, at least one,
/// under ARCHWRIGHT_TENTH=1 (the sanitizer run). Prints "cases: n of N, seed S (what)".
int cases(int full, int slice, const std::string& what);

/// Whether `found` of `count` random cases are in keeping with a true share of `share` or more: three
/// standard deviations of the binomial below it still are, so one case alone never fails and hundreds must
/// come near.
bool share_holds(int found, int count, double share);

/// Prints "skipped: reason", which tests/run.sh repeats at its end.
void skipped(const std::string& reason);

/// Folder of the real feet (../shared/scans beside the project), or empty where it is absent.
std::string scans_folder();

}  // namespace archwright::tests
