// One worker thread for what is asked for again and again: the newest wish wins.
#pragma once

#include <chrono>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <utility>

#include "editor/model/rebuild.hpp"

namespace archwright::editor::model {

/// What is under way for an older wish is cancelled, and nothing of it is published any more.
template <class Wish, class Made>
class Worker {
  public:
    using Publish = std::function<void(std::shared_ptr<const Made>)>;
    /// On the worker's thread; may publish several times, each better than the one before. Throws nothing.
    using Work = std::function<void(const Wish&, Progress&, const Publish&)>;

    Worker(std::string what, Work work, std::function<void()> wake)
        : what_(std::move(what)),
          work_(std::move(work)),
          wake_(std::move(wake)),
          thread_([this] { run(); }) {}
    /// Cancels and waits.
    ~Worker() {
        {
            const std::lock_guard guard(mutex_);
            stop_ = true;
            wish_.reset();
            if (progress_) progress_->cancel();
        }
        change_.notify_all();
        thread_.join();
    }
    Worker(const Worker&) = delete;
    Worker& operator=(const Worker&) = delete;

    void ask(Wish wish) {
        {
            const std::lock_guard guard(mutex_);
            wish_ = std::move(wish);
            ready_.reset();
            if (progress_) progress_->cancel();
        }
        change_.notify_all();
    }
    /// Nothing is done any more until it is asked for.
    void cancel() {
        const std::lock_guard guard(mutex_);
        wish_.reset();
        ready_.reset();
        if (progress_) progress_->cancel();
    }
    /// What came in since the last call; null when nothing did.
    std::shared_ptr<const Made> take() {
        const std::lock_guard guard(mutex_);
        return std::exchange(ready_, nullptr);
    }
    bool idle() const {
        const std::lock_guard guard(mutex_);
        return !activity_.busy && !wish_ && !ready_;
    }
    Activity activity() const {
        const std::lock_guard guard(mutex_);
        if (!activity_.busy && wish_) return {true, what_, 0, 0, false};  // about to be taken up
        Activity now = activity_;
        if (now.busy) now.seconds = seconds() - began_;
        return now;
    }

  private:
    static double seconds() {
        return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
    }
    void run() {
        for (;;) {
            std::optional<Wish> wish;
            Progress progress([this](std::string_view what, double fraction) {
                const std::lock_guard guard(mutex_);
                activity_.what = what;
                activity_.fraction = fraction;
            });
            {
                std::unique_lock guard(mutex_);
                change_.wait(guard, [&] { return stop_ || wish_; });
                if (stop_) return;
                wish = std::exchange(wish_, std::nullopt);
                progress_ = &progress;
                activity_ = {true, what_, 0, 0, false};
                began_ = seconds();
            }
            if (wake_) wake_();
            work_(*wish, progress, [&](std::shared_ptr<const Made> made) {
                {
                    const std::lock_guard guard(mutex_);
                    if (made && !progress.cancelled()) ready_ = std::move(made);
                }
                if (wake_) wake_();
            });
            {
                const std::lock_guard guard(mutex_);
                progress_ = nullptr;
                activity_ = {};
            }
            if (wake_) wake_();
        }
    }

    const std::string what_;
    const Work work_;
    const std::function<void()> wake_;
    mutable std::mutex mutex_;
    std::condition_variable change_;
    std::optional<Wish> wish_;
    std::shared_ptr<const Made> ready_;
    Progress* progress_ = nullptr;
    Activity activity_;
    double began_ = 0;
    bool stop_ = false;
    std::thread thread_;
};

}  // namespace archwright::editor::model
