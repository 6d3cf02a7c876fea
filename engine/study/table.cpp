#include "engine/study/table.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::study {

namespace {

constexpr std::size_t most_table_bytes = std::size_t{4} << 20U, most_given = 40;
constexpr double most_number = 1e9;

enum StudyColumn {
    cast_at,
    foot_at,
    side_at,
    unit_at,
    caster_at,
    method_at,
    repeat_at,
    marking_at,
    study_columns
};
constexpr std::array<std::string_view, study_columns> study_column_names{
    "cast", "foot", "side", "unit", "caster", "method", "repeat", "marking"};

class StudyReader {
  public:
    StudyReader(std::string_view text, std::string name) : rest_(text) { table_.name = std::move(name); }
    Outcome<Table> read();

  private:
    Fault wrong(std::string_view column, const std::string& what) const {
        return {FaultKind::input,
                "study",
                table_.name + ", row " + std::to_string(row_) +
                    (column.empty() ? "" : ", column " + std::string(column)) + ": " + what,
                {}};
    }
    Fault lacks(const std::string& what) const {
        return {FaultKind::input, "study", table_.name + ": " + what, {}};
    }
    std::string_view cell(StudyColumn column) const {
        const int at = at_[column];
        return at < 0 || static_cast<std::size_t>(at) >= words_.size() ? ""
                                                                       : words_[static_cast<std::size_t>(at)];
    }
    Outcome<Done> header(std::string_view line);
    Outcome<Done> add(std::string_view line);
    Outcome<std::string> code(StudyColumn column, const std::string& otherwise) const;
    Outcome<int> number(StudyColumn column) const;
    Outcome<Done> finish();

    std::string_view rest_;
    Table table_;
    int row_ = 0;
    char between_ = ',';
    std::array<int, study_columns> at_{};
    std::vector<std::size_t> given_at_;
    std::vector<std::string_view> words_;
    std::size_t width_ = 0;
    bool named_ = false;
};

Outcome<Done> StudyReader::header(std::string_view line) {
    between_ = separator_of(line);
    at_.fill(-1);
    const auto words = cells_of(line, between_);
    width_ = words.size();
    std::set<std::string> ids;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const std::string_view word = words[i];
        if (word.empty()) continue;
        const auto known = std::find(study_column_names.begin(), study_column_names.end(), word);
        if (known != study_column_names.end()) {
            int& at = at_[static_cast<std::size_t>(known - study_column_names.begin())];
            if (at >= 0) return wrong(word, "there are two of this name.");
            at = static_cast<int>(i);
            continue;
        }
        const std::size_t colon = word.find(':');
        if (colon == std::string_view::npos) {
            const std::string near = nearest_word(word, study_column_names);
            return wrong(
                word.substr(0, 40),
                "there is no such column" +
                    (near.empty() ? std::string(" (a figure's column is name:unit, as arch_height:mm).")
                                  : " (is it " + near + "?)."));
        }
        Quantity quantity;
        quantity.id = word.substr(0, colon);
        quantity.unit = word.substr(colon + 1);
        if (const std::string trouble = design::text_trouble(quantity.id, design::TextKind::name);
            quantity.id.empty() || !trouble.empty())
            return wrong(word.substr(0, 40), design::in_quotes(quantity.id) + " is no name of a figure.");
        if (quantity.unit.size() > 12 ||
            !design::text_trouble(quantity.unit, design::TextKind::words).empty())
            return wrong(word.substr(0, 40), "the unit behind the colon is no unit.");
        if (!ids.insert(quantity.id).second) return wrong(word, "there are two of this name.");
        if (table_.given.size() == most_given) return wrong(word, "more than 40 figures.");
        quantity.title = quantity.id;
        std::replace(quantity.title.begin(), quantity.title.end(), '_', ' ');
        if (quantity.title[0] >= 'a' && quantity.title[0] <= 'z')
            quantity.title[0] = static_cast<char>(quantity.title[0] - 'a' + 'A');
        table_.given.push_back(std::move(quantity));
        given_at_.push_back(i);
    }
    if (at_[foot_at] < 0) return lacks("the column foot is missing.");
    table_.casts = at_[cast_at] >= 0;
    if (!table_.casts && table_.given.empty())
        return lacks("there is neither a column cast nor a figure (name:unit, as arch_height:mm).");
    if (table_.casts && !table_.given.empty())
        return lacks("there are casts and figures: figures are measured on casts, so give one or the other.");
    named_ = true;
    return Done{};
}

