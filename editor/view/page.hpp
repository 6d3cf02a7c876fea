// A drawing of engine/picture kept as a texture until what it shows changes.
#pragma once

#include <functional>
#include <string>

#include "editor/view/device.hpp"
#include "engine/picture/canvas.hpp"

namespace archwright::editor::view {

class Page {
  public:
    explicit Page(Device& device) : device_(device) {}
    ~Page() {
        if (texture_ != 0) device_.remove(texture_);
    }
    Page(const Page&) = delete;
    Page& operator=(const Page&) = delete;

    /// Draws when the key is another than last time. Width and height in logical pixels; the page is clear
    /// where nothing is drawn.
    Id draw(const std::string& key, int width, int height, double scale,
            const std::function<void(picture::Canvas&)>& act) {
        if (texture_ != 0 && key == key_) return texture_;
        key_ = key;
        ++drawn_;
        picture::Canvas canvas(width, height, scale);
        act(canvas);
        shortened_ = canvas.shortened();
        written_ = canvas.written();
        if (texture_ == 0) texture_ = device_.make_texture();
        device_.fill_texture(texture_, canvas.device_width(), canvas.device_height(), canvas.take_clear());
        return texture_;
    }
    /// Texts that did not fit, and all that were written, of the last drawing.
    const std::vector<std::string>& shortened() const { return shortened_; }
    const std::vector<std::string>& written() const { return written_; }
    std::size_t drawn() const { return drawn_; }

  private:
    Device& device_;
    Id texture_ = 0;
    std::string key_;
    std::vector<std::string> shortened_, written_;
    std::size_t drawn_ = 0;
};

}  // namespace archwright::editor::view
