#include "exporters/batch/file_lock.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <utility>

namespace archwright::exporters::batch {

Outcome<std::optional<FileLock>> FileLock::take(const std::filesystem::path& path) {
    const auto fault = [&](int error) {
        return Fault{FaultKind::output,
                     "batch",
                     "Cannot lock " + path.string() + ": " + std::generic_category().message(error) + ".",
                     {}};
    };
    const int descriptor = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (descriptor < 0) return fault(errno);
    struct flock whole {};
    whole.l_type = F_WRLCK;
    whole.l_whence = SEEK_SET;
    if (::fcntl(descriptor, F_OFD_SETLK, &whole) == 0) return std::optional<FileLock>(FileLock(descriptor));
    const int error = errno;
    ::close(descriptor);
    if (error == EAGAIN || error == EACCES) return std::optional<FileLock>();
    return fault(error);
}

FileLock::~FileLock() {
    if (descriptor_ >= 0) ::close(descriptor_);
}
FileLock::FileLock(FileLock&& other) noexcept : descriptor_(std::exchange(other.descriptor_, -1)) {}
FileLock& FileLock::operator=(FileLock&& other) noexcept {
    std::swap(descriptor_, other.descriptor_);
    return *this;
}

}  // namespace archwright::exporters::batch
