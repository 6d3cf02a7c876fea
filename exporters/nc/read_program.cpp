#include <array>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "exporters/nc/program.hpp"

namespace archwright::exporters::nc {

namespace {

constexpr double arc_off_mm = 0.005;  // what rounded figures leave between both radii of an arc, and more
constexpr double change_height_mm = 50.0;  // where a cutter is after a change: above everything
constexpr std::size_t most_bytes = std::size_t{256} << 20U;

class Reader {
  public:
    Reader(const std::vector<mill::Cutter>& cutters, std::vector<std::size_t>* lines)
        : cutters_(cutters), lines_(lines) {}

    Outcome<std::vector<mill::Operation>> read(std::string_view text) {
        if (text.size() > most_bytes) return fault("the program has more than 256 MB");
        std::size_t begin = 0;
        bool ended = false;
        while (begin < text.size() && !ended) {
            std::size_t end = text.find('\n', begin);
            if (end == std::string_view::npos) end = text.size();
            ++line_;
            std::string_view line = text.substr(begin, end - begin);
            if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
            if (const auto done = read_line(line); !done)
                return done.fault();
            else
                ended = *done;
            begin = end + 1;
        }
        if (!ended) return fault("the program does not end: M30 is missing");
        return std::move(operations_);
    }

  private:
    Fault fault(const std::string& what) const {
        return {FaultKind::input, "program", "Line " + std::to_string(line_) + ": " + what + ".", {}};
    }

