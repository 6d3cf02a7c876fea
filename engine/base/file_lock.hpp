// A lock on a whole file, by which several people write one.
#pragma once

#include <chrono>

namespace archwright {

/// How long another's lock is waited for.
inline constexpr std::chrono::seconds lock_patience{10};

/// Locks an open file (POSIX record lock of its open description) until it is closed: to write alone, or to
/// read beside other readers. Waits for others until then. False with `errno`: EAGAIN or EACCES where they
/// keep it longer, else the folder keeps no locks.
bool lock_file(int descriptor, bool to_write, std::chrono::steady_clock::time_point until);

}  // namespace archwright
