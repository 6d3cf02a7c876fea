#include "exporters/papers/remake_log.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstring>

#include "engine/base/file_lock.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::exporters::papers {

namespace {

// our own list: a laboratory that has codes writes its own
const std::array<RemakeCode, 10> our_codes{{{"R1", "cast not usable, or of another foot"},
                                            {"R2", "order not clear, or changed"},
                                            {"R3", "too long, too broad, too high in the shoe"},
                                            {"R4", "edge or relief presses"},
                                            {"R5", "too stiff"},
                                            {"R6", "too soft"},
                                            {"R7", "rocks, or posts wrong"},
                                            {"R8", "made wrong: side, wall, finish"},
                                            {"R9", "broken or worn"},
                                            {"R0", "other"}}};

constexpr std::size_t most_log_bytes = std::size_t{16} << 20;
constexpr std::string_view utf8_mark = "\xEF\xBB\xBF";

Fault log_fault(FaultKind kind, const std::string& message) {
    return {kind, "remakes", message, {}};
}

struct LogField {
    std::string text;
    std::size_t line = 1, column = 1;  ///< where it begins
};

std::string log_place(const std::string& name, std::size_t line, std::size_t column) {
    return name + ", line " + std::to_string(line) + ", column " + std::to_string(column) + ": ";
}

/// Rows of a CSV as RFC 4180 has it; ends of lines LF or CRLF. Every row ends with one.
Outcome<std::vector<std::vector<LogField>>> csv_rows(std::string_view text, const std::string& name) {
    std::vector<std::vector<LogField>> rows;
    std::size_t line = 1, line_begin = 0, at = text.starts_with(utf8_mark) ? utf8_mark.size() : 0;
    line_begin = at;
    const auto wrong = [&](std::size_t where, const std::string& what) {
        return log_fault(FaultKind::input, log_place(name, line, where - line_begin + 1) + what);
    };
    while (at < text.size()) {
        std::vector<LogField> row;
        for (bool more = true; more;) {
            LogField field{"", line, at - line_begin + 1};
            if (at < text.size() && text[at] == '"') {
                const std::size_t begin = at++;
                for (;; ++at) {
                    if (at >= text.size())
                        return log_fault(FaultKind::input, log_place(name, field.line, field.column) +
                                                               "a quoted text begins here and never ends.");
                    if (text[at] == '"') {
                        if (at + 1 >= text.size() || text[at + 1] != '"') break;
                        ++at;
                    } else if (text[at] == '\n') {
                        return wrong(begin, "a quoted text runs over the end of its line; write it in one.");
                    }
                    field.text += text[at];
                }
                ++at;
                if (at < text.size() && text[at] != ',' && text[at] != '\n' && text[at] != '\r')
                    return wrong(at, "after the closing quote a comma or the end of the line must follow.");
            } else {
                while (at < text.size() && text[at] != ',' && text[at] != '\n' && text[at] != '\r') {
                    if (text[at] == '"')
                        return wrong(at,
                                     "a quote within a text that does not begin with one; double it and "
                                     "quote the whole.");
                    field.text += text[at++];
                }
            }
            row.push_back(std::move(field));
            if (at >= text.size()) return wrong(at, "the last line has no end: it was not written whole.");
            if (text[at] == '\r' && (at + 1 >= text.size() || text[at + 1] != '\n'))
                return wrong(at, "a carriage return alone; lines end with LF or CRLF.");
            more = text[at] == ',';
            at += text[at] == '\r' ? 2 : 1;
        }
        rows.push_back(std::move(row));
        ++line;
        line_begin = at;
    }
    return rows;
}

/// The header's names, in this order.
std::optional<Fault> header_trouble(const std::vector<std::vector<LogField>>& rows, const std::string& header,
                                    const std::string& name) {
    std::string found;
    if (!rows.empty())
        for (const LogField& field : rows.front()) found += (found.empty() ? "" : ",") + field.text;
    if (found == header) return std::nullopt;
    return log_fault(
        FaultKind::input,
        log_place(name, 1, 1) + "the first line must be \"" + header + "\", here it is " +
            design::in_quotes(found, 60) +
            (found.find(';') != std::string::npos ? " (separated by semicolons, not commas)." : "."));
}

const RemakeCode* code_of(const std::string& code, std::span<const RemakeCode> known) {
    for (const auto& list : {known, remake_codes()})
        for (const RemakeCode& one : list)
            if (one.code == code) return &one;
    return nullptr;
}

std::array<const std::string*, 6> texts_of(const Remake& r) {
    return {&r.date, &r.case_code, &r.revision, &r.code, &r.cause, &r.by};
}

/// Which field (of the header) is wrong, and why.
std::pair<std::size_t, std::string> wrong_field(const Remake& r, std::span<const RemakeCode> known) {
    using design::TextKind;
    constexpr std::array<std::size_t, 6> field{0, 1, 3, 4, 5, 6};
    constexpr std::array kinds{TextKind::date, TextKind::code,  TextKind::letter,
                               TextKind::code, TextKind::words, TextKind::code};
    constexpr std::array names{"the day", "the case", "the revision", "the code", "the cause", "the person"};
    const auto texts = texts_of(r);
    for (std::size_t k = 0; k < texts.size(); ++k)
        if (const std::string why = design::text_trouble(*texts[k], kinds[k]); !why.empty())
            return {field[k], std::string(names[k]) + " " + design::in_quotes(*texts[k]) + ": " + why};
    if (r.cause.find_first_not_of(" \t\n") == std::string::npos)
        return {5, "the cause is blank: say what was found"};
    if (r.cause.find('\n') != std::string::npos) return {5, "the cause must be one line"};
    // a table program would reckon with it
    if (std::string("=+-@").find(r.cause.front()) != std::string::npos)
        return {5, "the cause must not begin with =, +, - or @"};
    if (code_of(r.code, known) == nullptr) {
        std::string all;
        for (const auto& list : {remake_codes(), known})
            for (const RemakeCode& one : list)
                if (all.size() < 200) all += (all.empty() ? "" : ", ") + one.code;
        return {4, "the code " + design::in_quotes(r.code) + " is none of " + all +
                       "; a laboratory's own codes stand in a file of theirs (--codes)"};
    }
    return {0, ""};
}

std::string csv_text(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
    return out + "\"";
}

std::string csv_line(const Remake& r) {
    return r.date + "," + r.case_code + "," + word(r.side) + "," + r.revision + "," + r.code + "," +
           csv_text(r.cause) + "," + r.by + "\n";
}

/// A file that is open, and locked as long as it is.
class OpenLog {
  public:
    explicit OpenLog(int descriptor) : descriptor_(descriptor) {}
    ~OpenLog() {
        if (descriptor_ >= 0) ::close(descriptor_);
    }
    OpenLog(const OpenLog&) = delete;
    OpenLog& operator=(const OpenLog&) = delete;
    int get() const { return descriptor_; }

