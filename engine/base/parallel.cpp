#include "engine/base/parallel.hpp"

#include <tbb/blocked_range.h>
#include <tbb/global_control.h>
#include <tbb/parallel_for.h>

#include <memory>

namespace archwright {

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

}  // namespace archwright
