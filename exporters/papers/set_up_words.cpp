#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "exporters/papers/set_up_sheet.hpp"

namespace archwright::exporters::papers {

namespace {

constexpr std::size_t digits_of_hash = 16;

std::string at_xy(const Vec2& p) {
    return "X" + rounded(p.x(), 1) + " Y" + rounded(p.y(), 1);
}

std::string size_words(const Vec3& size) {
    return exact(size.x()) + " x " + exact(size.y()) + " x " + exact(size.z()) + " mm";
}

std::string work_of(const mill::Cutter& cutter, std::size_t k) {
    return cutter.drill() ? "pin holes" : k == 0 ? "roughing" : k == 1 ? "finishing" : "details";
}

void add_program(SetUp& page, const nc::ProvedSide& side, const nc::MillingSetting& setting,
                 const std::string& file) {
    page.rows.emplace_back("Program", file + ", " + std::to_string(side.lines) + " lines; SHA-256 begins " +
                                          sha256(side.text).substr(0, digits_of_hash));
    page.rows.emplace_back("Machine", setting.machine.name);
    page.rows.emplace_back("Time",
                           rounded(side.simulated.seconds / 60.0, 0) +
                               " minutes of moves by this machine's figures, without changes of cutters");
    for (std::size_t k = 0; k < side.tools.size(); ++k)
        page.tools.push_back({static_cast<int>(k) + 1, work_of(side.tools[k], k), side.cutters[k],
                              side.speeds[k], side.tools[k].stick_out});
}

void add_checks(SetUp& page, double gouge_mm, double left_mm, std::size_t places,
                const std::vector<std::string>& warnings, const nc::MillingSetting& setting) {
    page.rows.emplace_back("Simulated",
                           "deepest gouge " + rounded(gouge_mm, 3) +
                               " mm; most left where the cutter "
                               "reaches " +
                               rounded(left_mm, 3) + " mm; " + std::to_string(places) +
                               " places; no rapid, holder or shank in the block, no move beyond the travel");
    page.warnings = warnings;
    if (setting.cutting.melts && !setting.cutting.note.empty()) page.warnings.push_back(setting.cutting.note);
    page.cautions = nc::cautions();
}

}  // namespace

std::vector<SetUp> set_ups_of(const nc::Milling& milling, const nc::MillingSetting& s,
                              const std::vector<nc::MilledDevice>& devices,
                              const std::array<std::string, 2>& files) {
    std::vector<SetUp> pages;
    const std::string axis = milling.nest.flip == mill::Flip::about_x ? "X" : "Y";
    const std::string clear = exact(mill::PlanSetting{}.clearance_mm);
    for (std::size_t k = 0; k < 2; ++k) {
        SetUp page;
        for (const nc::MilledDevice& device : devices) {
            page.names.push_back(device.name);
            page.sides.push_back(device.side);
        }
        page.what = "Milling";
        page.number = static_cast<int>(k) + 1;
        page.of = 2;
        page.up = k == 0 ? "foot side up" : "turned over, foot side down";
        page.nest = &milling.nest;
        page.side = static_cast<int>(k);
        add_program(page, milling.sides[k], s, files[k]);
        page.rows.emplace_back("Block", s.block.name + ", " + size_words(milling.nest.block));
        page.rows.emplace_back("Zero", "middle of the block's upper face, X along it, Z up; lowest Z " +
                                           rounded(milling.sides[k].floor_mm, 2) + " mm");
        if (k == 1)
            page.rows.emplace_back("Flip", "block turned half round about " + axis +
                                               " since set-up 1; what was above lies on the table");
        else
            page.rows.emplace_back(
                "Flip", "after this set-up the block is turned half round about " + axis + " (dashed line)");
        std::string datum;
        if (s.pins && !milling.nest.pins.empty()) {
            for (const Vec2& pin : milling.nest.pins) datum += (datum.empty() ? "" : " and ") + at_xy(pin);
            datum =
                "two pins of " + exact(s.drill->diameter) + " mm at " + datum +
                (k == 0 ? ": holes drilled at the end of this program" : ": in the table, under the block") +
                "; the one at " + axis + "- stands nearer the zero, so the block goes on one way only";
        } else if (s.pins) {
            datum = "two pins on the line through the zero along " + axis + ", outside the channel";
        } else {
            datum = "the block's edges against stops; the same pair of edges both times";
        }
        page.rows.emplace_back("Datum", datum);
        std::string tabs;
        for (const mill::Tab& tab : milling.nest.tabs)
            tabs += (tabs.empty() ? "" : ", ") + at_xy(milling.nest.in_set_up(page.side, tab.root).head<2>());
        page.rows.emplace_back("Tabs", std::to_string(milling.nest.tabs.size()) + " of " +
                                           exact(s.tabs.width_mm) + " x " + exact(s.tabs.thickness_mm) +
                                           " mm at " + tabs + "; cut off by hand after set-up 2");
        add_checks(page, milling.gouge_mm, milling.left_mm, milling.needles, milling.warnings, s);
        if (k == 1 && !milling.warnings.empty())
            page.warnings.push_back("Places named here are those of set-up 1: after the turn " +
                                    std::string(axis == "X" ? "Y" : "X") +
                                    " has the other sign, and Z counts from the face that lay below.");
        page.before = {"Block measured: length, breadth, and height to 0.1 mm where the device lies",
                       k == 0 ? "Right block, right side: compare the letter above with the order"
                              : "Block turned about " + axis + ", chips off table and datum",
                       "Clamps and pins outside the channel and below Z" + clear,
                       "Cutters set and measured; each stands out of its holder as far as the list says",
                       "Exact path (G61) or a tolerance of 0.01 mm set in the control",
                       "Dry run with the zero raised well above the block"};
        page.after =
            k == 0
                ? std::vector<std::string>{"Block left clamped until the wall's place is measured"}
                : std::vector<std::string>{"Tabs cut off, edges dressed", "Wall measured, side read again"};
        pages.push_back(std::move(page));
    }
    return pages;
}

SetUp set_up_of(const nc::MouldMilling& milling, const nc::MillingSetting& s, const nc::MilledDevice& mould,
                const std::string& file) {
    SetUp page;
    page.names = {mould.name};
    page.sides = {mould.side};
    page.what = "Mould";
    page.up = "base on the table, sole up";
    page.nest = &milling.nest;
    page.on_table = true;
    add_program(page, milling.side, s, file);
    page.rows.emplace_back("Block", s.block.name + ", " + size_words(milling.nest.block));
    page.rows.emplace_back("Zero", "middle of the block's upper face, X along it, Z up; lowest Z " +
                                       rounded(milling.side.floor_mm, 2) + " mm, " +
                                       exact(nc::mould_skin_mm) + " mm over the table");
    page.rows.emplace_back("Flip", "none: one side");
    page.rows.emplace_back("Tabs", "none: the skin round the base holds it, cut free by hand");
    add_checks(page, milling.gouge_mm, milling.left_mm, milling.needles, milling.warnings, s);
    page.before = {"Block measured; its height decides how deep the channel goes",
                   "Right side: compare the letter above with the order",
                   "Clamps outside the channel and below Z" + exact(mill::PlanSetting{}.clearance_mm),
                   "Cutters set and measured; each stands out of its holder as far as the list says",
                   "Exact path (G61) or a tolerance of 0.01 mm set in the control",
                   "Dry run with the zero raised well above the block"};
    page.after = {"Side and case written on the mould", "Scribed line gone over where it did not come out"};
    return page;
}

}  // namespace archwright::exporters::papers
