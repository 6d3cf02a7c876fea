#include "engine/print/printer.hpp"

#include <tuple>

#include "engine/base/text.hpp"
#include "engine/design/asset_entries.hpp"

namespace archwright::design {

template <>
inline constexpr std::array<Word<print::Process>, 2> words<print::Process>{{
    {print::Process::powder_bed, "powder_bed", "powder bed"},
    {print::Process::filament, "filament", "filament"},
}};

}  // namespace archwright::design

namespace archwright::print {

using design::Count, design::Presence, design::Problems, design::Range, design::TextKind;

template <class A>
void describe(A& a, PrinterFigure& s) {
    a.number("value", s.value, Range{"", 0, 1e6, 0}, {});
    a.text("source", s.source, TextKind::words, Presence::required, {});
    a.text("mark", s.mark, TextKind::name, Presence::required, {});
}

template <class A>
void describe(A& a, PrinterMaterial& s) {
    a.text("key", s.key, TextKind::name, Presence::required, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
}

template <class A>
void describe(A& a, Weights& s) {
    const Range weight{"", 0, 100, 0.1};
    a.number("height", s.height, weight, {});
    a.number("overhang", s.overhang, weight, {});
    a.number("flats", s.flats, weight, {});
    a.number("across", s.across, weight, {});
}

template <class A>
void describe(A& a, Printer& s) {
    const Range length{"mm", 10, 5000, 1};
    a.text("name", s.name, TextKind::words, Presence::required, {});
    a.choice("process", s.process, {});
    a.number("build_x_mm", s.build_x_mm, length, {});
    a.number("build_y_mm", s.build_y_mm, length, {});
    a.number("build_z_mm", s.build_z_mm, length, {});
    a.number("margin_mm", s.margin_mm, Range{"mm", 0, 200, 1}, {});
    a.object("layer_mm", s.layer_mm, {});
    a.object("least_wall_mm", s.least_wall_mm, {});
    a.object("least_loaded_mm", s.least_loaded_mm, {});
    a.object("least_gap_mm", s.least_gap_mm, {});
    a.object("deepest", s.deepest, {});
    a.object("overhang_deg", s.overhang_deg, {});
    a.object("flat_mm2", s.flat_mm2, {});
    a.object("weights", s.weights, {});
    a.list("materials", s.materials, Count{1, 50}, {});
    a.text("note", s.note, TextKind::words, Presence::optional, {});
}

namespace {

void settle(Printer& s, Problems& problems) {
    for (const auto& [value, key] :
         {std::pair(s.build_x_mm, "build_x_mm"), {s.build_y_mm, "build_y_mm"}, {s.build_z_mm, "build_z_mm"}})
        if (!(value > 0.0)) problems.add(std::string(key) + " is missing: write a number");
    if (!(s.room().minCoeff() > 0.0)) problems.add("margin_mm leaves no room in the build volume");
    // a filament lies open: no powder stays, and how deep a hole is does not matter
    const double deepest = s.process == Process::powder_bed ? 0.1 : 0.0;
    for (const auto& [figure, key, least, most] :
         {std::tuple(&s.layer_mm, "layer_mm", 0.005, 2.0),
          std::tuple(&s.least_wall_mm, "least_wall_mm", 0.05, 20.0),
          std::tuple(&s.least_loaded_mm, "least_loaded_mm", 0.05, 20.0),
          std::tuple(&s.least_gap_mm, "least_gap_mm", 0.02, 10.0),
          std::tuple(&s.deepest, "deepest", deepest, 20.0),
          std::tuple(&s.overhang_deg, "overhang_deg", 0.0, 89.0),
          std::tuple(&s.flat_mm2, "flat_mm2", 1.0, 1e6)}) {
        if (!(figure->value >= least && figure->value <= most))
            problems.add(std::string(key) + ".value is " + exact(figure->value) + ": write " + exact(least) +
                         " to " + exact(most));
        if (figure->mark.size() != 1 || !design::evidence(figure->mark[0]))
            problems.add(std::string(key) + ".mark is one letter of C, D, P, M, W, O");
    }
    if (s.least_loaded_mm.value < s.least_wall_mm.value)
        problems.add("least_loaded_mm is less than least_wall_mm");
    if (s.materials.empty()) problems.add("materials is missing: name at least one");
}

}  // namespace

const char* title(Process process) {
    for (const auto& word : design::words<Process>)
        if (word.value == process) return word.title;
    return "";
}

Outcome<std::map<std::string, Printer>> load_printers(const std::filesystem::path& assets) {
    return design::read_entries<Printer>(assets / "printers", "printer",
                                         [](Printer& s, Problems& problems) { settle(s, problems); });
}

Outcome<Printer> find_printer(const std::map<std::string, Printer>& all, const std::string& key) {
    return design::find_entry(all, "printer", "printer", key);
}

}  // namespace archwright::print
