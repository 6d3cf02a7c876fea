// That something came in: counted, waited for, and passed on to the loop of the screen.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <mutex>

namespace archwright::editor::model {

class News {
  public:
    explicit News(std::function<void()> wake) : wake_(std::move(wake)) {}

    /// From any thread.
    void tell() {
        {
            const std::lock_guard guard(mutex_);
            ++count_;
        }
        change_.notify_all();
        if (wake_) wake_();
    }
    /// Whether anything came in since the last call.
    bool take() {
        const std::lock_guard guard(mutex_);
        const bool news = count_ != taken_;
        taken_ = count_;
        return news;
    }
    void wait(double seconds) {
        std::unique_lock guard(mutex_);
        change_.wait_for(guard, std::chrono::duration<double>(seconds), [&] { return count_ != taken_; });
    }

  private:
    std::function<void()> wake_;
    std::mutex mutex_;
    std::condition_variable change_;
    std::uint64_t count_ = 0, taken_ = 0;
};

}  // namespace archwright::editor::model
