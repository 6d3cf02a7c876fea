#include "engine/base/parallel.hpp"

#ifdef __SANITIZE_THREAD__
#include <algorithm>
#include <thread>
#include <vector>
#else
#include <tbb/blocked_range.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>

#include <memory>
#endif

namespace archwright {

#ifdef __SANITIZE_THREAD__

// The sanitizer cannot follow Debian's TBB, which is not built with it: here the same pieces run on plain
// threads, each of its own, so that every race between two of them is seen.
namespace {
std::size_t threads = 0;
}

void parallel_for(std::size_t count, std::size_t grain,
                  const std::function<void(std::size_t, std::size_t)>& body) {
    const std::size_t most = threads == 0 ? 4 : threads;
    const std::size_t pieces = std::clamp<std::size_t>(count / std::max<std::size_t>(grain, 1), 1, most);
    std::vector<std::thread> running;
    for (std::size_t k = 1; k < pieces; ++k)
        running.emplace_back([&, k] { body(k * count / pieces, (k + 1) * count / pieces); });
    if (count > 0) body(0, count / pieces);
    for (std::thread& thread : running) thread.join();
}

void set_thread_count(int count) {
    threads = static_cast<std::size_t>(std::max(count, 0));
}

#else

void parallel_for(std::size_t count, std::size_t grain,
                  const std::function<void(std::size_t, std::size_t)>& body) {
    if (count == 0) return;
    tbb::parallel_for(
        tbb::blocked_range<std::size_t>(0, count, grain == 0 ? 1 : grain),
        [&](const tbb::blocked_range<std::size_t>& piece) { body(piece.begin(), piece.end()); });
}

void set_thread_count(int count) {
    static std::unique_ptr<tbb::global_control> control;
    control.reset();
    if (count > 0)
        control = std::make_unique<tbb::global_control>(tbb::global_control::max_allowed_parallelism,
                                                        static_cast<std::size_t>(count));
}

#endif

}  // namespace archwright
