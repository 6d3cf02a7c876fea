#include "exporters/batch/child.hpp"

#include <fcntl.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <thread>

namespace archwright::exporters::batch {

namespace {

// What every started program must not inherit: handlers are reset by exec, ignored and blocked signals are
// not.
void plain_signals() {
    sigset_t none;
    ::sigemptyset(&none);
    ::sigprocmask(SIG_SETMASK, &none, nullptr);
    ::signal(SIGPIPE, SIG_DFL);
}

}  // namespace

Outcome<ChildEnd> run_child(const std::vector<std::string>& words, const std::filesystem::path& out,
                            const std::filesystem::path& error, const ChildLimits& limits,
                            const std::function<bool()>& cancelled) {
    using Clock = std::chrono::steady_clock;
    std::vector<char*> argv;
    for (const std::string& word : words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    const std::string out_path = out.string(), error_path = error.string();
    const auto begin = Clock::now();
    const pid_t parent = ::getpid();
    const pid_t child = ::fork();
    if (child < 0)
        return Fault{FaultKind::internal,
                     "batch",
                     "Cannot start a process: " + std::generic_category().message(errno) + ".",
                     {}};
    if (child == 0) {  // only calls that are safe after fork in a program with threads
        ::prctl(PR_SET_PDEATHSIG, SIGKILL);
        if (::getppid() != parent) ::_exit(127);
        plain_signals();
        if (limits.megabytes > 0) {
            struct rlimit bound {};
            bound.rlim_cur = bound.rlim_max = limits.megabytes << 20U;
            ::setrlimit(RLIMIT_AS, &bound);
        }
        const int in = ::open("/dev/null", O_RDONLY);
        const int to = ::open(out_path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
        const int told = ::open(error_path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
        if (in < 0 || to < 0 || told < 0) ::_exit(127);
        ::dup2(in, 0);
        ::dup2(to, 1);
        ::dup2(told, 2);
        ::execv(argv[0], argv.data());
        ::_exit(127);
    }

    ChildEnd end;
    const auto elapsed = [&] { return std::chrono::duration<double>(Clock::now() - begin).count(); };
    constexpr double patience = 5.0;  // seconds from the polite signal to the last one
    double asked_at = -1.0;
    int status = 0;
    struct rusage usage {};
    auto pause = std::chrono::milliseconds(2);
    while (true) {
        const pid_t ended = ::wait4(child, &status, WNOHANG, &usage);
        if (ended == child) break;
        if (ended < 0 && errno != EINTR)
            return Fault{FaultKind::internal, "batch", "A started process was lost.", {}};
        if (asked_at < 0.0 && (elapsed() > limits.seconds || cancelled())) {
            end.timed_out = elapsed() > limits.seconds;
            end.cancelled = !end.timed_out;
            ::kill(child, SIGINT);
            asked_at = elapsed();
        } else if (asked_at >= 0.0 && elapsed() - asked_at > patience) {
            ::kill(child, SIGKILL);
        }
        std::this_thread::sleep_for(pause);
        pause = std::min(pause * 2, std::chrono::milliseconds(50));
    }
    end.seconds = elapsed();
    end.peak_mb = static_cast<double>(usage.ru_maxrss) / 1024.0;
    if (WIFEXITED(status)) end.exit_code = WEXITSTATUS(status);
    if (WIFSIGNALED(status)) end.signal = WTERMSIG(status);
    return end;
}

std::string this_program() {
    std::error_code error;
    return std::filesystem::read_symlink("/proc/self/exe", error).string();
}

}  // namespace archwright::exporters::batch
