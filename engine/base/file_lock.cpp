#include "engine/base/file_lock.hpp"

#include <fcntl.h>

#include <algorithm>
#include <cerrno>
#include <thread>

namespace archwright {

bool lock_file(int descriptor, bool to_write, std::chrono::steady_clock::time_point until) {
    using namespace std::chrono_literals;
    struct flock whole {};
    whole.l_type = static_cast<short>(to_write ? F_WRLCK : F_RDLCK);
    whole.l_whence = SEEK_SET;
    for (auto pause = 1ms;; pause = std::min<std::chrono::milliseconds>(2 * pause, 50ms)) {
        if (::fcntl(descriptor, F_OFD_SETLK, &whole) == 0) return true;
        const bool busy = errno == EAGAIN || errno == EACCES;
        if ((!busy && errno != EINTR) || std::chrono::steady_clock::now() > until) return false;
        std::this_thread::sleep_for(pause);
    }
}

}  // namespace archwright
