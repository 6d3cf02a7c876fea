#include "engine/shoe/svg_words.hpp"

#include <cmath>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::shoe {

namespace {

bool digit(char c) {
    return c >= '0' && c <= '9';
}
bool alphabetic(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}
bool blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f';
}

}  // namespace

void SvgWords::skip() {
    std::size_t at = 0;
    while (at < rest_.size() && (blank(rest_[at]) || rest_[at] == ',')) ++at;
    rest_.remove_prefix(at);
}

std::optional<double> SvgWords::number() {
    skip();
    std::size_t end = 0;
    const auto digits = [&] {
        while (end < rest_.size() && digit(rest_[end])) ++end;
    };
    if (end < rest_.size() && (rest_[end] == '+' || rest_[end] == '-')) ++end;
    digits();
    if (end < rest_.size() && rest_[end] == '.') {
        ++end;
        digits();
    }
    if (end + 1 < rest_.size() && (rest_[end] == 'e' || rest_[end] == 'E')) {
        const bool sign = rest_[end + 1] == '+' || rest_[end + 1] == '-';
        const std::size_t first = end + (sign ? 2 : 1);
        if (first < rest_.size() && digit(rest_[first])) {
            end = first;
            digits();
        }
    }
    const auto value = parse_number(rest_.substr(0, end));
    if (value) rest_.remove_prefix(end);
    return value;
}

std::optional<bool> SvgWords::flag() {
    skip();
    if (rest_.empty() || (rest_.front() != '0' && rest_.front() != '1')) return std::nullopt;
    const bool set = rest_.front() == '1';
    rest_.remove_prefix(1);
    return set;
}

std::optional<char> SvgWords::letter() {
    skip();
    if (rest_.empty() || !alphabetic(rest_.front())) return std::nullopt;
    const char c = rest_.front();
    rest_.remove_prefix(1);
    return c;
}

std::string_view SvgWords::word() {
    skip();
    std::size_t end = 0;
    while (end < rest_.size() && alphabetic(rest_[end])) ++end;
    const std::string_view word = rest_.substr(0, end);
    rest_.remove_prefix(end);
    return word;
}

bool SvgWords::take(char wanted) {
    while (!rest_.empty() && blank(rest_.front())) rest_.remove_prefix(1);
    if (rest_.empty() || rest_.front() != wanted) return false;
    rest_.remove_prefix(1);
    return true;
}

bool SvgWords::ended() {
    skip();
    return rest_.empty();
}

std::optional<double> page_length_mm(std::string_view text) {
    SvgWords words(text);
    const auto value = words.number();
    if (!value) return std::nullopt;
    const std::string unit = lower(words.word());
    if (!words.ended()) return std::nullopt;
    constexpr double inch = mm_per(LengthUnit::inch);
    if (unit == "mm") return *value;
    if (unit == "cm") return *value * mm_per(LengthUnit::centimetre);
    if (unit == "in") return *value * inch;
    if (unit == "pt") return *value * inch / 72.0;
    if (unit == "pc") return *value * inch / 6.0;
    return std::nullopt;
}

std::optional<Eigen::Affine2d> transform_of(std::string_view text) {
    Eigen::Affine2d all = Eigen::Affine2d::Identity();
    SvgWords words(text);
    while (!words.ended()) {
        const std::string name(words.word());
        if (!words.take('(')) return std::nullopt;
        std::array<double, 6> a{};
        std::size_t n = 0;
        while (const auto value = words.number()) {
            if (n == a.size()) return std::nullopt;
            a[n++] = *value;
        }
        if (!words.take(')')) return std::nullopt;
        Eigen::Affine2d one = Eigen::Affine2d::Identity();
        if (name == "matrix" && n == 6) {
            one.linear() << a[0], a[2], a[1], a[3];
            one.translation() = Vec2(a[4], a[5]);
        } else if (name == "translate" && (n == 1 || n == 2)) {
            one.translation() = Vec2(a[0], a[1]);
        } else if (name == "scale" && (n == 1 || n == 2)) {
            one.linear() = Vec2(a[0], n == 2 ? a[1] : a[0]).asDiagonal();
        } else if (name == "rotate" && (n == 1 || n == 3)) {
            const Vec2 about(a[1], a[2]);
            one.linear() = Eigen::Rotation2Dd(radians(a[0])).toRotationMatrix();
            one.translation() = about - one.linear() * about;
        } else if (name == "skewX" && n == 1) {
            one.linear()(0, 1) = std::tan(radians(a[0]));
        } else if (name == "skewY" && n == 1) {
            one.linear()(1, 0) = std::tan(radians(a[0]));
        } else {
            return std::nullopt;
        }
        all = all * one;
    }
    return all;
}

