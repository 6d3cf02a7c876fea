#include <cstdio>

#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "exporters/nc/program.hpp"

namespace archwright::exporters::nc {

namespace {

constexpr double least_arc_mm = 0.05;      // shorter ones are lines: their centres would be guessed
constexpr long most_line_number = 99'999;  // five digits, as RS-274/NGC has them; begins anew after it

/// Letters, digits and plain signs: what every control shows.
std::string plain(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '(' || c == '[' || c == '{')
            out += '<';
        else if (c == ')' || c == ']' || c == '}')
            out += '>';
        else if (c == ';')  // begins a comment on some controls
            out += ',';
        else if (c >= 32 && c <= 126 && c != '%')
            out += c;
        else if (out.empty() || out.back() != '?')
            out += '?';
    }
    return out;
}

class Lines {
  public:
    explicit Lines(const workshop::Post& post) : post_(post) {}

    void word(const std::string& text) {
        number_ += post_.number_step;
        // no number stands twice: a program that is longer goes on without
        const bool numbered = post_.numbers && number_ <= most_line_number;
        text_ += (numbered ? "N" + std::to_string(number_) + " " : std::string()) + text + "\n";
    }
    void comment(std::string_view text) {
        std::string rest = plain(text);
        const auto room = static_cast<std::size_t>(post_.line_length) - 2;
        while (rest.size() > room) {
            std::size_t cut = rest.rfind(' ', room);
            if (cut == std::string::npos || cut == 0) cut = room;
            text_ += "(" + rest.substr(0, cut) + ")\n";
            rest.erase(0, rest[cut] == ' ' ? cut + 1 : cut);
        }
        text_ += "(" + rest + ")\n";
    }
    void raw(const std::string& line) { text_ += line + "\n"; }
    /// The post's words for something, several lines between ";".
    void by_post(const std::string& words, int tool) {
        std::size_t begin = 0;
        while (begin <= words.size()) {
            const std::size_t end = std::min(words.find(';', begin), words.size());
            std::string line = words.substr(begin, end - begin);
            for (std::size_t at; (at = line.find("{tool}")) != std::string::npos;)
                line.replace(at, 6, std::to_string(tool));
            if (line.find_first_not_of(' ') != std::string::npos) word(line);
            begin = end + 1;
        }
    }
    const std::string& text() const { return text_; }

  private:
    const workshop::Post& post_;
    long number_ = 0;
    std::string text_;
};

}  // namespace

const std::vector<std::string>& cautions() {
    static const std::vector<std::string> all = {
        "CAUTION: guards closed, eyes and ears protected, no gloves near the spindle.",
        "CAUTION: block clamped or pinned; clamps and pins below the clearance plane and clear of the "
        "channels.",
        "CAUTION: dry run first, with the zero raised well above the block; watch the first cut of every "
        "cutter.",
        "CAUTION: extraction on; dust and fumes of plastics are harmful.",
        "CAUTION: the rules of the machine's maker and of your workshop go before this program."};
    return all;
}

