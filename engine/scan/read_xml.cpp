#include "engine/scan/read_xml.hpp"

#include <algorithm>

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

namespace {

constexpr std::size_t piece_bytes = 1u << 16;

Fault unreadable(const std::string& message) {
    return {FaultKind::input, "read", message, {}};
}
bool blank(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}
std::string_view local(std::string_view name) {
    const std::size_t colon = name.rfind(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

}  // namespace

Outcome<bool> XmlReader::more() {
    if (ended_) return false;
    if (at_ > 0) {
        buffer_.erase(0, at_);
        at_ = 0;
    }
    if (buffer_.size() > longest_tag) return unreadable("a tag of its XML has no end");
    const std::size_t before = buffer_.size();
    buffer_.resize(before + piece_bytes);
    const auto got = refill_(buffer_.data() + before, piece_bytes);
    if (!got) return got.fault();
    buffer_.resize(before + *got);
    ended_ = *got == 0;
    return !ended_;
}

Outcome<std::size_t> XmlReader::find(std::string_view until, std::size_t from) {
    // `from` counts from at_, which more() moves
    for (;;) {
        const std::size_t found = buffer_.find(until, at_ + from);
        if (found != std::string::npos) return found - at_;
        const std::size_t seen = buffer_.size() - at_;
        from = seen >= until.size() ? std::max(from, seen - until.size() + 1) : from;
        const auto again = more();
        if (!again) return again.fault();
        if (!*again) return std::string::npos;
    }
}

std::optional<std::string_view> XmlReader::attribute(std::string_view local_name) const {
    for (const Attribute& a : attributes_)
        if (local(a.name) == local_name) return a.value;
    return std::nullopt;
}

Outcome<XmlReader::Event> XmlReader::next() {
    if (close_pending_) {
        close_pending_ = false;
        open_.pop_back();
        attributes_.clear();
        return event_ = Event::close;
    }
    const auto cut_off = [] { return unreadable("its XML ends in the middle"); };
    for (;;) {
        // to the next tag; text between tags means nothing here and is let go piece by piece
        for (;;) {
            const std::size_t found = buffer_.find('<', at_);
            if (found != std::string::npos) {
                at_ = found;
                break;
            }
            if (buffer_.find('\0', at_) != std::string::npos)
                return unreadable("its XML is not UTF-8 text (or is damaged)");
            at_ = buffer_.size();
            const auto again = more();
            if (!again) return again.fault();
            if (*again) continue;
            if (!open_.empty() || !root_seen_) return cut_off();
            return event_ = Event::end;
        }
        while (buffer_.size() - at_ < 9) {
            const auto again = more();
            if (!again) return again.fault();
            if (!*again) break;
        }
        const std::string_view rest = std::string_view(buffer_).substr(at_);
        std::string_view until;
        if (rest.substr(0, 4) == "<!--") until = "-->";
        if (rest.substr(0, 2) == "<?") until = "?>";
        if (rest.substr(0, 9) == "<![CDATA[") until = "]]>";
        if (!until.empty()) {
            const auto end = find(until, until == "-->" ? 4 : 2);
            if (!end) return end.fault();
            if (*end == std::string::npos) return cut_off();
            at_ += *end + until.size();
            continue;
        }
        if (rest.substr(0, 2) == "<!")
            return unreadable("its XML declares a document type, which 3MF forbids");
        // the end of the tag: the first ">" outside quotes
        std::size_t from = 1;
        char quote = 0;
        for (;;) {
            const std::size_t i = at_ + from < buffer_.size()
                                      ? (quote != 0 ? buffer_.find(quote, at_ + from)
                                                    : buffer_.find_first_of("\"'>", at_ + from))
                                      : std::string::npos;
            if (i == std::string::npos) {
                from = buffer_.size() - at_;
                const auto again = more();
                if (!again) return again.fault();
                if (!*again) return cut_off();
                continue;
            }
            from = i - at_ + 1;
            if (quote != 0) {
                quote = 0;
            } else if (buffer_[i] == '>') {
                break;
            } else {
                quote = buffer_[i];
            }
        }
        const std::size_t begin = at_ + 1;
        at_ += from;
        return tag(std::string_view(buffer_).substr(begin, at_ - begin - 1));
    }
}

Outcome<XmlReader::Event> XmlReader::tag(std::string_view body) {
    attributes_.clear();
    const bool closing = !body.empty() && body.front() == '/';
    const bool empty = !closing && !body.empty() && body.back() == '/';
    if (closing) body.remove_prefix(1);
    if (empty) body.remove_suffix(1);
    std::size_t i = 0;
    const auto word = [&](std::string_view stop) {
        const std::size_t begin = i;
        while (i < body.size() && !blank(body[i]) && stop.find(body[i]) == std::string_view::npos) ++i;
        return body.substr(begin, i - begin);
    };
    const auto skip = [&] {
        while (i < body.size() && blank(body[i])) ++i;
    };
    const std::string_view full = word("<");
    if (full.empty()) return unreadable("a tag of its XML has no name");
    name_ = local(full);
    if (closing) {
        if (open_.empty() || open_.back() != full)
            return unreadable("its XML closes \"" + shown(full) + "\" where another tag is open");
        open_.pop_back();
        return event_ = Event::close;
    }
    for (skip(); i < body.size(); skip()) {
        Attribute a;
        a.name = word("=<");
        skip();
        if (a.name.empty() || i >= body.size() || body[i] != '=')
            return unreadable("an attribute of \"" + shown(full) + "\" in its XML is damaged");
        ++i;
        skip();
        const char quote = i < body.size() ? body[i] : '\0';
        const std::size_t end =
            quote == '"' || quote == '\'' ? body.find(quote, i + 1) : std::string_view::npos;
        if (end == std::string_view::npos)
            return unreadable("an attribute of \"" + shown(full) + "\" in its XML is damaged");
        a.value = body.substr(i + 1, end - i - 1);
        i = end + 1;
        attributes_.push_back(a);
    }
    if (open_.empty() && root_seen_) return unreadable("its XML has more than one root");
    if (open_.size() >= deepest) return unreadable("tags of its XML are nested too deeply");
    root_seen_ = true;
    open_.emplace_back(full);
    close_pending_ = empty;
    return event_ = Event::open;
}

}  // namespace archwright::scan
