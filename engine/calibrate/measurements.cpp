#include "engine/calibrate/measurements.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::calibrate {

namespace {

/// Far above what a laboratory measures of one material.
constexpr std::size_t most_bytes = std::size_t{4} << 20U, most_devices = 60, most_readings = 500,
                      most_loadings = 60;
constexpr double most_gauge_mm = 100.0, greatest_wall_mm = 20.0, most_noise_mm = 5.0;
constexpr std::string_view block_code = "rigid-block";

enum Column {
    device_at,
    job_at,
    foot_at,
    wall_at,
    load_case_at,
    run_at,
    load_at,
    deflection_at,
    slide_at,
    columns
};
constexpr std::array<std::string_view, columns> column_names{
    "device", "job", "foot", "wall_mm", "load", "run", "load_n", "deflection_mm", "distal_slide_mm"};
/// The others may be left out.
constexpr std::array<Column, 5> needed{device_at, job_at, wall_at, load_at, deflection_at};

Fault table_fault(const std::string& name, int row, std::string_view column, const std::string& what) {
    return {FaultKind::input,
            "calibrate",
            name + ", row " + std::to_string(row) +
                (column.empty() ? "" : ", column " + std::string(column)) + ": " + what,
            {}};
}

std::string_view trimmed(std::string_view word) {
    constexpr std::string_view blank = " \t\r\"";
    const std::size_t from = word.find_first_not_of(blank);
    if (from == std::string_view::npos) return {};
    return word.substr(from, word.find_last_not_of(blank) - from + 1);
}

/// Cells between commas, semicolons or tabs: whichever the line of column names uses.
std::vector<std::string_view> cells(std::string_view line, char between) {
    std::vector<std::string_view> words;
    while (true) {
        const std::size_t end = line.find(between);
        words.push_back(trimmed(line.substr(0, end)));
        if (end == std::string_view::npos) return words;
        line.remove_prefix(end + 1);
    }
}

char separator(std::string_view text) {
    for (const char between : {';', '\t'})
        if (text.find("device" + std::string(1, between)) != std::string_view::npos) return between;
    return ',';
}

class TableReader {
  public:
    TableReader(std::string_view text, std::string name)
        : rest_(text), name_(std::move(name)), between_(separator(text)) {}

    Outcome<Measurements> read();

  private:
    Outcome<Done> setting(const std::vector<std::string_view>& words);
    Outcome<Done> header(const std::vector<std::string_view>& words);
    Outcome<Done> reading(const std::vector<std::string_view>& words);
    Outcome<Done> finish() const;
    Outcome<Loading*> loading(std::vector<Loading>& among, flex::LoadCase load, int number);
    Outcome<MeasuredDevice*> device_of(std::string_view code);

    std::string_view cell(Column column) const { return at_[column] < 0 ? "" : words_[at_[column]]; }
    Outcome<double> number(Column column, double low, double high, const char* what) const;
    Fault wrong(Column column, const std::string& what) const {
        return table_fault(name_, row_, column_names[column], what);
    }

    std::string_view rest_;
    std::string name_;
    char between_;
    int row_ = 0;
    bool table_ = false;
    std::array<int, columns> at_{};
    std::vector<std::string_view> words_;
    Measurements found_;
};

Outcome<double> TableReader::number(Column column, double low, double high, const char* what) const {
    const std::string_view word = cell(column);
    if (word.empty()) return wrong(column, std::string(what) + " is missing.");
    const auto value = parse_number(word);
    if (!value)
        return wrong(column, design::in_quotes(word) + " is no number (write a decimal point, no unit).");
    if (!(*value >= low && *value <= high))
        return wrong(column, exact(*value) + " is not " + what + ": it must lie within " + exact(low) +
                                 " to " + exact(high) + ".");
    return *value;
}

Outcome<Done> TableReader::setting(const std::vector<std::string_view>& words) {
    struct Setting {
        std::string_view key;
        std::optional<double>* value;
        double low, high;
    };
    const std::array<Setting, 4> settings{{{"friction", &found_.friction, 0.0, 1.0},
                                           {"distal_spring_n_mm", &found_.distal_spring_n_mm, 0.0, 2000.0},
                                           {"noise_mm", &found_.noise_mm, 1e-4, most_noise_mm},
                                           {"slide_noise_mm", &found_.slide_noise_mm, 1e-4, most_noise_mm}}};
    const std::string_view key = words[0], value = words.size() > 1 ? words[1] : std::string_view();
    for (std::size_t i = 2; i < words.size(); ++i)
        if (!words[i].empty())
            return table_fault(name_, row_, {},
                               "more than one value stands after " + design::in_quotes(key) + ".");
    if (key == "material") {
        if (!found_.material.empty()) return table_fault(name_, row_, key, "it is said twice.");
        if (const std::string trouble = design::text_trouble(value, design::TextKind::name);
            value.empty() || !trouble.empty())
            return table_fault(name_, row_, key,
                               design::in_quotes(value) +
                                   " is no key of a material: write the name of its file without .json.");
        found_.material = value;
        return Done{};
    }
    for (const Setting& one : settings) {
        if (key != one.key) continue;
        if (*one.value) return table_fault(name_, row_, key, "it is said twice.");
        const auto number = parse_number(value);
        if (!number || !(*number >= one.low && *number <= one.high))
            return table_fault(name_, row_, key,
                               design::in_quotes(value) + " is no number within " + exact(one.low) + " to " +
                                   exact(one.high) + " (leave the row out where it is not known).");
        *one.value = *number;
        return Done{};
    }
    return table_fault(
        name_, row_, {},
        design::in_quotes(key) +
            " is none of: material, friction, distal_spring_n_mm, noise_mm, slide_noise_mm; the "
            "line of column names begins with device.");
}

Outcome<Done> TableReader::header(const std::vector<std::string_view>& words) {
    at_.fill(-1);
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (words[i].empty()) continue;
        const auto known = std::find(column_names.begin(), column_names.end(), words[i]);
        if (known == column_names.end()) {
            const std::string near = nearest_word(words[i], column_names);
            return table_fault(
                name_, row_, words[i].substr(0, 40),
                "there is no such column" + (near.empty() ? std::string(".") : " (is it " + near + "?)."));
        }
        int& at = at_[static_cast<std::size_t>(known - column_names.begin())];
        if (at >= 0) return table_fault(name_, row_, words[i], "there are two of this name.");
        at = static_cast<int>(i);
    }
    for (const Column column : needed)
        if (at_[column] < 0) return wrong(column, "it is missing.");
    table_ = true;
    return Done{};
}