    /// Waits for others; false when they keep it too long or the folder keeps no locks (`errno`).
    bool lock(bool to_write) const {
        return lock_file(descriptor_, to_write, std::chrono::steady_clock::now() + lock_patience);
    }

    /// All bytes from the beginning. False: `errno`, or too many (EFBIG).
    bool read(std::string& text) const {
        std::array<char, 65536> piece;
        off_t at = 0;
        for (;;) {
            const ssize_t got = ::pread(descriptor_, piece.data(), piece.size(), at);
            if (got < 0 && errno == EINTR) continue;
            if (got < 0) return false;
            if (got == 0) return true;
            text.append(piece.data(), static_cast<std::size_t>(got));
            at += got;
            if (text.size() > most_log_bytes) {
                errno = EFBIG;
                return false;
            }
        }
    }

  private:
    int descriptor_;
};

std::string why_not(const std::filesystem::path& path) {
    return path.string() + ": " + std::strerror(errno);
}

/// A plain file, or what else it is told apart by.
std::optional<Fault> no_plain_file(int descriptor, const std::filesystem::path& path) {
    struct stat about {};
    if (::fstat(descriptor, &about) == 0 && S_ISREG(about.st_mode)) return std::nullopt;
    return log_fault(FaultKind::input, path.string() + " is no file.");
}

}  // namespace

const char* const remake_header = "date,case,side,revision,code,cause,by";

std::span<const RemakeCode> remake_codes() {
    return our_codes;
}

Outcome<std::vector<RemakeCode>> read_remake_codes(std::string_view text, const std::string& name) {
    const auto rows = csv_rows(text, name);
    if (!rows) return rows.fault();
    if (auto fault = header_trouble(*rows, "code,words", name)) return *fault;
    std::vector<RemakeCode> codes;
    for (std::size_t k = 1; k < rows->size(); ++k) {
        const std::vector<LogField>& row = (*rows)[k];
        const auto wrong = [&](const LogField& field, const std::string& what) {
            return log_fault(FaultKind::input, log_place(name, field.line, field.column) + what + ".");
        };
        if (row.size() != 2)
            return wrong(row.back(),
                         "a line has two fields, code and words; here are " + std::to_string(row.size()));
        if (const auto why = design::text_trouble(row[0].text, design::TextKind::code); !why.empty())
            return wrong(row[0], "the code " + design::in_quotes(row[0].text) + ": " + why);
        if (const auto why = design::text_trouble(row[1].text, design::TextKind::words); !why.empty())
            return wrong(row[1], "the words " + design::in_quotes(row[1].text) + ": " + why);
        for (const RemakeCode& one : codes)
            if (one.code == row[0].text)
                return wrong(row[0], "the code " + design::in_quotes(one.code) + " stands here twice");
        codes.push_back({row[0].text, row[1].text});
    }
    return codes;
}

