#include "editor/app/key_queue.hpp"

namespace archwright::editor::app {

namespace {

/// A field that a key opens has the keys so many frames later.
constexpr int frames_to_open = 3;

}  // namespace

void KeyQueue::play(bool typing, const std::function<void(const Event&)>& give) {
    if (hold_ > 0) --hold_;
    std::set<int> changed;
    while (!events_.empty()) {
        const Event event = events_.front();
        const bool plain = event.text || event.printable;  // text, or a key that makes it
        if (plain && hold_ > 0) return;
        // while something is typed a letter's text says all: its key may come and go in one frame
        if (!event.text && !(typing && event.printable) && !changed.insert(event.key).second) return;
        events_.pop_front();
        give(event);
        if (!event.text && event.down && !event.printable) hold_ = frames_to_open;
    }
}

}  // namespace archwright::editor::app
