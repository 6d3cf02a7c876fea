// Loops over both cores. Results must not depend on the number of threads: write to your own slot, and
// reduce in index order.
#pragma once

#include <cstddef>
#include <functional>

namespace archwright {

/// Calls body(begin, end) over pieces of [0, count), perhaps at once; pieces of at least `grain`.
void parallel_for(std::size_t count, std::size_t grain,
                  const std::function<void(std::size_t begin, std::size_t end)>& body);

/// Bounds the number of threads for the rest of the process (tests run with 1, 2 and 8). 0: all cores.
void set_thread_count(int count);

}  // namespace archwright
