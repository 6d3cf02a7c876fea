#include "editor/model/recovery.hpp"

#include <unistd.h>

#include <algorithm>
#include <chrono>

#include "engine/base/file.hpp"
#include "engine/design/job_file.hpp"

namespace archwright::editor::model {

namespace fs = std::filesystem;
using design::Json;

namespace {

constexpr const char* format_name = "archwright unsaved work";
constexpr const char* name_begins = "unsaved-";

fs::path lock_of(const fs::path& file) {
    return fs::path(file).replace_extension(".lock");
}

std::string text_of(const Unsaved& work) {
    Json json = Json::object();
    json.add("format", Json::of(format_name));
    json.add("version", Json::of(1.0));
    json.add("job_path", Json::of(work.job_path.string()));
    json.add("file_sha256", Json::of(work.file_sha256));
    json.add("job", design::job_tree(*work.job));
    return design::print(json);
}

}  // namespace

Outcome<std::unique_ptr<Recovery>> Recovery::in(const fs::path& folder, double seconds,
                                                std::function<void()> wake) {
    std::error_code error;
    fs::create_directories(folder, error);
    for (int i = 0; i < 1000; ++i) {  // several sessions of one process, and old files of an old process
        const fs::path file =
            folder / (name_begins + std::to_string(::getpid()) + "-" + std::to_string(i) + ".json");
        if (fs::exists(file, error)) continue;
        auto lock = exporters::batch::FileLock::take(lock_of(file));
        if (!lock) return lock.fault();
        if (*lock)
            return std::unique_ptr<Recovery>(new Recovery(file, std::move(**lock), seconds, std::move(wake)));
    }
    return Fault{FaultKind::output,
                 "recovery",
                 folder.string() + " is full of unsaved work of this process: open it or remove it.",
                 {}};
}

Recovery::Recovery(fs::path file, exporters::batch::FileLock lock, double seconds, std::function<void()> wake)
    : file_(std::move(file)),
      lock_(std::move(lock)),
      seconds_(seconds),
      wake_(std::move(wake)),
      thread_([this] { work(); }) {}

Recovery::~Recovery() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
    }
    change_.notify_all();
    thread_.join();
    (void)write_pending();
    std::error_code ignored;
    fs::remove(lock_of(file_), ignored);
}

void Recovery::keep(Unsaved work) {
    {
        const std::lock_guard guard(mutex_);
        pending_ = std::move(work);
    }
    change_.notify_all();
}

Outcome<Done> Recovery::flush() {
    return write_pending();
}

void Recovery::forget() {
    const std::lock_guard one_writer(writing_);
    {
        const std::lock_guard guard(mutex_);
        pending_.reset();
    }
    std::error_code ignored;
    fs::remove(file_, ignored);
}

std::optional<Fault> Recovery::trouble() {
    const std::lock_guard guard(mutex_);
    return std::exchange(trouble_, std::nullopt);
}

Outcome<Done> Recovery::write_pending() {
    const std::lock_guard one_writer(writing_);
    std::optional<Unsaved> work;
    {
        const std::lock_guard guard(mutex_);
        work = std::exchange(pending_, std::nullopt);
    }
    if (!work) return Done{};
    auto done = write_file(file_, text_of(*work));
    if (!done) {
        // it stays to be written, unless there is newer work by now
        const std::lock_guard guard(mutex_);
        if (!pending_) pending_ = std::move(work);
    }
    return done;
}

void Recovery::work() {
    using Clock = std::chrono::steady_clock;
    const auto between = std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(seconds_));
    Clock::time_point next = Clock::now();
    std::unique_lock guard(mutex_);
    for (;;) {
        change_.wait(guard, [&] { return stop_ || pending_.has_value(); });
        change_.wait_until(guard, next, [&] { return stop_; });
        if (stop_) return;
        guard.unlock();
        const auto done = write_pending();
        next = Clock::now() + between;
        guard.lock();
        if (!done && !told_ && wake_) {
            trouble_ = done.fault();
            guard.unlock();
            wake_();
            guard.lock();
        } else if (!done && !told_) {
            trouble_ = done.fault();
        }
        told_ = !done;  // a trouble that lasts is told once
    }
}

Outcome<LeftBehind> read_left_behind(const fs::path& file) {
    const auto bytes = FileBytes::read(file, 2 * design::JsonLimits{}.bytes);
    if (!bytes) return bytes.fault();
    design::JsonLimits limits;
    limits.bytes *= 2;
    limits.depth += 1;  // a job within
    auto json = design::parse_json(bytes->text(), file.filename().string(), limits);
    if (!json) return json.fault();
    const Json *format = json->find("format"), *path = json->find("job_path"),
               *sha = json->find("file_sha256"), *inner = json->find("job");
    if (!format || format->text != format_name || !path || !sha || !inner)
        return Fault{
            FaultKind::input, "recovery", file.string() + " holds no unsaved work of this program.", {}};
    design::JobReading reading;
    reading.allow_outside = true;  // asked when the job was opened
    auto job = design::parse_job(design::print(*inner), file.filename().string(), reading);
    if (!job) return job.fault();
    return LeftBehind{file, path->text, sha->text, std::move(*job)};
}

std::vector<LeftBehind> left_behind(const fs::path& folder) {
    std::vector<std::pair<fs::file_time_type, LeftBehind>> found;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(folder, error)) {
        const fs::path& file = entry.path();
        if (!file.filename().string().starts_with(name_begins) || file.extension() != ".json") continue;
        const auto lock = exporters::batch::FileLock::take(lock_of(file));
        if (!lock || !*lock) continue;  // its process lives
        if (auto work = read_left_behind(file))
            found.emplace_back(fs::last_write_time(file, error), std::move(*work));
    }
    std::stable_sort(found.begin(), found.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    std::vector<LeftBehind> all;
    for (auto& [time, work] : found) all.push_back(std::move(work));
    return all;
}

Outcome<exporters::batch::FileLock> hold_left_behind(const fs::path& file) {
    auto lock = exporters::batch::FileLock::take(lock_of(file));
    if (!lock) return lock.fault();
    if (!*lock)
        return Fault{FaultKind::usage,
                     "recover",
                     file.string() + " is the unsaved work of a session that still runs: save it there.",
                     {}};
    return std::move(**lock);
}

void remove_left_behind(const fs::path& file) {
    std::error_code ignored;
    fs::remove(file, ignored);
    fs::remove(lock_of(file), ignored);
}

}  // namespace archwright::editor::model
