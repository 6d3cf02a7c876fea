#include "engine/design/command_text.hpp"

#include <optional>

#include "engine/design/text_kind.hpp"

namespace archwright::design {

namespace {

bool blank(char c) {
    return c == ' ' || c == '\t';
}
bool control(char c) {
    return static_cast<unsigned char>(c) < 0x20 || c == 0x7F;
}
bool of_name(char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
}

void append_utf8(std::string& out, unsigned code) {
    const auto put = [&](unsigned byte) { out += static_cast<char>(byte); };
    if (code < 0x80) {
        put(code);
    } else if (code < 0x800) {
        put(0xC0 | (code >> 6));
        put(0x80 | (code & 0x3F));
    } else if (code < 0x10000) {
        put(0xE0 | (code >> 12));
        put(0x80 | ((code >> 6) & 0x3F));
        put(0x80 | (code & 0x3F));
    } else {
        put(0xF0 | (code >> 18));
        put(0x80 | ((code >> 12) & 0x3F));
        put(0x80 | ((code >> 6) & 0x3F));
        put(0x80 | (code & 0x3F));
    }
}

/// Reads one line from left to right.
class Scanner {
  public:
    explicit Scanner(std::string_view line) : line_(line) {}

    Outcome<std::vector<CommandWord>> words() {
        std::vector<CommandWord> all;
        for (;;) {
            while (at_ < line_.size() && blank(line_[at_])) ++at_;
            if (at_ >= line_.size() || line_[at_] == '#') return all;
            CommandWord word;
            if (auto fault = read(word)) return *fault;
            all.push_back(std::move(word));
        }
    }

  private:
    Fault wrong(const std::string& what, std::size_t at) const {
        return Fault{FaultKind::usage, "command", "Column " + std::to_string(at + 1) + ": " + what, {}};
    }

    std::optional<Fault> read(CommandWord& word) {
        bool value_begins = true, bare_name = true;
        while (at_ < line_.size() && !blank(line_[at_])) {
            const char c = line_[at_];
            if (value_begins && (c == '[' || c == '{')) {
                if (auto fault = bracketed(word.text)) return fault;
                if (at_ < line_.size() && !blank(line_[at_]))
                    return wrong(
                        "something follows a closing bracket: put a blank there, or the whole value "
                        "in quotes",
                        at_);
                return std::nullopt;
            }
            value_begins = false;
            if (control(c)) return wrong("a control character: write it as \\n or \\u00.. in quotes", at_);
            if (c == '"') {
                bare_name = false;
                if (auto fault = quoted(word.text)) return fault;
                continue;
            }
            if (c == '=' && bare_name && !word.text.empty()) {
                word.name_size = word.text.size();
                value_begins = true;
            }
            bare_name = bare_name && of_name(c);
            word.text += c;
            ++at_;
        }
        return std::nullopt;
    }

    /// JSON as it stands, to the bracket that closes the first.
    std::optional<Fault> bracketed(std::string& out) {
        const std::size_t from = at_;
        std::string open;
        bool text = false;
        for (; at_ < line_.size(); ++at_) {
            const char c = line_[at_];
            if (text) {
                if (c == '\\' && at_ + 1 < line_.size())
                    out += line_[at_++];
                else if (c == '"')
                    text = false;
            } else if (c == '"') {
                text = true;
            } else if (c == '[' || c == '{') {
                open += c;
            } else if (c == ']' || c == '}') {
                if (open.back() != (c == ']' ? '[' : '{'))
                    return wrong(std::string("\"") + c + "\" closes no bracket that is open", at_);
                open.pop_back();
            }
            out += line_[at_];
            if (open.empty()) {
                ++at_;
                return std::nullopt;
            }
        }
        return wrong("the bracket that begins here is never closed", from);
    }