Outcome<std::string> StudyReader::code(StudyColumn column, const std::string& otherwise) const {
    const std::string_view word = cell(column);
    if (word.empty() && at_[column] < 0) return otherwise;
    if (const std::string trouble = design::text_trouble(word, design::TextKind::code);
        word.empty() || !trouble.empty())
        return wrong(study_column_names[column],
                     design::in_quotes(word) + " is no code: letters, digits and dashes, no names.");
    return std::string(word);
}

Outcome<int> StudyReader::number(StudyColumn column) const {
    const std::string_view word = cell(column);
    if (word.empty()) return 1;
    const auto value = parse_number(word);
    constexpr double most = 1000.0;
    if (!value || *value < 1.0 || *value > most || *value != std::floor(*value))
        return wrong(study_column_names[column],
                     design::in_quotes(word) + " is no whole number from 1 to 1000.");
    return static_cast<int>(*value);
}

Outcome<Done> StudyReader::add(std::string_view line) {
    words_ = cells_of(line, between_);
    for (std::size_t i = width_; i < words_.size(); ++i)
        if (!words_[i].empty())
            return wrong({}, design::in_quotes(words_[i]) +
                                 " stands behind the last column (a decimal comma? write a point).");
    if (table_.rows.size() == most_rows) return wrong({}, "more than 2000 rows.");
    Row row;
    row.row = row_;
    const auto foot = code(foot_at, "");
    if (!foot) return foot.fault();
    const auto caster = code(caster_at, row.caster);
    if (!caster) return caster.fault();
    const auto method = code(method_at, row.method);
    if (!method) return method.fault();
    const auto repeat = number(repeat_at);
    if (!repeat) return repeat.fault();
    const auto marking = number(marking_at);
    if (!marking) return marking.fault();
    row.foot = *foot;
    row.caster = *caster;
    row.method = *method;
    row.repeat = *repeat;
    row.marking = *marking;
    if (const std::string_view side = cell(side_at); !side.empty()) {
        if (side != "left" && side != "right")
            return wrong("side", design::in_quotes(side) + " is neither left nor right.");
        row.side = side == "left" ? Side::left : Side::right;
    }
    if (const std::string_view unit = cell(unit_at); !unit.empty()) {
        row.unit = length_unit(unit);
        if (!row.unit) return wrong("unit", design::in_quotes(unit) + " is none of mm, cm, in, m.");
    }
    if (table_.casts) {
        const std::string_view path = cell(cast_at);
        if (path.empty()) return wrong("cast", "the name of the file is missing.");
        if (const std::string trouble = design::text_trouble(path, design::TextKind::path, true);
            !trouble.empty())
            return wrong("cast", design::in_quotes(path) + " " + trouble);
        row.cast = std::string(path);
    }
    for (std::size_t i = 0; i < given_at_.size(); ++i) {
        const std::string_view word = given_at_[i] < words_.size() ? words_[given_at_[i]] : "";
        if (word.empty()) {
            row.values.emplace_back();
            continue;
        }
        const auto value = parse_number(word);
        if (!value || !(std::abs(*value) <= most_number))
            return wrong(table_.given[i].id,
                         design::in_quotes(word) + " is no number (write a decimal point, no unit).");
        row.values.emplace_back(*value);
    }
    table_.rows.push_back(std::move(row));
    return Done{};
}