Outcome<Loading*> TableReader::loading(std::vector<Loading>& among, flex::LoadCase load, int number) {
    for (Loading& one : among)
        if (one.run == number && one.load_case == load) return &one;
    if (among.size() == most_loadings)
        return wrong(run_at, "more than " + std::to_string(most_loadings) + " loadings of one device.");
    among.push_back({load, number, {}});
    return &among.back();
}

Outcome<MeasuredDevice*> TableReader::device_of(std::string_view code) {
    if (const std::string trouble = design::text_trouble(code, design::TextKind::code);
        code.empty() || !trouble.empty())
        return wrong(device_at,
                     design::in_quotes(code) + " is no code: letters, digits and dashes, no names.");
    const std::string_view path = cell(job_at), side = cell(foot_at);
    if (path.empty()) return wrong(job_at, "the device's job is missing.");
    if (const std::string trouble = design::text_trouble(path, design::TextKind::path, true);
        !trouble.empty())
        return wrong(job_at, design::in_quotes(path) + " " + trouble);
    if (!side.empty() && side != "left" && side != "right")
        return wrong(foot_at, design::in_quotes(side) + " is neither left nor right.");
    std::optional<Side> stated;
    if (!side.empty()) stated = side == "left" ? Side::left : Side::right;
    const auto wall = number(wall_at, 0.3, greatest_wall_mm, "a wall, mm");
    if (!wall) return wall.fault();
    for (MeasuredDevice& one : found_.devices) {
        if (one.code != code) continue;
        const std::string first =
            std::string(code) + " has another one in row " + std::to_string(one.row) + ".";
        if (one.job != path) return wrong(job_at, first);
        if (one.foot != stated) return wrong(foot_at, first);
        if (one.wall_mm != *wall) return wrong(wall_at, first);
        return &one;
    }
    if (found_.devices.size() == most_devices)
        return wrong(device_at, "more than " + std::to_string(most_devices) + " devices.");
    found_.devices.push_back({std::string(code), std::string(path), stated, *wall, {}, row_});
    return &found_.devices.back();
}

Outcome<Done> TableReader::reading(const std::vector<std::string_view>& words) {
    words_ = words;
    const auto last = static_cast<std::size_t>(*std::max_element(at_.begin(), at_.end()));
    for (std::size_t i = last + 1; i < words_.size(); ++i)
        if (!words_[i].empty())
            return table_fault(name_, row_, {},
                               design::in_quotes(words_[i]) +
                                   " stands behind the last column (a decimal comma? write a point).");
    words_.resize(std::max(words_.size(), last + 1));
    const bool block = cell(device_at) == block_code;

    flex::LoadCase load = flex::LoadCase::arch_press;
    if (const std::string_view word = cell(load_case_at); !word.empty() && !block) {
        if (word == flex::key(flex::LoadCase::forefoot_lift))
            load = flex::LoadCase::forefoot_lift;
        else if (word != flex::key(flex::LoadCase::arch_press))
            return wrong(load_case_at, design::in_quotes(word) +
                                           " is none that calibrates: write arch-press or forefoot-lift.");
    }
    double number_of_run = 1.0;
    if (!cell(run_at).empty()) {
        const auto told = number(run_at, 1.0, 1000.0, "the number of a run");
        if (!told) return told.fault();
        number_of_run = *told;
        if (number_of_run != std::floor(number_of_run)) return wrong(run_at, "it is no whole number.");
    }
    const auto force = number(load_at, 0.0, flex::most_load, "a load, N");
    if (!force) return force.fault();
    const auto gauge = number(deflection_at, -most_gauge_mm, most_gauge_mm, "a deflection, mm");
    if (!gauge) return gauge.fault();
    Reading read{*force, *gauge, {}, row_};
    if (!cell(slide_at).empty()) {
        const auto slide = number(slide_at, -most_gauge_mm, most_gauge_mm, "a slide, mm");
        if (!slide) return slide.fault();
        if (block || load == flex::LoadCase::forefoot_lift)
            return wrong(slide_at, "nothing slides in this row: leave the cell empty.");
        read.slide_mm = *slide;
    }
    std::vector<Loading>* among = &found_.rigid_block;
    if (!block) {
        const auto measured = device_of(cell(device_at));
        if (!measured) return measured.fault();
        among = &(*measured)->loadings;
    }
    const auto into = loading(*among, load, static_cast<int>(number_of_run));
    if (!into) return into.fault();
    std::vector<Reading>& readings = (*into)->readings;
    if (readings.size() == most_readings)
        return wrong(load_at, "more than " + std::to_string(most_readings) + " readings of one run.");
    if (!readings.empty() && !(read.load_n > readings.back().load_n))
        return wrong(load_at,
                     exact(read.load_n) + " N does not follow the " + exact(readings.back().load_n) +
                         " N of row " + std::to_string(readings.back().row) +
                         ": a run is one loading, from the least load up (unloading is left out; another "
                         "loading has another number in the column run).");
    readings.push_back(read);
    return Done{};
}