std::string write_program(const std::vector<mill::Operation>& operations, const Head& head,
                          const workshop::Post& post) {
    Lines lines(post);
    lines.raw("%");
    for (const std::string& line : head.lines) lines.comment(line);
    if (!head.pair.empty()) lines.raw("(PAIR " + head.pair + ")");
    int tool = 0;
    for (const mill::Operation& operation : operations)
        lines.comment("T" + std::to_string(++tool) + ": " + operation.cutter.name + ", " +
                      mill::title(operation.cutter) + ", out of its holder " +
                      exact(operation.cutter.stick_out) + " mm or more; " + operation.name);
    for (const std::string& line : cautions()) lines.comment(line);
    if (head.melts)
        lines.comment(
            "HEAT: this plastic melts on a slow or blunt cutter. Sharp flutes, air on the chips, no pause in "
            "the "
            "cut; stop when chips weld.");
    lines.word(std::string("G17 ") + (post.inch ? "G20" : "G21") + " G40 G49 G54 G80 G90 G94");

    const double mm_of_unit = post.inch ? mm_per(LengthUnit::inch) : 1.0, unit = 1.0 / mm_of_unit;
    const auto coordinate = [&](double mm) {
        std::string text = rounded(mm * unit, post.decimals);
        while (text.back() == '0') text.pop_back();
        if (text.back() == '.') text.pop_back();
        return text;
    };
    tool = 0;
    for (const mill::Operation& operation : operations) {
        ++tool;
        lines.comment(operation.name);
        lines.by_post(post.retract, tool);
        lines.by_post(post.tool_change, tool);
        lines.word("S" + rounded(operation.turns, 0) + " M3");
        std::string x, y, z, feed;
        const auto value = [](const std::string& text) { return parse_number(text).value_or(0.0); };
        int mode = -1;
        for (std::size_t i = 0; i < operation.moves.size(); ++i) {
            const mill::Move& move = operation.moves[i];
            const std::string nx = coordinate(move.to.x()), ny = coordinate(move.to.y()),
                              nz = coordinate(move.to.z());
            if (i == 0) {  // over the place first, at the height of the change; then down
                lines.word("G0 X" + nx + " Y" + ny);
                if (!post.tool_length.empty()) lines.by_post(post.tool_length, tool);
                lines.word("G0 Z" + nz);
                mode = 0;
            } else {
                std::string words;
                int wanted = move.rapid ? 0 : 1;
                std::string centre;
                if (move.turn != 0) {
                    // as far from both ends as they stand written
                    const Vec2 begin(value(x), value(y)), end(value(nx), value(ny)), chord = end - begin;
                    const Vec2 middle = 0.5 * (begin + end),
                               across = Vec2(-chord.y(), chord.x()).normalized();
                    const Vec2 from_begin = middle + across.dot(move.centre * unit - middle) * across - begin;
                    if (chord.norm() * mm_of_unit > least_arc_mm) {
                        centre = " I" + coordinate(from_begin.x() / unit) + " J" +
                                 coordinate(from_begin.y() / unit);
                        wanted = move.turn < 0 ? 2 : 3;
                    }
                }
                if (wanted != mode) words = "G" + std::to_string(wanted);
                const auto add = [&](const std::string& word) { words += (words.empty() ? "" : " ") + word; };
                if (nx != x) add("X" + nx);
                if (ny != y) add("Y" + ny);
                if (nz != z) add("Z" + nz);
                words += centre;
                if (nx == x && ny == y && nz == z) continue;  // nothing is left of it in so many decimals
                if (!move.rapid) {
                    const std::string f = rounded(move.feed * unit, post.inch ? 2 : 0);
                    if (f != feed) add("F" + f);
                    feed = f;
                }
                mode = wanted;
                lines.word(words);
            }
            x = nx;
            y = ny;
            z = nz;
        }
        lines.word("M5");
    }
    lines.by_post(post.retract, tool);
    const std::string end = "M30\n%\n";
    const std::string sum = sha256(lines.text() + end);
    lines.raw("(SHA-256 " + sum.substr(0, 32) + ")");
    lines.raw("(SHA-256 " + sum.substr(32) + ")");
    return lines.text() + end;
}

bool checksum_holds(std::string_view text) {
    std::string rest, sum;
    for (std::size_t begin = 0; begin < text.size();) {
        const std::size_t end = std::min(text.find('\n', begin), text.size() - 1);
        const std::string_view line = text.substr(begin, end + 1 - begin);
        if (line.substr(0, 9) == "(SHA-256 " && line.size() == 43 && line.substr(41) == ")\n")
            sum += line.substr(9, 32);
        else
            rest += line;
        begin = end + 1;
    }
    return sum.size() == 64 && sha256(rest) == sum;
}

}  // namespace archwright::exporters::nc