bool add_ellipse(const Vec2& centre, const Vec2& u, const Vec2& v, double from, double sweep,
                 Pieces& pieces) {
    return pieces.add_curve(
        [&](double t) {
            const double angle = from + t * sweep;
            return Vec2(centre + std::cos(angle) * u + std::sin(angle) * v);
        },
        sweep * sweep * std::hypot(u.norm(), v.norm()));
}

namespace {

// The pen of one path, in the path's own coordinates.
class Pen {
  public:
    Pen(const Eigen::Affine2d& to_mm, std::size_t line, Pieces& pieces)
        : to_mm_(to_mm), line_(line), pieces_(pieces) {}

    const Vec2& at() const { return at_; }

    bool move(const Vec2& p) {
        at_ = start_ = p;
        drawing_ = false;
        return true;
    }
    bool line_to(const Vec2& p) {
        const bool more = ready() && pieces_.add(to_mm_ * p);
        at_ = p;
        return more;
    }
    bool cubic(const Vec2& c1, const Vec2& c2, const Vec2& p) {
        const Vec2 a = to_mm_ * at_, b = to_mm_ * c1, c = to_mm_ * c2, d = to_mm_ * p;
        const double bend = 6.0 * std::max((a - 2.0 * b + c).norm(), (b - 2.0 * c + d).norm());
        const bool more = ready() && pieces_.add_curve(
                                         [&](double t) {
                                             const double s = 1.0 - t;
                                             return Vec2(s * s * s * a + 3.0 * s * s * t * b +
                                                         3.0 * s * t * t * c + t * t * t * d);
                                         },
                                         bend);
        at_ = p;
        return more;
    }
    // SVG 1.1, appendix F.6: from the two ends to the centre
    bool arc(double rx, double ry, double turn_deg, bool large, bool sweep, const Vec2& p) {
        rx = std::abs(rx);
        ry = std::abs(ry);
        if (p == at_) return true;
        if (rx == 0.0 || ry == 0.0) return line_to(p);
        const Eigen::Matrix2d turn = Eigen::Rotation2Dd(radians(turn_deg)).toRotationMatrix();
        const Vec2 half = turn.transpose() * (0.5 * (at_ - p));
        const double reach = std::hypot(half.x() / rx, half.y() / ry);
        if (reach > 1.0) {  // radii too small for the ends are made to reach
            rx *= reach;
            ry *= reach;
        }
        // in the frame where the ellipse is the unit circle
        const Vec2 a(half.x() / rx, half.y() / ry);
        const double off = std::sqrt(std::max(0.0, 1.0 - a.squaredNorm()));
        const Vec2 aside = a.norm() > 0.0 ? Vec2(Vec2(a.y(), -a.x()) / a.norm()) : Vec2(0.0, 0.0);
        const Vec2 middle = (large == sweep ? -1.0 : 1.0) * off * aside;
        const Vec2 from = a - middle, to = -a - middle;
        double angle = std::atan2(from.x() * to.y() - from.y() * to.x(), from.dot(to));
        if (sweep && angle < 0.0) angle += 2.0 * std::numbers::pi;
        if (!sweep && angle > 0.0) angle -= 2.0 * std::numbers::pi;
        const Vec2 centre = turn * Vec2(middle.x() * rx, middle.y() * ry) + 0.5 * (at_ + p);
        const bool more = ready() && add_ellipse(to_mm_ * centre, to_mm_.linear() * (turn * Vec2(rx, 0.0)),
                                                 to_mm_.linear() * (turn * Vec2(0.0, ry)),
                                                 std::atan2(from.y(), from.x()), angle, pieces_);
        at_ = p;
        return more;
    }
    void close() {
        if (drawing_) pieces_.close();
        at_ = start_;
        drawing_ = false;
    }