Outcome<Done> TableReader::finish() const {
    const auto lacks = [&](const std::string& what) {
        return Fault{FaultKind::input, "calibrate", name_ + ": " + what, {}};
    };
    if (!table_) return lacks("no line of column names: it begins with device, then job, wall_mm, ...");
    if (found_.material.empty()) return lacks("the row material,KEY is missing (before the column names).");
    if (found_.devices.empty()) return lacks("no device was measured.");
    if (found_.rigid_block.empty())
        return lacks(
            "no rows of the device rigid-block: press a rigid block on the same rig, so that what the rig "
            "gives "
            "is not taken for the material.");
    for (const Loading& one : found_.rigid_block)
        if (one.readings.size() < 2)
            return table_fault(name_, one.readings.front().row, column_names[load_at],
                               "one reading of the rigid block tells no compliance: give two loads or more.");
    double block_n = 0.0;
    for (const Loading& one : found_.rigid_block) block_n = std::max(block_n, one.readings.back().load_n);
    for (const MeasuredDevice& one : found_.devices)
        for (const Loading& loaded : one.loadings) {
            if (loaded.readings.size() < 3)
                return table_fault(name_, loaded.readings.front().row, column_names[load_at],
                                   "run " + std::to_string(loaded.run) + " of " + one.code +
                                       " has fewer than three readings: they tell no curve.");
            if (loaded.load_case == flex::LoadCase::arch_press &&
                loaded.readings.back().load_n > 1.1 * block_n)
                return table_fault(name_, loaded.readings.back().row, column_names[load_at],
                                   "the rigid block was pressed to " + exact(block_n) +
                                       " N only: press it as far as the devices.");
        }
    if (walls_of(found_.devices) < 2)
        return lacks(
            "all devices have one wall (" + exact(found_.devices.front().wall_mm) +
            " mm): with one wall a soft material and a firm support look alike. Measure devices of a "
            "second wall, half a millimetre away or more.");
    return Done{};
}

Outcome<Measurements> TableReader::read() {
    for (bool more = !rest_.empty(); more; more = !rest_.empty()) {
        ++row_;
        std::string_view line = rest_.substr(0, rest_.find('\n'));
        rest_.remove_prefix(std::min(rest_.size(), line.size() + 1));
        if (row_ == 1 && line.substr(0, 3) == "\xEF\xBB\xBF") line.remove_prefix(3);  // a spreadsheet's mark
        line = line.substr(0, line.find('#'));
        const std::vector<std::string_view> words = cells(line, between_);
        if (std::all_of(words.begin(), words.end(), [](std::string_view word) { return word.empty(); }))
            continue;
        const auto done = table_                                ? reading(words)
                          : words[0] == column_names[device_at] ? header(words)
                                                                : setting(words);
        if (!done) return done.fault();
    }
    if (const auto good = finish(); !good) return good.fault();
    return found_;
}

}  // namespace

std::size_t walls_of(const std::vector<MeasuredDevice>& devices) {
    std::vector<double> walls;
    for (const MeasuredDevice& one : devices) walls.push_back(one.wall_mm);
    std::sort(walls.begin(), walls.end());
    std::size_t count = 0;
    double last = -greatest_wall_mm;
    for (const double wall : walls)
        if (wall - last > same_wall_mm) {
            ++count;
            last = wall;
        }
    return count;
}

Outcome<Measurements> parse_measurements(std::string_view text, const std::string& name) {
    auto found = TableReader(text, name).read();
    if (found) found->sha256 = sha256(std::string(text));
    return found;
}

Outcome<Measurements> read_measurements(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_bytes);
    if (!file) return file.fault();
    return parse_measurements(file->text(), path.filename().string());
}

}  // namespace archwright::calibrate
