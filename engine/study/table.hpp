// The table of a study: which cast is of which foot, by whom, how, for which time.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/base/units.hpp"

namespace archwright::study {

/// A figure that the table gives for every row, or that is measured on the casts.
struct Quantity {
    std::string id;     ///< "arch_height"
    std::string title;  ///< "Arch height"
    std::string unit;   ///< "mm", "degrees", ""

    bool operator==(const Quantity&) const = default;
};

struct Row {
    int row = 0;                 ///< of the file
    std::filesystem::path cast;  ///< as written: a cast, or a job with its landmarks; empty: figures given
    std::string foot, caster = "one", method = "one";
    std::optional<Side> side;
    std::optional<LengthUnit> unit;
    int repeat = 1;                             ///< which of the casts that this caster took of this foot
    int marking = 1;                            ///< which marking of this cast
    std::vector<std::optional<double>> values;  ///< of Table::given
};

struct Table {
    std::string name;
    std::vector<Row> rows;
    std::vector<Quantity> given;  ///< columns of figures, "arch_height:mm"
    bool casts = false;           ///< there is a column of casts
    bool several_casters = false, several_methods = false, several_repeats = false, several_markings = false;
    std::string sha256;  ///< of the file's bytes
};

inline constexpr std::size_t most_rows = 2000;

/// Reads docs/study.md's table: commas, semicolons or tabs, a line of column names, one row a cast. Faults
/// (input) name file, row and column: a word that is no number, a column that is missing or unknown, two rows
/// that are the same, a foot with two sides, fewer than two feet or nothing repeated.
Outcome<Table> read_table(const std::filesystem::path& path);
Outcome<Table> parse_table(std::string_view text, const std::string& name);

/// Cells of a line between separators; blanks and quotes round them are taken off.
std::vector<std::string_view> cells_of(std::string_view line, char between);
/// Of ; tab and comma, the one a line of column names uses.
char separator_of(std::string_view header);

}  // namespace archwright::study