  private:
    bool ready() {
        if (drawing_) return true;
        drawing_ = true;
        return pieces_.begin(line_) && pieces_.add(to_mm_ * at_);
    }

    const Eigen::Affine2d& to_mm_;
    std::size_t line_;
    Pieces& pieces_;
    Vec2 at_ = Vec2::Zero(), start_ = Vec2::Zero();
    bool drawing_ = false;
};

std::size_t numbers_of(char command) {
    switch (command) {
        case 'M':
        case 'L':
        case 'T':
            return 2;
        case 'H':
        case 'V':
            return 1;
        case 'S':
        case 'Q':
            return 4;
        case 'C':
            return 6;
        case 'A':
            return 7;
        default:
            return 0;
    }
}

}  // namespace

std::string add_path(std::string_view d, const Eigen::Affine2d& to_mm, std::size_t line, Pieces& pieces) {
    SvgWords words(d);
    Pen pen(to_mm, line, pieces);
    const auto not_read = [&] {
        return "its path is not understood from \"" + std::string(words.rest().substr(0, 12)) + "\" on";
    };
    char command = 0, before = 0;
    Vec2 handle = Vec2::Zero();  // the last control point, for S and T
    while (!words.ended()) {
        if (const auto letter = words.letter()) {
            command = *letter;
            if (before == 0 && command != 'M' && command != 'm') return "its path does not begin with M";
            if (command == 'Z' || command == 'z') {
                pen.close();
                before = 'Z';
                continue;
            }
            if (numbers_of(static_cast<char>(command & ~0x20)) == 0) return not_read();
        } else if (before == 0 || before == 'Z') {
            return not_read();
        }
        const bool relative = command >= 'a';
        const char kind = static_cast<char>(command & ~0x20);
        std::array<double, 7> a{};
        for (std::size_t i = 0; i < numbers_of(kind); ++i) {
            std::optional<double> value;
            if (kind == 'A' && (i == 3 || i == 4)) {
                if (const auto flag = words.flag()) value = *flag ? 1.0 : 0.0;
            } else {
                value = words.number();
            }
            if (!value) return not_read();
            a[i] = *value;
        }
        const Vec2 origin = relative ? pen.at() : Vec2(0.0, 0.0);
        const auto point = [&](std::size_t i) { return Vec2(origin + Vec2(a[i], a[i + 1])); };
        const auto quadratic = [&](const Vec2& c, const Vec2& p) {
            const Vec2 from = pen.at();
            handle = c;
            return pen.cubic(from + 2.0 / 3.0 * (c - from), p + 2.0 / 3.0 * (c - p), p);
        };
        bool more = true;
        switch (kind) {
            case 'M':
                more = pen.move(point(0));
                command = relative ? 'l' : 'L';  // further pairs are lines
                break;
            case 'L':
                more = pen.line_to(point(0));
                break;
            case 'H':
                more = pen.line_to(Vec2(origin.x() + a[0], pen.at().y()));
                break;
            case 'V':
                more = pen.line_to(Vec2(pen.at().x(), origin.y() + a[0]));
                break;
            case 'C':
                handle = point(2);
                more = pen.cubic(point(0), point(2), point(4));
                break;
            case 'S': {
                const Vec2 first = before == 'C' || before == 'S' ? Vec2(2.0 * pen.at() - handle) : pen.at();
                handle = point(0);
                more = pen.cubic(first, point(0), point(2));
                break;
            }
            case 'Q':
                more = quadratic(point(0), point(2));
                break;
            case 'T':
                more = quadratic(before == 'Q' || before == 'T' ? Vec2(2.0 * pen.at() - handle) : pen.at(),
                                 point(0));
                break;
            default:
                more = pen.arc(a[0], a[1], a[2], a[3] != 0.0, a[4] != 0.0, point(5));
        }
        before = kind;
        if (!more) return {};  // over the limits: one_outline says so
    }
    return {};
}

}  // namespace archwright::shoe
