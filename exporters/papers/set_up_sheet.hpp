// The set-up sheet: what a machine operator has beside the mill, a page for every set-up.
#pragma once

#include <string>
#include <vector>

#include "exporters/comparing/page.hpp"
#include "exporters/nc/milling.hpp"
#include "exporters/nc/mould_program.hpp"

namespace archwright::exporters::papers {

/// What one page tells.
struct SetUp {
    std::vector<std::string> names;  ///< case and revision of each device
    std::vector<Side> sides;         ///< of each
    std::string what;                ///< "Milling", "Mould"
    int number = 1, of = 1;
    std::string up;  ///< "foot side up"
    /// Label and text, in the order they are needed at the machine.
    std::vector<std::pair<std::string, std::string>> rows;
    struct Tool {
        int number = 1;
        std::string work, name, speeds;
        double stick_out_mm = 0.0;
    };
    std::vector<Tool> tools;
    std::vector<std::string> before;  ///< to be ticked before the start
    std::vector<std::string> after;   ///< and after the end
    std::vector<std::string> warnings, cautions;
    const mill::Nest* nest = nullptr;  ///< must outlive the pages
    int side = 0;                      ///< of the nest
    bool on_table = false;             ///< what is milled stands on the table (a mould): no second side
};

/// The two set-ups of a milling, which must outlive them. `files`: names of the two programs.
std::vector<SetUp> set_ups_of(const nc::Milling& milling, const nc::MillingSetting& setting,
                              const std::vector<nc::MilledDevice>& devices,
                              const std::array<std::string, 2>& files);
/// The one set-up of a mould.
SetUp set_up_of(const nc::MouldMilling& milling, const nc::MillingSetting& setting,
                const nc::MilledDevice& mould, const std::string& file);

/// A4 portrait, a page each: side letter, plan of the block as the spindle sees it (X to the right, Y up)
/// with its device, channel, tabs, pins, zero and line of the turn, a view from the front, rows, cutters,
/// boxes to tick, cautions, a bar of 100 mm. Type shrinks until a page holds its words. Faults (output): no
/// font, a page whose words do not fit at the least size.
Outcome<std::string> set_up_sheet(const std::vector<SetUp>& set_ups, const std::string& title);

}  // namespace archwright::exporters::papers
