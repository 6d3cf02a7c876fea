// Programs for a mill in RS-274/NGC words (ISO 6983; T. Kramer and others 2000, NISTIR 6556): written,
// read back, checksum.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/mill/path.hpp"
#include "engine/workshop/workshop.hpp"

namespace archwright::exporters::nc {

/// What stands in the comments at a program's head, one line each, besides cutters and cautions.
struct Head {
    std::vector<std::string> lines;
    std::string pair;         ///< what ties both programs of one milling (pair_of); empty: none
    bool melts = false;       ///< the heat warning
    double clearance_mm = 5;  ///< for the caution on a dry run
};

/// Cautions of every program, in its head and in docs/making.md.
const std::vector<std::string>& cautions();

/// The program's text: same moves, same bytes. Cutters are numbered from 1 in the order of the operations.
/// Its last comment before the end is the SHA-256 of every other line.
std::string write_program(const std::vector<mill::Operation>& operations, const Head& head,
                          const workshop::Post& post);

/// Whether a program's text still is what was written: its checksum is there and agrees.
bool checksum_holds(std::string_view text);

/// What ties the programs of both set-ups: 16 hexadecimal digits of the SHA-256 of both texts, without the
/// lines that carry it or a checksum.
std::string pair_of(std::string_view first, std::string_view second);

/// Whether these are set-up 1 and set-up 2 of one milling, as they were written. Faults (input) say what is
/// wrong by the names in both heads: a changed program, set-ups out of order, another milling's.
Outcome<Done> belong_together(std::string_view first, std::string_view second);

/// The operations a program means, by the words alone: what a mill would do. `cutters` are those in its
/// holder, by tool number from 1. Places are mm whatever the program's unit.
/// Faults (input) name the line: words this reader does not know, a number that is none, feed without a
/// speed, cutting with the spindle still or without a cutter, moves before unit and distances are set, no
/// end. `lines`, where given: the line of the text each move stands in, from 1, of all operations in order.
Outcome<std::vector<mill::Operation>> read_program(std::string_view text,
                                                   const std::vector<mill::Cutter>& cutters,
                                                   std::vector<std::size_t>* lines = nullptr);

}  // namespace archwright::exporters::nc
