// Progress and cancel through one object.
#pragma once

#include <atomic>
#include <functional>
#include <string_view>

namespace archwright {

/// Anything slow takes one of these: it reports how far it is and asks whether to go on.
/// Thread-safe for `cancel` and `cancelled`; `report` is called from the thread that does the work.
class Progress {
  public:
    using Listener = std::function<void(std::string_view what, double fraction)>;

    Progress() = default;
    explicit Progress(Listener listener) : listener_(std::move(listener)) {}
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// Says what is being done and how much of the whole, 0..1, is behind us. Returns false once cancelled.
    bool report(std::string_view what, double fraction) {
        if (listener_) listener_(what, fraction);
        return !cancelled();
    }
    void cancel() { cancelled_.store(true, std::memory_order_relaxed); }
    bool cancelled() const { return cancelled_.load(std::memory_order_relaxed); }

  private:
    Listener listener_;
    std::atomic<bool> cancelled_{false};
};

}  // namespace archwright
