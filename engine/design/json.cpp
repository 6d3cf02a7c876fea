#include "engine/design/json.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <unordered_set>

#include "engine/base/text.hpp"

namespace archwright::design {

Json Json::of(bool value) {
    Json j;
    j.kind = Kind::boolean;
    j.boolean = value;
    return j;
}
Json Json::of(double value) {
    Json j;
    if (!std::isfinite(value)) return j;
    j.kind = Kind::number;
    j.number = value;
    return j;
}
Json Json::of(std::string value) {
    Json j;
    j.kind = Kind::text;
    j.text = std::move(value);
    return j;
}
Json Json::list() {
    Json j;
    j.kind = Kind::list;
    return j;
}
Json Json::object() {
    Json j;
    j.kind = Kind::object;
    return j;
}

const Json* Json::find(std::string_view key) const {
    for (const auto& member : members)
        if (member.first == key) return &member.second;
    return nullptr;
}
Json* Json::find(std::string_view key) {
    for (auto& member : members)
        if (member.first == key) return &member.second;
    return nullptr;
}
Json& Json::add(std::string key, Json value) {
    members.emplace_back(std::move(key), std::move(value));
    return members.back().second;
}
void Json::drop(std::string_view key) {
    std::erase_if(members, [&](const auto& member) { return member.first == key; });
}

const char* kind_word(const Json& value) {
    switch (value.kind) {
        case Json::Kind::null:
            return "null";
        case Json::Kind::boolean:
            return "true or false";
        case Json::Kind::number:
            return "a number";
        case Json::Kind::text:
            return "a text";
        case Json::Kind::list:
            return "a list";
        case Json::Kind::object:
            return "a group of keys";
    }
    return "";
}

namespace {

/// Builds the tree from the library's events, so that depth, size and duplicate keys are seen as they come.
class Builder : public nlohmann::json_sax<nlohmann::json> {
  public:
    explicit Builder(const JsonLimits& limits) : limits_(limits) {}

    bool null() override { return put(Json{}) != nullptr; }
    bool boolean(bool value) override { return put(Json::of(value)) != nullptr; }
    bool number_integer(number_integer_t value) override { return put_number(static_cast<double>(value)); }
    bool number_unsigned(number_unsigned_t value) override { return put_number(static_cast<double>(value)); }
    bool number_float(number_float_t, const string_t& written) override {
        // The library converts under the C locale and has put that locale's decimal point into the text.
        std::string plain = written;
        for (char& c : plain)
            if (std::string_view("0123456789+-eE").find(c) == std::string_view::npos) c = '.';
        const std::optional<double> value = parse_number(plain);
        return value ? put_number(*value) : fail("the number " + plain + " is too large");
    }
    bool string(string_t& value) override { return put(Json::of(std::move(value))) != nullptr; }
    bool binary(binary_t&) override { return fail("binary data has no place in JSON text"); }
    bool start_object(std::size_t) override { return open(Json::object()); }
    bool start_array(std::size_t) override { return open(Json::list()); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }
    bool key(string_t& value) override {
        if (!keys_.back().insert(value).second)
            return fail("the key \"" + value + "\" stands twice in the same group: keep one");
        key_ = std::move(value);
        return true;
    }
    bool parse_error(std::size_t position, const std::string& last,
                     const nlohmann::json::exception& e) override {
        position_ = position;
        const std::string what = e.what();
        if (what.find("number overflow") != std::string::npos)
            return fail("the number " + last + " is too large");
        const std::string_view marker = "syntax error while parsing ";
        const std::size_t at = what.find(marker);
        return fail("the JSON is broken: " +
                    (at == std::string::npos ? what : what.substr(at + marker.size())));
    }

    const std::string& message() const { return message_; }
    std::optional<std::size_t> position() const { return position_; }
    Json take() { return std::move(root_); }

  private:
    bool fail(std::string message) {
        message_ = std::move(message);
        return false;
    }
    bool put_number(double value) { return put(Json::of(value)) != nullptr; }
    Json* put(Json value) {
        if (++count_ > limits_.values) {
            fail("it holds more than " + std::to_string(limits_.values) + " values");
            return nullptr;
        }
        if (stack_.empty()) return &(root_ = std::move(value));
        Json& parent = *stack_.back();
        if (parent.kind == Json::Kind::object) return &parent.add(std::move(key_), std::move(value));
        return &parent.items.emplace_back(std::move(value));
    }
    bool open(Json value) {
        if (static_cast<int>(stack_.size()) >= limits_.depth)
            return fail("it is nested deeper than " + std::to_string(limits_.depth) + " levels");
        Json* placed = put(std::move(value));
        if (!placed) return false;
        keys_.emplace_back();
        stack_.push_back(placed);  // stays valid: a parent's list grows only after its last child is closed
        return true;
    }
    bool close() {
        keys_.pop_back();
        stack_.pop_back();
        return true;
    }

