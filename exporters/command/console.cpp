#include "exporters/command/console.hpp"

#include <unistd.h>

#include <atomic>
#include <csignal>
#include <iostream>
#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"

namespace archwright::exporters::command {

namespace {

std::atomic<Progress*> running{nullptr};

void on_signal(int) {
    Progress* progress = running.load();
    if (progress == nullptr || progress->cancelled()) {
        remove_unfinished_files();
        _exit(static_cast<int>(Exit::cancelled));
    }
    progress->cancel();
}

}  // namespace

Exit exit_of(FaultKind kind) {
    switch (kind) {
        case FaultKind::usage:
            return Exit::usage;
        case FaultKind::input:
            return Exit::input;
        case FaultKind::ask:
            return Exit::ask;
        case FaultKind::check:
            return Exit::check;
        case FaultKind::output:
            return Exit::output;
        case FaultKind::cancelled:
            return Exit::cancelled;
        case FaultKind::internal:
            return Exit::internal;
    }
    return Exit::internal;
}

Console::Console(bool json, bool quiet)
    : json_(json),
      quiet_(quiet),
      terminal_(::isatty(STDERR_FILENO) == 1),
      progress_(std::make_unique<Progress>(
          [this](std::string_view what, double fraction) { show(what, fraction); })) {}

Console::~Console() {
    running.store(nullptr);
    wipe();
}

void Console::show(std::string_view what, double fraction) {
    if (quiet_) return;
    if (!terminal_) {
        if (what != last_what_) std::cerr << what << "\n";
        last_what_ = what;
        return;
    }
    const int percent = static_cast<int>(100.0 * fraction);
    if (percent == last_percent_ && what == last_what_) return;
    last_percent_ = percent;
    last_what_ = what;
    constexpr int width = 30;
    const int full = percent * width / 100;
    std::string bar = std::string(static_cast<std::size_t>(full), '#') +
                      std::string(static_cast<std::size_t>(width - full), '.');
    std::cerr << "\r\x1b[K[" << bar << "] " << percent << " % " << what << std::flush;
}

void Console::wipe() {
    if (terminal_ && !last_what_.empty()) std::cerr << "\r\x1b[K" << std::flush;
    last_what_.clear();
}

void Console::say(const std::string& line) {
    if (json_) return;
    wipe();
    std::cout << line << "\n";
}

void Console::print(const std::string& text) {
    wipe();
    std::cout << text << std::flush;
}

void Console::print_json(const nlohmann::ordered_json& result) {
    print(result.dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n");
}

Exit Console::fail(const Fault& fault) {
    wipe();
    const Exit code = exit_of(fault.kind);
    if (json_) {
        nlohmann::ordered_json out;
        out["ok"] = false;
        out["stage"] = fault.stage;
        out["message"] = fault.message;
        if (fault.where) out["where_mm"] = {fault.where->x(), fault.where->y(), fault.where->z()};
        out["exit_code"] = static_cast<int>(code);
        print_json(out);
    } else {
        std::cerr << "archwright: " << fault.message << "\n";
    }
    return code;
}

void catch_signals(Console& console) {
    running.store(&console.progress());
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
        struct sigaction action {};
        action.sa_handler = on_signal;
        ::sigaction(signal, &action, nullptr);
    }
    for (const int signal : {SIGPIPE, SIGXFSZ}) ::signal(signal, SIG_IGN);  // a write fails and is told of
}

}  // namespace archwright::exporters::command
