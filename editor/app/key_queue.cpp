#include "editor/app/key_queue.hpp"

namespace archwright::editor::app {

void KeyQueue::play(bool typing, const std::function<void(const Event&)>& give) {
    if (hold_ > 0) --hold_;
    std::set<int> changed;
    bool pressed = false;  // in this frame, and its meaning hangs on Ctrl, Shift and Alt as they are
    while (!events_.empty()) {
        const Event event = events_.front();
        if (pressed && event.modifier) return;
        // a letter's text goes with its key, into what was there when it was pressed
        if (hold_ > 0 && event.text && !follows_) return;
        if (hold_ > 0 && event.down && !event.modifier) return;
        // while something is typed a letter's text says all: its key may come and go in one frame
        if (!event.text && !(typing && event.printable) && !changed.insert(event.key).second) return;
        events_.pop_front();
        give(event);
        if (event.down && !event.modifier) {
            follows_ = event.printable;
            pressed = pressed || !(typing && event.printable);
        }
        if (event.opens && !(typing && event.printable)) hold_ = frames_to_open;
    }
}

}  // namespace archwright::editor::app
