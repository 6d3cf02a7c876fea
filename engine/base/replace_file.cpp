#include "engine/base/replace_file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>

#include "engine/base/file.hpp"
#include "engine/base/file_lock.hpp"
#include "engine/base/hash.hpp"

namespace archwright {

namespace fs = std::filesystem;

namespace {

Fault not_replaced(const fs::path& target, const std::string& what) {
    return {FaultKind::output, "save", target.string() + " " + what, {}};
}

/// A lock on the file that stands under a name, not on one that was renamed away from under it.
class HeldFile {
  public:
    enum class Got { held, absent, busy, refused };

    explicit HeldFile(const fs::path& path) : got_(take(path)) {}
    ~HeldFile() {
        if (descriptor_ >= 0) ::close(descriptor_);
    }
    HeldFile(const HeldFile&) = delete;
    HeldFile& operator=(const HeldFile&) = delete;
    Got got() const { return got_; }

  private:
    Got take(const fs::path& path) {
        const auto until = std::chrono::steady_clock::now() + lock_patience;
        for (;;) {
            const int opened = ::open(path.c_str(), O_RDWR | O_CLOEXEC | O_NONBLOCK);
            if (opened < 0) return errno == ENOENT ? Got::absent : Got::refused;
            const bool locked = lock_file(opened, true, until);
            const int trouble = errno;
            struct stat mine {
            }, there{};
            if (locked && ::fstat(opened, &mine) == 0 && ::stat(path.c_str(), &there) == 0 &&
                mine.st_ino == there.st_ino && mine.st_dev == there.st_dev) {
                descriptor_ = opened;
                return Got::held;
            }
            ::close(opened);
            if (!locked && trouble != EAGAIN && trouble != EACCES) return Got::refused;
            if (std::chrono::steady_clock::now() > until) return Got::busy;
        }
    }

    int descriptor_ = -1;
    Got got_;
};

/// Makes a file that must not be there yet: written beside it, then linked to its name.
Outcome<Done> make_file(const fs::path& target, const std::string& text) {
    const fs::path folder = target.parent_path().empty() ? fs::path(".") : target.parent_path();
    std::string beside = (folder / ("." + target.filename().string() + ".XXXXXX.part")).string();
    const int made = ::mkstemps(beside.data(), 5);
    if (made >= 0) ::close(made);
    Outcome<Done> done = write_file(beside, text);
    if (done && ::link(beside.c_str(), target.c_str()) != 0) {
        const int error = errno;
        if (error == EEXIST)
            done = not_replaced(target, "exists already. Nothing was changed.");
        else if (::access(target.c_str(), F_OK) != 0 && ::rename(beside.c_str(), target.c_str()) == 0)
            return Done{};  // a file system without links
        else
            done = not_replaced(target, "cannot be written: " + std::generic_category().message(error) +
                                            ". Nothing was changed.");
    }
    ::unlink(beside.c_str());
    return done;
}

}  // namespace

Outcome<Done> replace_file(const fs::path& target, const std::string& text, const FileKnown& known) {
    if (!known.sha256) return write_file(target, text);
    const HeldFile held(target);
    switch (held.got()) {
        case HeldFile::Got::absent:
            if (known.sha256->empty()) return make_file(target, text);
            return not_replaced(target,
                                "is gone: somebody moved or removed it since it was read. Nothing was "
                                "written; save under another name, or begin again.");
        case HeldFile::Got::busy:
            return not_replaced(target, "is being written by somebody else. Nothing was changed; try again.");
        case HeldFile::Got::held:
        case HeldFile::Got::refused:  // not ours to lock: what can be done without is done
            break;
    }
    if (known.sha256->empty()) return not_replaced(target, "exists already. Nothing was changed.");
    const auto now = FileBytes::read(target);
    if (!now) return now.fault();
    if (sha256(now->bytes()) != *known.sha256)
        return not_replaced(
            target,
            "was changed by another program or person since it was read. Nothing was written: what "
            "is there stays; read it again.");
    return write_file(target, text);
}

}  // namespace archwright
