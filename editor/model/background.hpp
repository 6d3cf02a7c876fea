// One thing that takes its time and is asked for once: reading a cast, stating it.
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <thread>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"

namespace archwright::editor::model {

/// Runs `work` on a thread of its own; what it returns is done by whoever asked, on their thread.
class Background {
  public:
    /// Called by the one who asked, once the work is done.
    using Finish = std::function<void()>;
    using Work = std::function<Finish(Progress&)>;

    Background(std::string what, Work work, std::function<void()> wake);
    /// Cancels and waits; nothing is finished.
    ~Background();
    Background(const Background&) = delete;
    Background& operator=(const Background&) = delete;

    const std::string& what() const { return what_; }
    bool done() const { return done_.load(std::memory_order_acquire); }
    double fraction() const { return fraction_.load(std::memory_order_relaxed); }
    void cancel() { progress_.cancel(); }
    /// After `done`.
    void finish() { finish_(); }

  private:
    std::string what_;
    std::atomic<bool> done_{false};
    std::atomic<double> fraction_{0};
    Finish finish_;
    Progress progress_;
    std::thread thread_;
};

}  // namespace archwright::editor::model
