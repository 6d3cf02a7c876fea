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

    /// While it lives, reports of the work inside are shown under its name and fill [from, to] of the whole.
    class Stretch {
      public:
        Stretch(Progress& progress, std::string_view name, double from, double to)
            : progress_(progress), outer_(progress.stretch_) {
            if (outer_ == nullptr) {  // the outermost name is the one people read
                name_ = name;
                from_ = from;
                to_ = to;
                progress_.stretch_ = this;
                progress_.report(name, 0.0);
            }
        }
        ~Stretch() { progress_.stretch_ = outer_; }
        Stretch(const Stretch&) = delete;
        Stretch& operator=(const Stretch&) = delete;

      private:
        friend class Progress;
        Progress& progress_;
        Stretch* outer_;
        std::string_view name_;
        double from_ = 0.0, to_ = 1.0;
    };

    /// Says what is being done and how much of the whole, 0..1, is behind us. Returns false once cancelled.
    bool report(std::string_view what, double fraction) {
        if (listener_ && stretch_ != nullptr)
            listener_(stretch_->name_, stretch_->from_ + fraction * (stretch_->to_ - stretch_->from_));
        else if (listener_)
            listener_(what, fraction);
        return !cancelled();
    }
    void cancel() { cancelled_.store(true, std::memory_order_relaxed); }
    bool cancelled() const { return cancelled_.load(std::memory_order_relaxed); }

  private:
    Listener listener_;
    Stretch* stretch_ = nullptr;
    std::atomic<bool> cancelled_{false};
};

}  // namespace archwright
