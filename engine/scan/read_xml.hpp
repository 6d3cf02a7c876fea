// Tags and attributes of an XML stream, as much as 3MF needs: no document types, no entities beyond the five,
// no text. Memory is bounded by the longest tag.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"

namespace archwright::scan {

class XmlReader {
  public:
    /// Gives up to `room` bytes at `out`; 0 at the end.
    using Refill = std::function<Outcome<std::size_t>(char* out, std::size_t room)>;
    enum class Event { open, close, end };

    static constexpr std::size_t longest_tag = 1u << 20;
    static constexpr std::size_t deepest = 64;  ///< tags within tags; 3MF needs some ten

    explicit XmlReader(Refill refill) : refill_(std::move(refill)) {}

    /// The next tag. An empty tag gives `open` and then `close`. Every fault's message is the end of a
    /// sentence without a file's name.
    Outcome<Event> next();

    /// Of the tag just given: name without prefix, and attributes by local name. Valid until next().
    std::string_view name() const { return name_; }
    std::optional<std::string_view> attribute(std::string_view local_name) const;
    /// How many tags are open around the one given (0: the root).
    std::size_t depth() const { return open_.size() - (event_ == Event::open ? 1 : 0); }

  private:
    struct Attribute {
        std::string_view name, value;
    };
    Outcome<Event> tag(std::string_view body);
    /// Makes the text from `at_` on hold `until`; its place, npos at the end of the stream.
    Outcome<std::size_t> find(std::string_view until, std::size_t from);
    Outcome<bool> more();

    Refill refill_;
    std::string buffer_;
    std::size_t at_ = 0;  ///< first byte not yet used
    bool ended_ = false;
    bool close_pending_ = false;
    bool root_seen_ = false;
    Event event_ = Event::end;
    std::string_view name_;
    std::vector<Attribute> attributes_;
    std::vector<std::string> open_;  ///< full names
};

}  // namespace archwright::scan