std::string remake_trouble(const Remake& remake, std::span<const RemakeCode> known) {
    return wrong_field(remake, known).second;
}

Outcome<std::vector<Remake>> read_remakes(std::string_view text, const std::string& name,
                                          std::span<const RemakeCode> known) {
    const auto rows = csv_rows(text, name);
    if (!rows) return rows.fault();
    if (auto fault = header_trouble(*rows, remake_header, name)) return *fault;
    std::vector<Remake> log;
    for (std::size_t k = 1; k < rows->size(); ++k) {
        const std::vector<LogField>& row = (*rows)[k];
        const auto wrong = [&](std::size_t field, const std::string& what) {
            const LogField& at = row[std::min(field, row.size() - 1)];
            return log_fault(FaultKind::input, log_place(name, at.line, at.column) + what + ".");
        };
        if (row.size() != 7)
            return wrong(row.size(), "a line has seven fields (" + std::string(remake_header) +
                                         "); here are " + std::to_string(row.size()));
        if (row[2].text != word(Side::left) && row[2].text != word(Side::right))
            return wrong(2, "the side " + design::in_quotes(row[2].text) + " is neither left nor right");
        Remake one{row[0].text, row[1].text, row[2].text == word(Side::left) ? Side::left : Side::right,
                   row[3].text, row[4].text, row[5].text,
                   row[6].text};
        if (const auto [field, why] = wrong_field(one, known); !why.empty()) return wrong(field, why);
        log.push_back(std::move(one));
    }
    return log;
}

Outcome<std::vector<Remake>> read_remake_log(const std::filesystem::path& path,
                                             std::span<const RemakeCode> known) {
    const OpenLog log(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
    if (log.get() < 0) return log_fault(FaultKind::input, why_not(path));
    if (auto fault = no_plain_file(log.get(), path)) return *fault;
    std::string text;
    if (!log.lock(false) || !log.read(text)) return log_fault(FaultKind::input, why_not(path));
    return read_remakes(text, path.filename().string(), known);
}

Outcome<Done> add_remake(const std::filesystem::path& path, const Remake& remake,
                         std::span<const RemakeCode> known) {
    if (const std::string why = remake_trouble(remake, known); !why.empty())
        return log_fault(FaultKind::usage, why + ". Nothing was added.");
    const OpenLog log(::open(path.c_str(), O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC | O_NONBLOCK, 0666));
    if (log.get() < 0) return log_fault(FaultKind::output, why_not(path));
    if (auto fault = no_plain_file(log.get(), path)) return *fault;
    if (!log.lock(true))
        return log_fault(FaultKind::output, why_not(path) +
                                                ": another holds it, or its folder keeps no "
                                                "locks. Nothing was added.");
    std::string text;
    if (!log.read(text)) return log_fault(FaultKind::input, why_not(path));
    std::string line = csv_line(remake);
    if (text.empty()) {
        line = std::string(remake_header) + "\n" + line;
    } else if (const auto whole = read_remakes(text, path.filename().string(), known); !whole) {
        return log_fault(FaultKind::input,
                         whole.fault().message + " Nothing was added: mend that line first.");
    }
    if (text.size() + line.size() > most_log_bytes)
        return log_fault(FaultKind::output, path.string() + " is full: begin another log.");
    const ssize_t wrote = ::write(log.get(), line.data(), line.size());
    if (wrote == static_cast<ssize_t>(line.size()) && ::fsync(log.get()) == 0) return Done{};
    const int why = errno;
    // a part of a line is none
    if (::ftruncate(log.get(), static_cast<off_t>(text.size())) != 0) {
        return log_fault(FaultKind::output, path.string() + ": its last line was not written whole (" +
                                                std::strerror(why) + "); take it out.");
    }
    return log_fault(FaultKind::output, path.string() + ": " +
                                            (wrote >= 0 && wrote < static_cast<ssize_t>(line.size())
                                                 ? std::string("there is no room")
                                                 : std::string(std::strerror(why))) +
                                            ". Nothing was added.");
}

}  // namespace archwright::exporters::papers