    std::optional<Fault> quoted(std::string& out) {
        const std::size_t from = at_++;
        for (; at_ < line_.size(); ++at_) {
            const char c = line_[at_];
            if (c == '"') {
                ++at_;
                return std::nullopt;
            }
            if (c != '\\') {
                if (control(c) && c != '\t')
                    return wrong("a control character: write it as \\n or \\u00..", at_);
                out += c;
                continue;
            }
            if (++at_ >= line_.size()) break;
            if (line_[at_] == 'u') {
                if (auto fault = unicode(out)) return fault;
                continue;
            }
            static constexpr std::string_view names = "\"\\/bfnrt", meant = "\"\\/\b\f\n\r\t";
            const std::size_t which = names.find(line_[at_]);
            if (which == std::string_view::npos)
                return wrong("\"\\" + std::string(1, line_[at_]) +
                                 "\" is no escape: there are \\\" \\\\ \\/ \\b \\f \\n \\r \\t \\u00e9",
                             at_ - 1);
            out += meant[which];
        }
        return wrong("the quotes that begin here are never closed", from);
    }

    /// "uXXXX" at the place, with the second half of a pair; ends on its last digit.
    std::optional<Fault> unicode(std::string& out) {
        const std::size_t from = at_ - 1;
        const auto four = [&]() -> std::optional<unsigned> {  // after the 'u' at the place
            if (at_ + 4 >= line_.size()) return std::nullopt;
            unsigned value = 0;
            for (int i = 0; i < 4; ++i) {
                const char c = line_[++at_];
                const bool digit = c >= '0' && c <= '9';
                const char low = static_cast<char>(c | 0x20);
                if (!digit && !(low >= 'a' && low <= 'f')) return std::nullopt;
                value = value * 16 + static_cast<unsigned>(digit ? c - '0' : low - 'a' + 10);
            }
            return value;
        };
        const auto bad = [&] { return wrong("\\u takes four hexadecimal digits of a character", from); };
        auto code = four();
        if (!code || *code == 0 || (*code >= 0xDC00 && *code < 0xE000)) return bad();
        if (*code >= 0xD800 && *code < 0xDC00) {
            if (line_.substr(at_ + 1, 2) != "\\u") return bad();
            at_ += 2;
            const auto second = four();
            if (!second || *second < 0xDC00 || *second >= 0xE000) return bad();
            code = 0x10000 + ((*code - 0xD800) << 10) + (*second - 0xDC00);
        }
        append_utf8(out, *code);
        return std::nullopt;
    }

    std::string_view line_;
    std::size_t at_ = 0;
};

std::string in_word_quotes(std::string_view text) {
    static constexpr std::string_view digits = "0123456789abcdef";
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (c == '"' || c == '\\')
            out += std::string("\\") + c;
        else if (c == '\n')
            out += "\\n";
        else if (c == '\t')
            out += "\\t";
        else if (control(c))
            out += std::string("\\u00") + digits[byte >> 4] + digits[byte & 15];
        else
            out += c;
    }
    return out + "\"";
}

/// Whether the word, as it stands, is read as this and nothing else.
bool reads_as(const std::string& word, const CommandWord& wanted) {
    const auto words = command_words(word);
    return words && words->size() == 1 && words->front() == wanted;
}

}  // namespace

Outcome<std::vector<CommandWord>> command_words(std::string_view line) {
    if (line.size() > longest_command)
        return Fault{FaultKind::usage,
                     "command",
                     "The command is longer than " + std::to_string(longest_command) +
                         " bytes: no job holds so long a value",
                     {}};
    return Scanner(line).words();
}

std::string as_word(std::string_view text) {
    std::string bare(text);
    return reads_as(bare, {bare, 0}) ? bare : in_word_quotes(text);
}

std::string as_named(std::string_view name, std::string_view value) {
    const std::string begin = std::string(name) + "=";
    const CommandWord wanted{begin + std::string(value), name.size()};
    std::string bare = begin + std::string(value);
    return reads_as(bare, wanted) ? bare : begin + in_word_quotes(value);
}

}  // namespace archwright::design
