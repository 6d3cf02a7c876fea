// Work that was not saved survives the end of the process, however it ends.
//
// Beside nothing of the person's: a file of its own in the state folder, written whole or not at all, by a
// thread that needs no frame of the screen. The job's own file is never touched.
#pragma once

#include <condition_variable>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"
#include "exporters/batch/file_lock.hpp"

namespace archwright::editor::model {

/// A state of a job that is not in its file.
struct Unsaved {
    std::filesystem::path job_path;  ///< where it is, or would be, saved
    std::string file_sha256;         ///< of that file as it was read or written last; empty: there was none
    std::shared_ptr<const design::Job> job;
};

/// Keeps one session's unsaved work.
class Recovery {
  public:
    /// Files lie in `folder`, which is made. At most `seconds` of work are lost. Fault (output) when nothing
    /// can be written there.
    /// `wake` is called when a write failed; it is tried again after the same time.
    static Outcome<std::unique_ptr<Recovery>> in(const std::filesystem::path& folder, double seconds,
                                                 std::function<void()> wake = {});
    /// Work that was handed over is written, unless `forget` was called.
    ~Recovery();
    Recovery(const Recovery&) = delete;
    Recovery& operator=(const Recovery&) = delete;

    /// This is the work now; it is written within the time said, beside whatever the screen does.
    void keep(Unsaved work);
    /// Writes at once what was handed over. Fault (output).
    Outcome<Done> flush();
    /// There is nothing unsaved: the file is removed.
    void forget();
    /// What the last write in the background failed of; told once.
    std::optional<Fault> trouble();
    const std::filesystem::path& file() const { return file_; }

  private:
    Recovery(std::filesystem::path file, exporters::batch::FileLock lock, double seconds,
             std::function<void()> wake);
    void work();
    Outcome<Done> write_pending();

    std::filesystem::path file_;
    exporters::batch::FileLock lock_;
    double seconds_;
    std::function<void()> wake_;
    std::mutex mutex_, writing_;
    std::condition_variable change_;
    std::optional<Unsaved> pending_;
    std::optional<Fault> trouble_;
    bool told_ = false;  ///< of a trouble that lasts
    bool stop_ = false;
    std::thread thread_;
};

/// Unsaved work that a process left behind.
struct LeftBehind {
    std::filesystem::path file;
    std::filesystem::path job_path;
    std::string file_sha256;
    design::Job job;
};

/// What processes that are no more left in `folder`, the newest first; what a living one keeps is not listed,
/// what cannot be read is passed over.
std::vector<LeftBehind> left_behind(const std::filesystem::path& folder);

/// One such file. Fault (input, usage): it is none, or its job is wrong.
Outcome<LeftBehind> read_left_behind(const std::filesystem::path& file);

/// Holds such a file against others; fault (usage) while the session that keeps it lives.
Outcome<exporters::batch::FileLock> hold_left_behind(const std::filesystem::path& file);

/// Removes it with its lock.
void remove_left_behind(const std::filesystem::path& file);

}  // namespace archwright::editor::model
