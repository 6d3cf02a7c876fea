// Keys in the order they were pressed, however slow the frames are.
//
// ImGui 1.86 knows of a key only whether it is down when a frame begins: what is pressed and let go between
// two frames is lost; and a field that a key opens has the keys some frames later only, so that what follows
// at once, text or Esc or another command, would miss it. So keys wait here and are played a few a frame.
#pragma once

#include <deque>
#include <functional>
#include <set>

namespace archwright::editor::app {

class KeyQueue {
  public:
    struct Event {
        bool text = false;
        int key = 0, scancode = 0, mods = 0;
        bool down = false;
        unsigned letter = 0;     ///< of a text
        bool printable = false;  ///< of a key: its text follows it
        bool modifier = false;   ///< of a key: Ctrl, Shift, Alt
        bool opens = false;      ///< a press that may open or close a field or a list
    };

    void put(const Event& event) { events_.push_back(event); }
    /// A press of the mouse, or a box that is on its way, may change what has the keys: they wait.
    void wait(int frames) { hold_ = frames > hold_ ? frames : hold_; }
    bool empty() const { return events_.empty(); }
    /// Plays what one frame can tell apart: no key twice, neither text nor another press in the frames in
    /// which a field may open or close. `typing`: a field has the keys already; then letters open nothing.
    void play(bool typing, const std::function<void(const Event&)>& give);

    /// A field that a key or a click opens has the keys so many frames later.
    static constexpr int frames_to_open = 3;

  private:
    std::deque<Event> events_;
    int hold_ = 0;          ///< frames in which text and presses wait
    bool follows_ = false;  ///< the last press was a letter's: its text comes next
};

}  // namespace archwright::editor::app
