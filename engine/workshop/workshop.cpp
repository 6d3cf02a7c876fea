#include "engine/workshop/workshop.hpp"

#include <numbers>

#include "engine/base/text.hpp"
#include "engine/design/asset_entries.hpp"

namespace archwright::workshop {

using design::Presence, design::Problems, design::Range, design::TextKind;

template <class A>
void describe(A& a, Figure& s) {
    a.number("value", s.value, Range{"", 1e-6, 1e6, 0}, {});
    a.text("source", s.source, TextKind::words, Presence::required, {});
    a.text("mark", s.mark, TextKind::name, Presence::required, {});
}

template <class A>
void describe(A& a, Post& s) {
    a.flag("inch", s.inch, {});
    a.flag("arcs", s.arcs, {});
    a.whole("decimals", s.decimals, Range{"", 3, 6, 1}, {});
    a.flag("numbers", s.numbers, {});
    a.whole("number_step", s.number_step, Range{"", 1, 100, 1}, {});
    a.whole("line_length", s.line_length, Range{"", 60, 250, 1}, {});
    a.text("retract", s.retract, TextKind::words, Presence::optional, {});
    a.text("tool_change", s.tool_change, TextKind::words, Presence::optional, {});
    a.text("tool_length", s.tool_length, TextKind::words, Presence::optional, {});
}

template <class A>
void describe(A& a, Machine& s) {
    const Range travel{"mm", 10, 10'000, 1}, speed{"mm/min", 10, 100'000, 1};
    a.text("name", s.name, TextKind::words, Presence::required, {});
    a.number("travel_x_mm", s.travel_x_mm, travel, {});
    a.number("travel_y_mm", s.travel_y_mm, travel, {});
    a.number("travel_z_mm", s.travel_z_mm, travel, {});
    a.number("above_block_mm", s.above_block_mm, travel, {});
    a.number("rapid_mm_min", s.rapid_mm_min, speed, {});
    a.number("feed_most_mm_min", s.feed_most_mm_min, speed, {});
    a.number("acceleration_mm_s2", s.acceleration_mm_s2, Range{"mm/s2", 1, 50'000, 1}, {});
    a.number("turns_least", s.turns_least, Range{"1/min", 0, 200'000, 1}, {});
    a.number("turns_most", s.turns_most, Range{"1/min", 100, 200'000, 1}, {});
    a.object("post", s.post, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
}

template <class A>
void describe(A& a, CutterEntry& s) {
    const Range length{"mm", 0, 300, 0.1};
    a.text("name", s.cutter.name, TextKind::words, Presence::required, {});
    a.number("diameter_mm", s.cutter.diameter, length, {});
    a.number("corner_radius_mm", s.cutter.corner_radius, length, {});
    a.number("flute_length_mm", s.cutter.flute_length, length, {});
    a.number("shank_diameter_mm", s.cutter.shank_diameter, length, {});
    a.number("stick_out_mm", s.cutter.stick_out, length, {});
    a.number("holder_diameter_mm", s.cutter.holder_diameter, length, {});
    a.whole("flutes", s.cutter.flutes, Range{"", 1, 8, 1}, {});
    a.number("point_deg", s.cutter.point_deg, Range{"deg", 0, 179, 1}, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
}

template <class A>
void describe(A& a, Block& s) {
    const Range length{"mm", 5, 2000, 0.1};
    a.text("name", s.name, TextKind::words, Presence::required, {});
    a.text("material", s.material, TextKind::name, Presence::required, {});
    a.number("length_mm", s.length_mm, length, {});
    a.number("breadth_mm", s.breadth_mm, length, {});
    a.number("height_mm", s.height_mm, length, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
}

template <class A>
void describe(A& a, Cutting& s) {
    a.object("speed_m_min", s.speed_m_min, {});
    a.object("chip_6_mm", s.chip_6_mm, {});
    a.object("chip_12_mm", s.chip_12_mm, {});
    a.object("plunge_share", s.plunge_share, {});
    a.object("level_share", s.level_share, {});
    a.object("step_share", s.step_share, {});
    a.object("drill_speed_m_min", s.drill_speed_m_min, {});
    a.object("drill_chip_mm", s.drill_chip_mm, {});
    a.flag("melts", s.melts, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
}

namespace {

void more_than_nothing(double value, const char* key, Problems& problems) {
    if (!(value > 0.0)) problems.add(std::string(key) + " is missing: write a number");
}

void settle(Machine& s, Problems& problems) {
    more_than_nothing(s.travel_x_mm, "travel_x_mm", problems);
    more_than_nothing(s.travel_y_mm, "travel_y_mm", problems);
    more_than_nothing(s.travel_z_mm, "travel_z_mm", problems);
    more_than_nothing(s.above_block_mm, "above_block_mm", problems);
    more_than_nothing(s.rapid_mm_min, "rapid_mm_min", problems);
    more_than_nothing(s.feed_most_mm_min, "feed_most_mm_min", problems);
    more_than_nothing(s.acceleration_mm_s2, "acceleration_mm_s2", problems);
    more_than_nothing(s.turns_most, "turns_most", problems);
    if (s.turns_least > s.turns_most) problems.add("turns_least is more than turns_most");
    if (s.above_block_mm > s.travel_z_mm) problems.add("above_block_mm is more than travel_z_mm");
    if (s.post.inch && s.post.decimals < 4)
        problems.add("post.decimals is " + std::to_string(s.post.decimals) + ": inches want 4 or more");
    for (const std::string* text : {&s.post.retract, &s.post.tool_change, &s.post.tool_length})
        for (const char c : *text)
            if (c < 32 || c > 126 || c == '(' || c == ')' || c == '%')
                problems.add("post: words for the machine are plain letters, no brackets or %");
}
void settle(CutterEntry& s, Problems& problems) {
    if (const auto good = mill::check(s.cutter); !good) problems.add(good.fault().message);
}
void settle(Block& s, Problems& problems) {
    more_than_nothing(s.length_mm, "length_mm", problems);
    more_than_nothing(s.breadth_mm, "breadth_mm", problems);
    more_than_nothing(s.height_mm, "height_mm", problems);
}
void settle(Cutting& s, Problems& problems) {
    for (const auto& [figure, key, most] :
         {std::tuple(&s.speed_m_min, "speed_m_min", 2000.0), std::tuple(&s.chip_6_mm, "chip_6_mm", 2.0),
          std::tuple(&s.chip_12_mm, "chip_12_mm", 2.0), std::tuple(&s.plunge_share, "plunge_share", 1.0),
          std::tuple(&s.level_share, "level_share", 2.0), std::tuple(&s.step_share, "step_share", 0.5),
          std::tuple(&s.drill_speed_m_min, "drill_speed_m_min", 2000.0),
          std::tuple(&s.drill_chip_mm, "drill_chip_mm", 2.0)}) {
        if (!(figure->value > 0.0 && figure->value <= most))
            problems.add(std::string(key) + ".value is " + exact(figure->value) + ": write up to " +
                         exact(most));
        if (figure->mark.size() != 1 || !design::evidence(figure->mark[0]))
            problems.add(std::string(key) + ".mark is one letter of C, D, P, M, W, O");
    }
}

template <class T>
Outcome<std::map<std::string, T>> load_all(const std::filesystem::path& folder, const std::string& what) {
    return design::read_entries<T>(folder, what, [](T& s, Problems& problems) { settle(s, problems); });
}

}  // namespace

Outcome<Workshop> load_workshop(const std::filesystem::path& assets) {
    Workshop workshop;
    auto machines = load_all<Machine>(assets / "machines", "machine");
    if (!machines) return machines.fault();
    auto cutters = load_all<CutterEntry>(assets / "cutters", "cutter");
    if (!cutters) return cutters.fault();
    auto blocks = load_all<Block>(assets / "blocks", "block");
    if (!blocks) return blocks.fault();
    auto cuttings = load_all<Cutting>(assets / "cutting", "cutting table");
    if (!cuttings) return cuttings.fault();
    return Workshop{std::move(*machines), std::move(*cutters), std::move(*blocks), std::move(*cuttings)};
}

namespace {

/// At the rim, m/min.
double asked_speed(const Cutting& cutting, const mill::Cutter& cutter) {
    return cutter.drill() ? cutting.drill_speed_m_min.value : cutting.speed_m_min.value;
}

}  // namespace

mill::Speeds speeds(const Cutting& cutting, const mill::Cutter& cutter, const Machine& machine) {
    constexpr double small = 6.35, large = 12.7;  // mm, the table's cutters
    mill::Speeds speeds;
    const double wish = 1000.0 * asked_speed(cutting, cutter) / (std::numbers::pi * cutter.diameter);
    speeds.turns = std::round(std::clamp(wish, machine.turns_least, machine.turns_most) / 10.0) * 10.0;
    const double share = std::clamp((cutter.diameter - small) / (large - small), -0.5, 1.5);
    const double chip = std::max(
        0.005, cutting.chip_6_mm.value + share * (cutting.chip_12_mm.value - cutting.chip_6_mm.value));
    const double a_turn = cutter.drill() ? cutting.drill_chip_mm.value : cutter.flutes * chip;
    speeds.feed = std::max(10.0, std::floor(std::min(speeds.turns * a_turn, machine.feed_most_mm_min)));
    speeds.plunge =
        cutter.drill() ? speeds.feed : std::max(5.0, std::floor(speeds.feed * cutting.plunge_share.value));
    return speeds;
}

std::string too_fast(const Cutting& cutting, const mill::Cutter& cutter, const Machine& machine) {
    constexpr double as_asked = 1.25;  // our choice
    const double asked = asked_speed(cutting, cutter);
    const double speed = std::numbers::pi * cutter.diameter * machine.turns_least / 1000.0;
    if (!(speed > as_asked * asked)) return {};
    return "\"" + cutter.name + "\" runs at " + rounded(speed, 0) +
           " m a minute at its rim, since the machine turns no slower than " +
           rounded(machine.turns_least, 0) + " a minute; the material's table asks for " + rounded(asked, 0) +
           (cutting.melts ? ". This plastic melts: take a thinner cutter or a slower spindle."
                          : ". Take a thinner cutter or a slower spindle.");
}

std::string smallest_block(const Workshop& workshop, const std::string& material) {
    std::string smallest;
    double least = 1e300;
    for (const auto& [key, block] : workshop.blocks) {
        const double size = block.length_mm * block.breadth_mm * block.height_mm;
        if (block.material != material || size >= least) continue;
        smallest = key;
        least = size;
    }
    return smallest;
}

}  // namespace archwright::workshop
