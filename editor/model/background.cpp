#include "editor/model/background.hpp"

namespace archwright::editor::model {

Background::Background(std::string what, Work work, std::function<void()> wake)
    : what_(std::move(what)),
      progress_([this](std::string_view, double fraction) {
          fraction_.store(fraction, std::memory_order_relaxed);
      }),
      thread_([this, work = std::move(work), wake = std::move(wake)] {
          finish_ = work(progress_);
          done_.store(true, std::memory_order_release);
          if (wake) wake();
      }) {}

Background::~Background() {
    progress_.cancel();
    thread_.join();
}

}  // namespace archwright::editor::model