    JsonLimits limits_;
    Json root_;
    std::vector<Json*> stack_;
    std::vector<std::unordered_set<std::string>> keys_;  ///< of the groups that are open
    std::string key_, message_;
    std::optional<std::size_t> position_;
    std::size_t count_ = 0;
};

/// "line 3, column 14" of a byte position.
std::string line_and_column(std::string_view text, std::size_t position) {
    const std::string_view before = text.substr(0, std::min(position, text.size()));
    const auto line = 1 + std::count(before.begin(), before.end(), '\n');
    const std::size_t start = before.rfind('\n');
    const std::size_t column = start == std::string_view::npos ? before.size() : before.size() - start - 1;
    return "line " + std::to_string(line) + ", column " + std::to_string(std::max<std::size_t>(column, 1));
}

}  // namespace

Outcome<Json> parse_json(std::string_view text, const std::string& name, const JsonLimits& limits) {
    if (text.size() > limits.bytes)
        return Fault{FaultKind::input,
                     "read",
                     name + " has " + std::to_string(text.size()) + " bytes, more than the " +
                         std::to_string(limits.bytes) + " allowed: is it the right file?",
                     {}};
    if (text.find_first_not_of(" \t\r\n") == std::string_view::npos)
        return Fault{FaultKind::input,
                     "read",
                     name + ": it is empty (" + std::to_string(text.size()) +
                         " bytes): was its writing broken off? Take it from a backup.",
                     {}};
    Builder builder(limits);
    bool good = false;
    std::string trouble;
    try {
        good = nlohmann::json::sax_parse(text.begin(), text.end(), &builder);
        trouble = builder.message();
    } catch (const std::exception& e) {
        trouble = e.what();
    }
    if (good) return builder.take();
    std::string where;
    if (builder.position()) where = " " + line_and_column(text, *builder.position()) + ":";
    return Fault{FaultKind::input, "read", name + ":" + where + " " + trouble, {}};
}

namespace {

void quote(std::string& out, std::string_view text) {
    out += '"';
    for (const char c : text) {
        switch (c) {
            case '"':
                out += "\\\"";
                break;
            case '\\':
                out += "\\\\";
                break;
            case '\n':
                out += "\\n";
                break;
            case '\t':
                out += "\\t";
                break;
            default:
                if (static_cast<unsigned char>(c) < 0x20) {
                    constexpr std::string_view digits = "0123456789abcdef";
                    out += "\\u00";
                    out += digits[static_cast<unsigned char>(c) >> 4];
                    out += digits[static_cast<unsigned char>(c) & 15];
                } else {
                    out += c;
                }
        }
    }
    out += '"';
}

bool plain(const Json& value) {
    return value.kind != Json::Kind::list && value.kind != Json::Kind::object;
}
/// Coordinates and lists of words stay on one line.
bool one_line(const Json& value) {
    return std::all_of(value.items.begin(), value.items.end(), plain);
}

class Printer {
  public:
    explicit Printer(bool compact) : compact_(compact) {}

    void write(const Json& value, int depth) {
        switch (value.kind) {
            case Json::Kind::null:
                out += "null";
                break;
            case Json::Kind::boolean:
                out += value.boolean ? "true" : "false";
                break;
            case Json::Kind::number:
                out += exact(value.number);
                break;
            case Json::Kind::text:
                quote(out, value.text);
                break;
            case Json::Kind::list:
                write_list(value, depth);
                break;
            case Json::Kind::object:
                write_object(value, depth);
                break;
        }
    }

    std::string out;

  private:
    void line(int depth) {
        if (compact_) return;
        out += '\n';
        out.append(static_cast<std::size_t>(2 * depth), ' ');
    }
    void write_list(const Json& value, int depth) {
        const bool flat = one_line(value);
        out += '[';
        for (std::size_t i = 0; i < value.items.size(); ++i) {
            if (i) out += flat && !compact_ ? ", " : ",";
            if (!flat) line(depth + 1);
            write(value.items[i], depth + 1);
        }
        if (!flat) line(depth);
        out += ']';
    }
    void write_object(const Json& value, int depth) {
        out += '{';
        bool first = true;
        for (const auto& [key, member] : value.members) {
            if (!first) out += ',';
            first = false;
            line(depth + 1);
            quote(out, key);
            out += compact_ ? ":" : ": ";
            write(member, depth + 1);
        }
        if (!first) line(depth);
        out += '}';
    }

    bool compact_;
};

}  // namespace

std::string print(const Json& value, bool compact) {
    Printer printer(compact);
    printer.write(value, 0);
    if (!compact) printer.out += '\n';
    return std::move(printer.out);
}

}  // namespace archwright::design
