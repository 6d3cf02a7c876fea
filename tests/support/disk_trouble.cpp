#include "tests/support/disk_trouble.hpp"

#include <sys/resource.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <csignal>
#include <fstream>

#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

namespace archwright::tests {

namespace fs = std::filesystem;

namespace {

/// Files of this process may not grow beyond `bytes` while this lives: a full device.
class FullDevice {
  public:
    explicit FullDevice(rlim_t bytes) : old_handler_(std::signal(SIGXFSZ, SIG_IGN)) {
        ::getrlimit(RLIMIT_FSIZE, &old_);
        rlimit now = old_;
        now.rlim_cur = bytes;
        ::setrlimit(RLIMIT_FSIZE, &now);
    }
    ~FullDevice() {
        ::setrlimit(RLIMIT_FSIZE, &old_);
        std::signal(SIGXFSZ, old_handler_);
    }
    FullDevice(const FullDevice&) = delete;
    FullDevice& operator=(const FullDevice&) = delete;

  private:
    void (*old_handler_)(int);
    rlimit old_{};
};

}  // namespace

bool holds_nothing(const fs::path& folder) {
    return fs::directory_iterator(folder) == fs::directory_iterator();
}

void leaves_nothing(const std::function<Outcome<Done>(const fs::path&)>& write) {
    const TemporaryFolder folder;
    {
        const auto done = write(folder.path() / "absent" / "file");
        REQUIRE_FALSE(done.ok());
        CHECK(done.fault().kind == FaultKind::output);
    }
    const auto full = [&](const fs::path& path) {
        const FullDevice device(1000);
        return write(path);
    };
    {
        const auto done = full(folder.path() / "file");
        REQUIRE_FALSE(done.ok());
        CHECK(done.fault().kind == FaultKind::output);
    }
    CHECK(holds_nothing(folder.path()));
    const fs::path older = folder.path() / "older";
    std::ofstream(older) << "older";
    CHECK_FALSE(full(older).ok());
    std::string kept;
    std::ifstream(older) >> kept;
    CHECK(kept == "older");
    fs::remove(older);
    CHECK(holds_nothing(folder.path()));
    if (::geteuid() == 0) {
        skipped("read-only folder: root may write everywhere");
        return;
    }
    fs::permissions(folder.path(), fs::perms::owner_read | fs::perms::owner_exec);
    CHECK_FALSE(write(folder.path() / "file").ok());
    fs::permissions(folder.path(), fs::perms::owner_all);
    CHECK(holds_nothing(folder.path()));
}

}  // namespace archwright::tests
