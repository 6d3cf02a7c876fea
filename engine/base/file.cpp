#include "engine/base/file.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <atomic>
#include <cerrno>
#include <chrono>
#include <cstring>

namespace archwright {

namespace fs = std::filesystem;

namespace {

// A small table of temporaries under way, fixed so that a signal handler can walk it.
constexpr std::size_t table_size = 32;
constexpr std::size_t path_size = 4096;
std::array<std::array<char, path_size>, table_size> unfinished;
std::array<std::atomic<int>, table_size> unfinished_state;  // 0 free, 1 being filled, 2 in use

class Unfinished {
  public:
    explicit Unfinished(const std::string& path) {
        if (path.size() >= path_size) return;
        for (std::size_t i = 0; i < table_size; ++i) {
            int free = 0;
            if (!unfinished_state[i].compare_exchange_strong(free, 1)) continue;
            std::memcpy(unfinished[i].data(), path.c_str(), path.size() + 1);
            unfinished_state[i].store(2);
            slot_ = static_cast<int>(i);
            return;
        }
    }
    ~Unfinished() {
        if (slot_ >= 0) unfinished_state[static_cast<std::size_t>(slot_)].store(0);
    }
    Unfinished(const Unfinished&) = delete;
    Unfinished& operator=(const Unfinished&) = delete;

  private:
    int slot_ = -1;
};

Fault output_fault(const fs::path& target, const std::string& what) {
    return {FaultKind::output,
            "write",
            "Cannot write " + target.filename().string() + ": " + what + ". Nothing was changed. Folder: " +
                (target.parent_path().empty() ? std::string(".") : target.parent_path().string()) + ".",
            {}};
}

std::string reason(int error) {
    return std::generic_category().message(error);
}

struct Descriptor {
    explicit Descriptor(int opened) : number(opened) {}
    ~Descriptor() {
        if (number >= 0) ::close(number);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    const int number;
};

bool sync_path(const fs::path& path, int flags) {
    const Descriptor file(::open(path.c_str(), flags | O_CLOEXEC));
    return file.number >= 0 && ::fsync(file.number) == 0;
}

}  // namespace

Outcome<FileBytes> FileBytes::read(const fs::path& path, std::size_t most) {
    const auto fault = [&](const std::string& what) {
        return Fault{FaultKind::input, "read", "Cannot read " + path.string() + ": " + what + ".", {}};
    };
    const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
    if (file.number < 0) return fault(reason(errno));
    struct stat info {};
    if (::fstat(file.number, &info) != 0) return fault(reason(errno));
    if (!S_ISREG(info.st_mode)) return fault("it is not a file");
    FileBytes result;
    result.size_ = static_cast<std::size_t>(info.st_size);
    if (result.size_ > most)
        return fault("its " + std::to_string(result.size_) + " bytes are more than the " +
                     std::to_string(most) + " allowed");
    result.data_ = std::make_unique_for_overwrite<std::byte[]>(result.size_ + 1);
    std::size_t done = 0;
    while (true) {  // one byte more than there is: a file that grows is found as one that shrinks is
        const ssize_t n = ::read(file.number, result.data_.get() + done, result.size_ + 1 - done);
        if (n < 0 && errno == EINTR) continue;
        if (n < 0) return fault(reason(errno));
        done += static_cast<std::size_t>(n);
        if (n == 0 || done > result.size_) break;
    }
    if (done != result.size_)
        return fault("another program changed it while it was read; try again when it is written");
    return result;
}

void remove_abandoned(const fs::path& folder, const std::string& begin, const std::string& end) {
    constexpr std::chrono::hours age(1);
    std::error_code error;
    for (fs::directory_iterator it(folder.empty() ? fs::path(".") : folder, error), last;
         !error && it != last; it.increment(error)) {
        const std::string name = it->path().filename().string();
        if (name.size() < begin.size() + end.size() || !name.starts_with(begin) || !name.ends_with(end))
            continue;
        std::error_code gone;
        const auto touched = fs::last_write_time(it->path(), gone);
        if (!gone && fs::file_time_type::clock::now() - touched > age) fs::remove_all(it->path(), gone);
    }
}

Outcome<Done> produce_file(const fs::path& target,
                           const std::function<Outcome<Done>(const fs::path&)>& produce,
                           const std::function<Outcome<Done>(const fs::path&)>& verify) {
    const fs::path folder = target.parent_path().empty() ? fs::path(".") : target.parent_path();
    const std::string begin = "." + target.filename().string() + ".";
    remove_abandoned(folder, begin, ".part");
    std::string name = (folder / (begin + "XXXXXX.part")).string();
    const int file = ::mkstemps(name.data(), 5);
    if (file < 0) return output_fault(target, reason(errno));
    ::fchmod(file, 0644);
    ::close(file);
    const Unfinished note(name);
    const auto fail = [&](Fault fault) {
        ::unlink(name.c_str());
        return fault;
    };
    if (const auto written = produce(name); !written) return fail(written.fault());
    if (!sync_path(name, O_WRONLY)) return fail(output_fault(target, reason(errno)));
    if (verify)
        if (const auto checked = verify(name); !checked) return fail(checked.fault());
    if (::rename(name.c_str(), target.c_str()) != 0) return fail(output_fault(target, reason(errno)));
    sync_path(folder, O_RDONLY | O_DIRECTORY);  // best effort: some file systems refuse
    return Done{};
}

Outcome<Done> write_file(const fs::path& target, std::span<const std::byte> bytes,
                         const std::function<Outcome<Done>(const fs::path&)>& verify) {
    return produce_file(
        target,
        [&](const fs::path& temporary) -> Outcome<Done> {
            const int file = ::open(temporary.c_str(), O_WRONLY | O_TRUNC | O_CLOEXEC);
            if (file < 0) return output_fault(target, reason(errno));
            std::size_t done = 0;
            while (done < bytes.size()) {
                const ssize_t n = ::write(file, bytes.data() + done, bytes.size() - done);
                if (n < 0) {
                    if (errno == EINTR) continue;
                    const int error = errno;
                    ::close(file);
                    return output_fault(target, reason(error));
                }
                done += static_cast<std::size_t>(n);
            }
            if (::close(file) != 0) return output_fault(target, reason(errno));
            return Done{};
        },
        verify);
}

Outcome<Done> write_file(const fs::path& target, const std::string& text,
                         const std::function<Outcome<Done>(const fs::path&)>& verify) {
    return write_file(target, std::as_bytes(std::span(text)), verify);
}

void remove_unfinished_files() noexcept {
    for (std::size_t i = 0; i < table_size; ++i)
        if (unfinished_state[i].load() == 2) ::unlink(unfinished[i].data());
}

}  // namespace archwright