    /// True at the program's end.
    Outcome<bool> read_line(std::string_view line) {
        std::vector<std::pair<char, double>> words;
        for (std::size_t i = 0; i < line.size();) {
            const char c = line[i];
            if (c == ' ' || c == '\t') {
                ++i;
            } else if (c == '%') {
                return false;
            } else if (c == '(') {
                const std::size_t end = line.find(')', i);
                if (end == std::string_view::npos) return fault("a comment is not closed");
                if (line.substr(i + 1, end - i - 1).find('(') != std::string_view::npos)
                    return fault("a comment within a comment");
                i = end + 1;
            } else if ((c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z')) {
                std::size_t end = i + 1;
                while (end < line.size() && (std::isdigit(static_cast<unsigned char>(line[end])) != 0 ||
                                             line[end] == '.' || line[end] == '-' || line[end] == '+'))
                    ++end;
                std::string_view digits = line.substr(i + 1, end - i - 1);
                if (!digits.empty() && digits.front() == '+') digits.remove_prefix(1);
                const auto value = parse_number(digits);
                if (!value || std::abs(*value) > 1e7)
                    return fault("\"" + std::string(line.substr(i, end - i)) + "\" is no word with a number");
                words.emplace_back(static_cast<char>(std::toupper(c)), *value);
                i = end;
            } else {
                return fault("a sign this reader does not know");
            }
        }
        return do_words(words);
    }

    Outcome<bool> do_words(const std::vector<std::pair<char, double>>& words) {
        bool machine_frame = false, end = false, change = false, start = false, stop = false, length = false,
             waits = false;
        int motion = -1;
        std::array<std::optional<double>, 3> to;
        std::array<std::optional<double>, 2> centre;
        std::string seen;
        for (const auto& [letter, value] : words) {
            if (letter != 'G' && letter != 'M') {
                if (seen.find(letter) != std::string::npos)
                    return fault(std::string("the word ") + letter + " stands twice");
                seen += letter;
            }
            switch (letter) {
                case 'N':
                    break;
                case 'X':
                    to[0] = value;
                    break;
                case 'Y':
                    to[1] = value;
                    break;
                case 'Z':
                    to[2] = value;
                    break;
                case 'I':
                    centre[0] = value;
                    break;
                case 'J':
                    centre[1] = value;
                    break;
                case 'F':
                    feed_ = value;
                    break;
                case 'S':
                    turns_ = value;
                    break;
                case 'T':
                    if (!(value >= 1.0 && value <= static_cast<double>(cutters_.size()) &&
                          value == std::floor(value)))
                        return fault("there is no cutter " + exact(value));
                    tool_ = static_cast<std::size_t>(value);
                    break;
                case 'H':
                    if (value != static_cast<double>(tool_))
                        return fault("the length of another cutter is called");
                    length = true;
                    break;
                case 'G': {
                    if (value == 0.0 || value == 1.0 || value == 2.0 || value == 3.0) {
                        if (motion >= 0) return fault("two kinds of motion");
                        motion = static_cast<int>(value);
                    } else if (value == 20.0 || value == 21.0) {
                        unit_ = value == 20.0 ? mm_per(LengthUnit::inch) : 1.0;
                    } else if (value == 90.0) {
                        absolute_ = true;
                    } else if (value == 53.0) {
                        machine_frame = true;
                    } else if (value == 94.0) {
                        a_minute_ = true;
                    } else if (value == 43.0) {
                        length = true;
                    } else if (value != 17.0 && value != 40.0 && value != 49.0 && value != 54.0 &&
                               value != 80.0) {
                        return fault("G" + exact(value) + " is not known here");
                    }
                    break;
                }
                case 'M':
                    if (value == 0.0 || value == 1.0)
                        waits = true;  // for a hand that changes the cutter
                    else if (value == 3.0)
                        start = true;
                    else if (value == 5.0)
                        stop = true;
                    else if (value == 6.0)
                        change = true;
                    else if (value == 30.0)
                        end = true;
                    else
                        return fault("M" + exact(value) + " is not known here");
                    break;
                default:
                    return fault(std::string("the word ") + letter + " is not known here");
            }
        }
        if (waits && spindle_) return fault("a wait with the spindle turning");
        if (length && tool_ == 0) return fault("a cutter's length before a cutter");
        if (change) {
            if (tool_ == 0) return fault("a change to no cutter");
            if (spindle_) return fault("a change with the spindle turning");
            in_hand_ = tool_;
            at_ = {0.0, 0.0, change_height_mm};
            placed_ = {false, false, false};
            operations_.push_back({"T" + std::to_string(tool_), cutters_[tool_ - 1], 0.0, {}});
        }
        if (start) {
            if (!(turns_ > 0.0)) return fault("the spindle is started without a speed");
            spindle_ = true;
            if (!operations_.empty()) operations_.back().turns = turns_;
        }
        if (stop) spindle_ = false;
        if (motion >= 0) motion_ = motion;
        if (to[0] || to[1] || to[2]) {
            if (const auto done = move(to, centre, machine_frame); !done) return done.fault();
        } else if (centre[0] || centre[1]) {
            return fault("an arc's centre without its end");
        }
        return end;
    }

    Outcome<Done> move(const std::array<std::optional<double>, 3>& to,
                       const std::array<std::optional<double>, 2>& centre, bool machine_frame) {
        const bool arc = motion_ == 2 || motion_ == 3;
        if ((centre[0] || centre[1]) && (!arc || machine_frame)) return fault("I or J without an arc");
        if (machine_frame) {  // to where cutters are changed
            if (motion_ != 0) return fault("G53 with a feed");
            if (to[0] || to[1] || !to[2] || *to[2] != 0.0) return fault("G53 goes to Z0 alone here");
            if (in_hand_ > 0 && !operations_.empty() && !operations_.back().moves.empty())
                at_.z() = change_height_mm;
            return Done{};
        }
        if (unit_ == 0.0) return fault("a move before G20 or G21");
        if (!absolute_) return fault("a move before G90");
        if (in_hand_ == 0) return fault("a move before a cutter");
        if (motion_ < 0) return fault("a move before G0 or G1");
        const Vec3 from = at_;
        for (int axis = 0; axis < 3; ++axis)
            if (to[axis]) {
                at_[axis] = *to[axis] * unit_;
                placed_[axis] = true;
            }
        mill::Operation& operation = operations_.back();
        if (motion_ > 0) {
            if (!a_minute_) return fault("a feed before G94");
            if (!(feed_ > 0.0)) return fault("a feed without a speed");
            if (!spindle_) return fault("a cut with the spindle still");
            if (!(placed_[0] && placed_[1] && placed_[2])) return fault("a cut from an unknown place");
        }
        // after a change the cutter comes over its place first
        if (motion_ == 0 && !placed_[2]) return Done{};
        if (!(placed_[0] && placed_[1])) return fault("it goes down at an unknown place");
        mill::Move next{at_, motion_ == 0, motion_ == 0 ? 0.0 : feed_ * unit_};
        if (arc) {
            if (!centre[0] && !centre[1]) return fault("an arc without its centre");
            next.turn = motion_ == 2 ? -1 : 1;
            next.centre = from.head<2>() + unit_ * Vec2(centre[0].value_or(0.0), centre[1].value_or(0.0));
            const double begins = (from.head<2>() - next.centre).norm(),
                         ends = (at_.head<2>() - next.centre).norm();
            if ((at_ - from).head<2>().norm() < 1e-9)
                return fault("an arc that ends over the place where it began");
            if (!(begins > 0.0) || std::abs(begins - ends) > arc_off_mm)
                return fault("an arc whose end lies " + rounded(std::abs(begins - ends), 3) +
                             " mm off its circle");
        }
        operation.moves.push_back(next);
        if (lines_ != nullptr) lines_->push_back(line_);
        return Done{};
    }

    const std::vector<mill::Cutter>& cutters_;
    std::vector<std::size_t>* lines_;
    std::vector<mill::Operation> operations_;
    std::size_t line_ = 0, tool_ = 0, in_hand_ = 0;
    double unit_ = 0.0, feed_ = 0.0, turns_ = 0.0;
    int motion_ = -1;
    bool absolute_ = false, a_minute_ = false, spindle_ = false;
    Vec3 at_ = Vec3::Zero();
    std::array<bool, 3> placed_{};
};

}  // namespace

Outcome<std::vector<mill::Operation>> read_program(std::string_view text,
                                                   const std::vector<mill::Cutter>& cutters,
                                                   std::vector<std::size_t>* lines) {
    if (lines != nullptr) lines->clear();
    return Reader(cutters, lines).read(text);
}

}  // namespace archwright::exporters::nc