Outcome<Done> StudyReader::finish() {
    if (!named_) return lacks("no line of column names: foot, caster, repeat, cast, ...");
    std::map<std::string, const Row*> seen;
    std::map<std::string, std::pair<Side, int>> sides;
    std::set<std::string> feet, casters, methods;
    std::set<int> repeats, markings;
    for (const Row& row : table_.rows) {
        row_ = row.row;
        const std::string key = row.foot + "\n" + row.caster + "\n" + row.method + "\n" +
                                std::to_string(row.repeat) + "\n" + std::to_string(row.marking);
        const auto [other, fresh] = seen.emplace(key, &row);
        if (!fresh)
            return wrong({},
                         "row " + std::to_string(other->second->row) +
                             " is the same foot, caster, method, repeat and marking: number the repeats.");
        if (row.side) {
            const auto [known, first] = sides.emplace(row.foot, std::pair(*row.side, row.row));
            if (!first && known->second.first != *row.side)
                return wrong("side", "foot " + row.foot + " is " + word(known->second.first) + " in row " +
                                         std::to_string(known->second.second) +
                                         ": a code is one foot of one person.");
        }
        feet.insert(row.foot);
        casters.insert(row.caster);
        methods.insert(row.method);
        repeats.insert(row.repeat);
        markings.insert(row.marking);
    }
    for (Row& row : table_.rows)  // what one row says of a foot holds for its others
        if (const auto known = sides.find(row.foot); known != sides.end()) row.side = known->second.first;
    if (feet.size() < 2)
        return lacks("fewer than two feet: what one foot's casts do says nothing of the next foot.");
    table_.several_casters = casters.size() > 1;
    table_.several_methods = methods.size() > 1;
    table_.several_repeats = repeats.size() > 1;
    table_.several_markings = markings.size() > 1;
    if (!table_.several_casters && !table_.several_methods && !table_.several_repeats &&
        !table_.several_markings)
        return lacks("nothing is repeated: neither casters, methods, repeats nor markings.");
    return Done{};
}

Outcome<Table> StudyReader::read() {
    for (bool more = !rest_.empty(); more; more = !rest_.empty()) {
        ++row_;
        std::string_view line = rest_.substr(0, rest_.find('\n'));
        rest_.remove_prefix(std::min(rest_.size(), line.size() + 1));
        if (row_ == 1 && line.substr(0, 3) == "\xEF\xBB\xBF") line.remove_prefix(3);  // a spreadsheet's mark
        line = line.substr(0, line.find('#'));
        if (line.find_first_not_of(" \t\r,;\"") == std::string_view::npos) continue;
        const auto done = named_ ? add(line) : header(line);
        if (!done) return done.fault();
    }
    if (const auto good = finish(); !good) return good.fault();
    return std::move(table_);
}

}  // namespace

std::vector<std::string_view> cells_of(std::string_view line, char between) {
    std::vector<std::string_view> words;
    constexpr std::string_view blank = " \t\r\"";
    while (true) {
        const std::size_t end = line.find(between);
        const std::string_view word = line.substr(0, end);
        const std::size_t from = word.find_first_not_of(blank);
        words.push_back(from == std::string_view::npos
                            ? std::string_view()
                            : word.substr(from, word.find_last_not_of(blank) - from + 1));
        if (end == std::string_view::npos) return words;
        line.remove_prefix(end + 1);
    }
}

char separator_of(std::string_view header) {
    for (const char between : {';', '\t'})
        if (header.find(between) != std::string_view::npos) return between;
    return ',';
}

Outcome<Table> parse_table(std::string_view text, const std::string& name) {
    auto table = StudyReader(text, name).read();
    if (table) table->sha256 = sha256(std::string(text));
    return table;
}

Outcome<Table> read_table(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_table_bytes);
    if (!file) return file.fault();
    return parse_table(file->text(), path.filename().string());
}

}  // namespace archwright::study
