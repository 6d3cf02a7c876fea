// archwright: the command line. Words become options here; exporters/command/*.cpp do the work.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <charconv>
#include <iostream>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "engine/design/command.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"
#include "engine/flex/bench.hpp"
#include "engine/flex/middle.hpp"
#include "engine/picture/sheet.hpp"
#include "exporters/command/options.hpp"

using namespace archwright;
using namespace archwright::exporters::command;

namespace {

void side_option(CLI::App& app, const char* name, std::optional<Side>& side, const char* help) {
    app.add_option_function<std::string>(
           name, [&side](const std::string& text) { side = text == "left" ? Side::left : Side::right; }, help)
        ->check(CLI::IsMember({"left", "right"}));
}

/// "812,430": a pixel.
std::optional<Vec2> pixel_of(std::string_view text) {
    const std::size_t comma = text.find(',');
    if (comma == std::string_view::npos) return std::nullopt;
    const auto u = parse_number(text.substr(0, comma)), v = parse_number(text.substr(comma + 1));
    if (!u || !v) return std::nullopt;
    return Vec2(*u, *v);
}

/// "812,430=10.5,-3,88": a pixel and the point seen there.
std::optional<mark::Match> match_of(const std::string& text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos) return std::nullopt;
    const auto pixel = pixel_of(std::string_view(text).substr(0, equals));
    const auto point = design::parse_place(text.substr(equals + 1));
    if (!pixel || !point) return std::nullopt;
    return mark::Match{*pixel, *point};
}

/// "fascia=812,430;830,470": a name and the pixels of a line.
std::optional<DrawnLine> drawn_of(const std::string& text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0) return std::nullopt;
    DrawnLine drawn{text.substr(0, equals), {}};
    for (std::size_t from = equals + 1; from <= text.size();) {
        const std::size_t to = std::min(text.find(';', from), text.size());
        const auto pixel = pixel_of(std::string_view(text).substr(from, to - from));
        if (!pixel) return std::nullopt;
        drawn.pixels.push_back(*pixel);
        from = to + 1;
    }
    return drawn;
}

/// "0.5,1": a look above the one, a stop above the other.
void limit_option(CLI::App& app, const char* name, compare::Limit& limit, const char* help) {
    const auto parsed = [](const std::string& text) -> std::optional<compare::Limit> {
        const auto both = pixel_of(text);
        if (!both || !((*both)[0] >= 0.0) || !((*both)[1] >= (*both)[0]) || !((*both)[1] <= 1000.0))
            return std::nullopt;
        return compare::Limit{(*both)[0], (*both)[1]};
    };
    app.add_option_function<std::string>(
           name, [&limit, parsed](const std::string& text) { limit = *parsed(text); }, help)
        ->check([parsed](const std::string& text) {
            return parsed(text) ? std::string()
                                : "\"" + text +
                                      "\" is no pair of limits: write LOOK,STOP, as 0.5,1, the stop no "
                                      "less than the look";
        });
}

void place_option(CLI::App& app, const char* name, std::optional<Vec3>& place, bool direction,
                  const char* help) {
    app.add_option_function<std::string>(
           name,
           [&place, direction](const std::string& text) {
               place = design::parse_place(text);
               if (direction) place = place->normalized();
           },
           help)
        ->check([direction](const std::string& text) {
            const auto p = design::parse_place(text);
            if (p && (!direction || p->norm() > 0.0)) return std::string();
            return "\"" + text + "\" is no " +
                   (direction ? "direction: write +z, or 0,0,1" : "place: write X,Y,Z");
        });
}

/// The same, any number of times.
/// "2,3,5": numbers of findings.
CLI::Option* numbers_option(CLI::App& app, const char* name, std::vector<int>& numbers, const char* help) {
    return app.add_option_function<std::string>(
        name,
        [&numbers, name](const std::string& text) {
            std::size_t at = 0;
            while (at <= text.size()) {
                const std::size_t comma = std::min(text.find(',', at), text.size());
                int number = 0;
                const auto parsed = std::from_chars(text.data() + at, text.data() + comma, number);
                constexpr int most = 1000;
                if (parsed.ec != std::errc() || parsed.ptr != text.data() + comma || number < 1 ||
                    number > most)
                    throw CLI::ValidationError(name,
                                               "\"" + text + "\" is not a list of numbers such as 2,3,5");
                if (std::find(numbers.begin(), numbers.end(), number) == numbers.end())
                    numbers.push_back(number);
                at = comma + 1;
            }
        },
        help);
}

void place_list_option(CLI::App& app, const char* name, std::vector<Vec3>& places, const char* help) {
    app.add_option_function<std::vector<std::string>>(
           name,
           [&places](const std::vector<std::string>& texts) {
               for (const std::string& text : texts) places.push_back(*design::parse_place(text));
           },
           help)
        ->check([](const std::string& text) {
            return design::parse_place(text) ? std::string() : "\"" + text + "\" is no place: write X,Y,Z";
        });
}

/// The words a job has for a choice.
template <class E>
std::vector<std::string> keys_of() {
    std::vector<std::string> keys;
    for (const auto& word : design::words<E>) keys.emplace_back(word.key);
    return keys;
}

void unit_option(CLI::App& app, std::optional<LengthUnit>& unit, const char* name = "--unit",
                 const char* help = "Unit of the cast file") {
    app.add_option_function<std::string>(
           name, [&unit](const std::string& text) { unit = length_unit(text); }, help)
        ->check(CLI::IsMember({"mm", "cm", "in", "m"}));
}

void output_option(CLI::App& app, std::filesystem::path& folder) {
    app.add_option("-o,--output", folder, "Folder for the files")
        ->required()
        ->check([](const std::string& text) {
            if (text.empty()) return std::string("name a folder; \".\" is this one");
            const std::string trouble = design::text_trouble(text, design::TextKind::words);
            return trouble.empty() ? std::string() : "the folder's name: " + trouble;
        });
}

void format_option(CLI::App& app, std::vector<std::string>& formats) {
    app.add_option("--format", formats, "stl, step, 3mf; default: all")
        ->delimiter(',')
        ->check(CLI::IsMember({"stl", "step", "3mf"}));
}

/// A check that the word is a number within a range; CLI11's own lets "nan" through.
std::function<std::string(const std::string&)> between(double least, double most) {
    return [least, most](const std::string& text) {
        const auto number = parse_number(text);
        return number && *number >= least && *number <= most
                   ? std::string()
                   : "\"" + text + "\" is no number from " + exact(least) + " to " + exact(most);
    };
}

/// What a device stands on, and the elements it is cut into.
template <class Options>
void support_options(CLI::App& app, Options& options) {
    app.add_option("--element", options.element_mm, "Size of the elements, mm")
        ->check(between(flex::least_element_mm, flex::greatest_element_mm))
        ->capture_default_str();
    app.add_option("--friction", options.friction, "Between shell and ground")
        ->check(between(0.0, 2.0))
        ->capture_default_str();
    app.add_option("--distal-spring", options.distal_spring_n_mm,
                   "Grip of a shoe on the distal edge in plane, N/mm")
        ->check(between(0.0, 10000.0))
        ->capture_default_str();
    app.add_option("--bed", options.bed_n_mm3, "Foundation modulus of the ground, N/mm3; 0: rigid")
        ->check(between(0.0, 1000.0))
        ->capture_default_str();
    app.add_option("--bed-shape", options.bed_shape,
                   "A shoe's bed from the side: a file of lines \"forward, height\", mm from the heel "
                   "centre (default: level)");
}

void reading_options(CLI::App& app, CastOptions& reading) {
    app.add_flag("--allow-outside", reading.allow_outside,
                 "Files named by the job may lie outside its folder");
    app.add_option("--most-triangles", reading.limits.triangles, "Refuse casts of more triangles")
        ->capture_default_str();
    app.add_option("--most-bytes", reading.limits.bytes, "Refuse cast files of more bytes")
        ->capture_default_str();
    app.add_option("--most-depth", reading.limits.depth, "Refuse 3MF files with objects nested deeper")
        ->check(CLI::Range(1, 1000))
        ->capture_default_str();
}

}  // namespace

int main(int count, char** words) {
    CLI::App app{"Archwright: from the scan of a foot cast to a foot-orthosis shell that can be made."};
    app.set_version_flag("--version", std::string("archwright ") + version);
    app.require_subcommand(1);
    app.fallthrough();
    bool json = false, quiet = false;
    int threads = 0;
    app.add_flag("--json", json, "Results and faults as JSON on standard output");
    app.add_flag("--quiet", quiet, "No progress");
    app.add_option("--threads", threads, "Threads to use; 0: one a core")->check(CLI::Range(0, 1024));
    app.footer(
        "Exit codes: 0 done, 1 internal, 2 wrong words or a wrong job, 3 a file cannot be read,\n"
        "4 something has to be stated by a person, 5 a check stopped the work, 6 a file could not be\n"
        "written, 7 another process still has jobs of this batch, 101 to 120 jobs of a batch failed,\n"
        "130 cancelled. docs/commands.md tells more.");

    NewOptions fresh;
    auto* fresh_app =
        app.add_subcommand("new", "Start a job from a cast: propose unit and side, suggest landmarks");
    fresh_app->add_option("cast", fresh.cast, "Scan of the cast: STL, PLY, OBJ or 3MF")->required();
    fresh_app->add_option("-o,--output", fresh.job, "Job file to write")->required();
    side_option(*fresh_app, "--side", fresh.side, "Side the order states");
    unit_option(*fresh_app, fresh.unit);
    fresh_app->add_option("--case", fresh.case_code,
                          "Case code (never a person's name); default: the job's file name");
    fresh_app->add_option("--by", fresh.by, "Your code, kept with what you state");
    fresh_app->add_flag("--replace", fresh.replace, "Replace a job that exists");
    fresh_app->add_flag("--add", fresh.add, "Add the other foot to a job that exists");
    fresh_app->add_flag("--same-order", fresh.same_order,
                        "With --add: start from the other foot's order (never its marks or approvals)");
    reading_options(*fresh_app, fresh.reading);

    InspectOptions inspect;
    auto* inspect_app =
        app.add_subcommand("inspect", "Say what a cast or a job's cast holds, with the evidence");
    inspect_app->add_option("file", inspect.file, "Cast or job")->required();
    side_option(*inspect_app, "--side,--foot", inspect.side, "Side stated (of a cast), or foot of the job");
    unit_option(*inspect_app, inspect.unit);
    inspect_app->add_option("--picture", inspect.picture,
                            "PNG to write: the relief of the sole with every finding");
    inspect_app->add_flag("--effects", inspect.effects,
                          "Of a job: what each finding does to the device, built with it and without it");
    reading_options(*inspect_app, inspect.reading);

    RepairOptions repair;
    auto* repair_app =
        app.add_subcommand("repair", "Have a fault of the cast made anew from what lies round it");
    repair_app->add_option("job", repair.job, "Job file")->required();
    numbers_option(*repair_app, "--finding", repair.findings,
                   "Its number, as inspect of the job shows it; several with commas");
    place_list_option(*repair_app, "--at", repair.places,
                      "Instead: X,Y,Z in the cast file's coordinates; several for a line");
    repair_app->add_option("--what", repair.what, "With --at: dent, crease, seam, bump or rough")
        ->check(CLI::IsMember({"dent", "crease", "seam", "bump", "rough"}));
    repair_app->add_option("--reach", repair.reach_mm, "All of the cast within this many mm is made anew")
        ->check(between(2.0, 30.0));
    repair_app->add_option("--name", repair.name, "Name of the repair; default: from its kind");
    repair_app->add_option("--by", repair.by, "Your code");
    repair_app->add_option("--reason", repair.reason, "Why");
    repair_app->add_option("--remove", repair.remove, "Take the repair of this name back");
    side_option(*repair_app, "--foot", repair.foot, "Which foot of the job, where it has both");
    reading_options(*repair_app, repair.reading);

    AnswerOptions answer;
    auto* answer_app = app.add_subcommand("answer", "Say what a finding of the examination is");
    answer_app->add_option("job", answer.job, "Job file")->required();
    numbers_option(*answer_app, "finding", answer.findings,
                   "Its number, as inspect of the job shows it; several with commas")
        ->required();
    answer_app
        ->add_option("is", answer.is,
                     "foot: the foot's own shape; fault: a fault left as it is; open: not answered")
        ->required()
        ->check(CLI::IsMember({"foot", "fault", "open"}));
    answer_app->add_option("--by", answer.by, "Your code")->required();
    answer_app->add_option("--note", answer.note, "Remark");
    side_option(*answer_app, "--foot", answer.foot, "Which foot of the job, where it has both");
    reading_options(*answer_app, answer.reading);

    MakeOptions make;
    std::vector<std::string> formats;
    bool ap214 = false;
    auto* make_app = app.add_subcommand("make", "Build, prove and write the devices of a job");
    make_app->add_option("job", make.job, "Job file")->required();
    output_option(*make_app, make.delivery.folder);
    format_option(*make_app, formats);
    make_app->add_flag("--ap214", ap214, "STEP as AP214 for older readers (default AP242)");
    make_app->add_flag("--flex", make.delivery.flex,
                       "Put it on the virtual bench too, for the report (some seconds)");
    make_app->add_flag("--replace", make.delivery.replace,
                       "Replace files of the same names that were made from another design");
    side_option(*make_app, "--foot", make.foot, "Only this foot");
    reading_options(*make_app, make.reading);

    PatternOptions pattern;
    std::vector<std::string> pattern_formats;
    auto* pattern_app = app.add_subcommand(
        "pattern", "Write the outlines of covers, underlays and extensions 1:1: PDF, SVG, DXF");
    pattern_app->add_option("job", pattern.job, "Job file")->required();
    output_option(*pattern_app, pattern.delivery.folder);
    pattern_app->add_option("--format", pattern_formats, "pdf, svg, dxf; default: all")
        ->delimiter(',')
        ->check(CLI::IsMember({"pdf", "svg", "dxf"}));
    pattern_app->add_flag("--replace", pattern.delivery.replace,
                          "Replace files of the same names that hold another pattern");
    side_option(*pattern_app, "--foot", pattern.foot, "Only this foot");
    reading_options(*pattern_app, pattern.reading);

    MillOptions milling;
    auto* mill_app = app.add_subcommand(
        "mill", "Plan the milling of a job's devices from both sides, simulate it, write the programs");
    mill_app->add_option("job", milling.job, "Job file")->required();
    output_option(*mill_app, milling.folder);
    side_option(*mill_app, "--foot", milling.foot, "Only this foot");
    mill_app->add_flag("--pair", milling.pair, "Both feet in one block");
    mill_app->add_option("--machine", milling.machine, "Machine, by its file in assets/machines")
        ->capture_default_str();
    mill_app->add_option("--block", milling.block,
                         "Block, by its file in assets/blocks (default, for one foot: the smallest of the "
                         "material)");
    mill_app->add_option("--rough", milling.rough, "Cutter for roughing, by its file in assets/cutters")
        ->capture_default_str();
    mill_app->add_option("--finish", milling.finish, "Cutter for finishing: ball or bull nose")
        ->capture_default_str();
    mill_app->add_option("--detail", milling.detail,
                         "A finer ball or bull nose for what finishing leaves: letters, narrow hollows");
    mill_app->add_option("--drill", milling.drill,
                         "Drill for the holes of the datum pins, at the end of set-up 1");
    mill_app->add_option("--pin-depth", milling.pin_depth_mm, "Of those holes, mm")
        ->check(between(2.0, 100.0))
        ->capture_default_str();
    mill_app->add_option("--flip", milling.flip, "Axis the block is turned about")
        ->check(CLI::IsMember({"x", "y"}))
        ->capture_default_str();
    mill_app->add_option("--datum", milling.datum, "What finds the block again after the turn")
        ->check(CLI::IsMember({"pins", "edges"}))
        ->capture_default_str();
    mill_app->add_option("--tab-width", milling.tab_width_mm, "Of the bridges that hold the device, mm")
        ->check(between(1.0, 20.0))
        ->capture_default_str();
    mill_app->add_option("--tab-thickness", milling.tab_thickness_mm, "Of those, mm")
        ->check(between(0.5, 5.0))
        ->capture_default_str();
    mill_app
        ->add_option(
            "--tabs-at", milling.tabs_at,
            "Shares of the device's length from its heel, a tab on either border at each (default 0.35 0.68)")
        ->check(between(0.02, 0.98))
        ->expected(1, 6);
    mill_app->add_flag("--tabs-anywhere", milling.tabs_anywhere, "Also at the heel and the distal edge");
    mill_app->add_option("--cusp", milling.scallop_mm, "Height of the cusps finishing leaves, mm")
        ->check(between(0.001, 0.2))
        ->capture_default_str();
    mill_app
        ->add_option("--tilt", milling.tilt_deg, "Look for a better tilt in the block up to so many degrees")
        ->check(between(0.0, 20.0))
        ->capture_default_str();
    mill_app->add_flag("--conventional", milling.conventional, "Loops run against the feed (default: climb)");
    mill_app->add_flag("--one-way", milling.one_way, "Parallel lines all run one way (default: to and fro)");
    mill_app->add_flag("--replace", milling.replace, "Replace files of the same names");
    reading_options(*mill_app, milling.reading);

    ProgramsOptions programs;
    auto* programs_app = app.add_subcommand(
        "programs", "Say whether two programs for a mill are whole and the two set-ups of one milling");
    programs_app->add_option("first", programs.first, "Program of set-up 1")->required();
    programs_app->add_option("second", programs.second, "Program of set-up 2")->required();

    PrintOptions printing;
    auto* print_app = app.add_subcommand(
        "print", "Judge whether a printer makes a job's devices, and propose how they are laid on it");
    print_app->add_option("job", printing.job, "Job file")->required();
    print_app->add_option("-o,--output", printing.folder,
                          "Folder for STL and 3MF as they are laid, and the report; default: told only");
    side_option(*print_app, "--foot", printing.foot, "Only this foot");
    print_app->add_option("--printer", printing.printer, "Printer, by its file in assets/printers")
        ->capture_default_str();
    print_app->add_flag("--as-it-stands", printing.as_it_stands,
                        "Judge and write it foot side up, as it stands, not as proposed");
    print_app->add_flag("--replace", printing.replace, "Replace files of the same names");
    reading_options(*print_app, printing.reading);

    MouldOptions moulding;
    auto* mould_app = app.add_subcommand(
        "mould", "Make the positive mould a sheet is drawn over, estimate the sheet's thinning");
    mould_app->add_option("job", moulding.job, "Job file")->required();
    output_option(*mould_app, moulding.folder);
    side_option(*mould_app, "--foot", moulding.foot, "Only this foot");
    mould_app
        ->add_option("--sheet", moulding.sheet_mm,
                     "Thickness of the sheet, mm (default: the order's base wall)")
        ->check(between(0.5, 12.0));
    mould_app->add_option("--margin", moulding.setting.margin_mm, "Of mould beyond the trim line, mm")
        ->check(between(2.0, 20.0))
        ->capture_default_str();
    mould_app->add_option("--draft", moulding.setting.draft_deg, "Of margin and wall, degrees")
        ->check(between(1.0, 20.0))
        ->capture_default_str();
    mould_app->add_option("--base", moulding.setting.base_mm, "Of wall under the lowest margin, mm")
        ->check(between(2.0, 60.0))
        ->capture_default_str();
    mould_app->add_option("--scribe-width", moulding.setting.scribe_width_mm, "Of the scribed trim line, mm")
        ->check(between(0.4, 2.0))
        ->capture_default_str();
    mould_app->add_option("--scribe-depth", moulding.setting.scribe_depth_mm, "Of it, mm")
        ->check(between(0.1, 1.5))
        ->capture_default_str();
    mould_app
        ->add_option(
            "--shrinkage", moulding.setting.shrinkage_percent,
            "%, of your own measuring; published 1 to 2.5 % of injected polypropylene is an upper bound")
        ->check(between(0.0, 5.0))
        ->capture_default_str();
    auto* program_flag = mould_app->add_flag("--program", moulding.program,
                                             "Also the program of a three-axis mill, from one side");
    mould_app->add_option("--machine", moulding.machine, "Machine, by its file in assets/machines")
        ->needs(program_flag)
        ->capture_default_str();
    mould_app->add_option("--block", moulding.block, "Block, by its file in assets/blocks")
        ->needs(program_flag)
        ->capture_default_str();
    mould_app->add_option("--rough", moulding.rough, "Cutter for roughing, by its file in assets/cutters")
        ->needs(program_flag)
        ->capture_default_str();
    mould_app->add_option("--finish", moulding.finish, "Cutter for finishing: ball or bull nose")
        ->needs(program_flag)
        ->capture_default_str();
    mould_app
        ->add_option("--detail", moulding.detail, "A finer ball for what finishing leaves: the scribed line")
        ->needs(program_flag);
    mould_app->add_option("--cusp", moulding.scallop_mm, "Height of the cusps finishing leaves, mm")
        ->needs(program_flag)
        ->check(between(0.001, 0.2))
        ->capture_default_str();
    mould_app->add_flag("--replace", moulding.replace, "Replace files of the same names");
    reading_options(*mould_app, moulding.reading);

    SheetOptions sheeting;
    auto* sheet_app = app.add_subcommand(
        "sheet", "Write the design sheet that a clinician approves a device by (PDF): sections 1:1, maps");
    sheet_app->add_option("job", sheeting.job, "Job file")->required();
    output_option(*sheet_app, sheeting.folder);
    side_option(*sheet_app, "--foot", sheeting.foot, "Only this foot");
    sheet_app->add_flag("--flex", sheeting.flex, "Try the device on the virtual bench as well");
    sheet_app->add_flag("--replace", sheeting.replace, "Give up a sheet that is there and differs");
    reading_options(*sheet_app, sheeting.reading);

    RecordOptions recording;
    auto* record_app = app.add_subcommand(
        "record", "Write the device record (JSON and PDF) beside the files that make has written");
    record_app->add_option("job", recording.job, "Job file")->required();
    output_option(*record_app, recording.folder);
    side_option(*record_app, "--foot", recording.foot, "Only this foot");
    record_app->add_flag("--replace", recording.replace, "Give up a record that is there and differs");
    reading_options(*record_app, recording.reading);

    JobsOptions listing;
    auto* jobs_app =
        app.add_subcommand("jobs", "List the jobs of a folder by the day they are due, and how far each is");
    jobs_app->add_option("folder", listing.folder, "Folder the jobs are in")->required();
    jobs_app
        ->add_option("--state", listing.states, "Only these: received, designing, waiting, approved, made")
        ->delimiter(',')
        ->check(CLI::IsMember({"received", "designing", "waiting", "approved", "made"}));
    side_option(*jobs_app, "--side", listing.side, "Only jobs with this foot");
    jobs_app->add_option("--due-by", listing.due_by, "Only jobs due on this day (YYYY-MM-DD) or before");

    PreviewOptions previewing;
    auto* preview_app = app.add_subcommand(
        "preview", "Write one file in which the clinician turns, cuts and answers the design");
    preview_app->add_option("job", previewing.job, "Job file")->required();
    output_option(*preview_app, previewing.folder);
    side_option(*preview_app, "--foot", previewing.foot, "Only this foot");
    preview_app->add_flag("--replace", previewing.replace, "Replace a preview of another design");
    reading_options(*preview_app, previewing.reading);

    ReplyOptions replying;
    auto* reply_app = app.add_subcommand(
        "reply", "Read the answer to a preview: is it of the design as it is, and what does it ask");
    reply_app->add_option("file", replying.file, "Text with the answer, a saved mail for one")->required();
    reply_app->add_option("job", replying.job, "Job file")->required();
    reading_options(*reply_app, replying.reading);

    PictureOptions picture;
    auto* picture_app =
        app.add_subcommand("picture", "Draw a job's device: on the foot, plan, sections, wall");
    picture_app->add_option("job", picture.job, "Job file")->required();
    picture_app->add_option("-o,--output", picture.picture, "PNG to write")->required();
    side_option(*picture_app, "--foot", picture.foot, "Which foot");
    picture_app
        ->add_option("--view", picture.view,
                     "all, foot, shell, underside, plan, sections, wall, height, deviation, rigidity (x the "
                     "base), bending (N mm), mass (g/cm2)")
        ->check(CLI::IsMember(picture::view_words()))
        ->capture_default_str();
    picture_app->add_option("--width", picture.width, "Pixels")
        ->check(CLI::Range(480, 6000))
        ->capture_default_str();
    picture_app->add_option("--height", picture.height, "Pixels")
        ->check(CLI::Range(360, 6000))
        ->capture_default_str();
    picture_app->add_option("--scale", picture.scale, "Pixels per logical pixel")
        ->check(between(0.5, 4.0))
        ->capture_default_str();
    picture_app->add_flag("--dark", picture.dark, "Dark paper");
    reading_options(*picture_app, picture.reading);

    FlexOptions flexing;
    auto* flex_app = app.add_subcommand(
        "flex", "Put a job's shell on the virtual bench: initial stiffness, for comparison only");
    flex_app->add_option("job", flexing.job, "Job file")->required();
    side_option(*flex_app, "--foot", flexing.foot, "Which foot (default: all)");
    std::vector<std::string> load_words{"all"};
    for (const flex::LoadCase load : flex::all_load_cases) load_words.emplace_back(flex::key(load));
    flex_app->add_option("--load", flexing.load_case, "Which load")
        ->check(CLI::IsMember(load_words))
        ->capture_default_str();
    flex_app->add_option("--force", flexing.load_n, "Instead of that load's own, N (torsion: N mm)")
        ->check(between(flex::least_load, flex::most_load));
    support_options(*flex_app, flexing);
    std::string deflections = flex::key(flexing.deflections);
    flex_app
        ->add_option("--deflection", deflections,
                     "Whether the shell's own movement counts; auto: where its wall is under 4 mm, "
                     "or it moves by a tenth of its arch")
        ->check(CLI::IsMember({"auto", "small", "large"}))
        ->capture_default_str();
    flex_app->add_flag("--quick", flexing.quick, "Without what the load's place and the support change");
    reading_options(*flex_app, flexing.reading);

    CalibrateOptions calibrating;
    auto* calibrate_app = app.add_subcommand(
        "calibrate",
        "Fit the modulus to devices a laboratory measured on its bench, and what held them there");
    calibrate_app->add_option("measurements", calibrating.measurements, "Table of the measurements (CSV)")
        ->required();
    auto* by_option = calibrate_app->add_option("--by", calibrating.by, "Code of who measured");
    auto* date_option =
        calibrate_app->add_option("--date", calibrating.date, "Day of the measurements, YYYY-MM-DD");
    calibrate_app
        ->add_option(
            "-o,--output", calibrating.material,
            "The material's file to write with its calibration, for a folder of materials of your own")
        ->needs(by_option)
        ->needs(date_option);
    calibrate_app->add_option("--element", calibrating.element_mm, "Size of the elements, mm")
        ->check(between(flex::least_element_mm, flex::greatest_element_mm))
        ->capture_default_str();
    calibrate_app->add_flag("--replace", calibrating.replace, "Replace a file that exists");
    reading_options(*calibrate_app, calibrating.reading);

    CompareOptions comparing;
    auto* compare_app = app.add_subcommand(
        "compare", "Lay one cast on another: how far apart, where, and what that does to the shell");
    compare_app->add_option("first", comparing.first, "Cast or job; the shells are made to a job's order")
        ->required();
    compare_app->add_option("second", comparing.second, "Cast or job")->required();
    side_option(*compare_app, "--side", comparing.side, "Side of the first cast, or which foot of its job");
    side_option(*compare_app, "--second-side", comparing.second_side, "The same of the second");
    unit_option(*compare_app, comparing.unit);
    unit_option(*compare_app, comparing.second_unit, "--second-unit", "Unit of the second cast file");
    compare_app->add_flag("--left-right", comparing.left_right,
                          "A left foot against a right one: one is seen in the mirror");
    compare_app->add_flag("--shells", comparing.shells,
                          "Build both shells too where the first is no job: to the default order");
    compare_app
        ->add_option(
            "--same", comparing.same_mm,
            "Half of the surface has to lie nearer than this, or they are two feet, mm; 0: the usual")
        ->check(between(0.0, 20.0))
        ->capture_default_str();
    compare_app->add_option("--picture", comparing.picture, "PNG to write: the map with the figures");
    compare_app->add_option("--map", comparing.map,
                            "PLY to write: the second cast, coloured, with distances");
    reading_options(*compare_app, comparing.reading);

    VerifyOptions verifying;
    auto* verify_app = app.add_subcommand(
        "verify", "Lay the scan of a made device on its design: surfaces, wall, posts, within limits");
    verify_app->add_option("job", verifying.job, "Job file")->required();
    verify_app->add_option("scan", verifying.scan, "Scan of the finished shell: STL, PLY, OBJ or 3MF")
        ->required();
    side_option(*verify_app, "--foot", verifying.foot, "Whose device it is, where the job has both feet");
    unit_option(*verify_app, verifying.unit, "--unit",
                "Unit of the scan; default: what its file says, else mm");
    limit_option(*verify_app, "--surface", verifying.limits.surface_mm,
                 "LOOK,STOP mm: 95 of 100 places of a face lie nearer to the design");
    limit_option(*verify_app, "--wall", verifying.limits.wall_mm, "LOOK,STOP mm: mean wall off by");
    limit_option(*verify_app, "--thin", verifying.limits.thin_mm,
                 "LOOK,STOP mm: 95 of 100 walls are thinner by less");
    limit_option(*verify_app, "--angle", verifying.limits.angle_deg,
                 "LOOK,STOP degrees: faces of posts off by");
    verify_app->add_option("--picture", verifying.picture, "PNG to write: the map with the checks");
    verify_app->add_option("--map", verifying.map, "PLY to write: the scan on the design, coloured");
    verify_app->add_option("--record", verifying.record, "JSON to write: the entry of the device's record");
    verify_app->add_flag("--replace", verifying.replace, "Replace a record that exists");
    reading_options(*verify_app, verifying.reading);

    StudyOptions studying;
    bool no_surfaces = false;
    auto* study_app = app.add_subcommand(
        "study", "Say how well casts repeat: a table of casts by foot, caster, method and repeat");
    study_app->add_option("table", studying.table, "Table of the study (CSV)")->required();
    study_app->add_option("-o,--output", studying.folder,
                          "Folder for the report (PDF), its drawings, figures and surfaces");
    study_app->add_flag("--leave-out", studying.leave_out,
                        "Go on without casts that are wrong (side, unit, mirror, another foot)");
    study_app->add_flag("--no-surfaces", no_surfaces, "Without mean surfaces");
    study_app->add_flag("--replace", studying.replace, "Replace a report that exists");
    reading_options(*study_app, studying.reading);

    AskOptions asking;
    auto* ask_app = app.add_subcommand(
        "ask", "Find the walls that give a shell a stiffness on the virtual bench, for comparison only");
    ask_app->add_option("job", asking.job, "Job file")->required();
    ask_app
        ->add_option(
            "target", asking.targets,
            "\"arch-press: +20%\" stiffer than it is; \"arch-press@110: 12N/mm\"; \"torsion: 4deg\"; "
            "a load moved: \"arch-press by 5,-3: +20%\"")
        ->required();
    side_option(*ask_app, "--foot", asking.foot, "Which foot, where the job has both");
    ask_app
        ->add_option("--walls", asking.walls,
                     "Walls that may change, with commas: base, stations, medial_column, lateral_column, "
                     "names of regions; limits of one of them: arch>=2.4<=5")
        ->required();
    ask_app->add_option("--least", asking.least_mm, "Least wall, mm (default: the material's)")
        ->check(between(0.5, 20.0));
    ask_app->add_option("--most", asking.most_mm, "Greatest wall, mm (default: the material's)")
        ->check(between(0.5, 20.0));
    ask_app->add_option("--against", asking.against,
                        "A job: changes in percent are against its foot of that side (default: this job as "
                        "it is)");
    support_options(*ask_app, asking);
    ask_app->add_option("-o,--output", asking.output, "Write the job with those walls (default: nothing)");
    ask_app->add_flag("--replace", asking.replace, "Over a job that is there");
    ask_app->add_flag("--nearest", asking.nearest, "Write it though a target is not met");
    reading_options(*ask_app, asking.reading);

    StateOptions state;
    auto* state_app = app.add_subcommand(
        "state", "State what a cast is: side, unit, directions; the evidence goes on record");
    state_app->add_option("job", state.job, "Job file")->required();
    side_option(*state_app, "--foot", state.foot, "Which foot of the job, where it has both");
    side_option(*state_app, "--side", state.side, "The side it is");
    unit_option(*state_app, state.unit);
    place_option(*state_app, "--up", state.up, true,
                 "The way to the back of the foot, in the cast file: +z or X,Y,Z");
    place_option(*state_app, "--toes", state.toes, true,
                 "The way from heel to toes, in the cast file: +x or X,Y,Z");
    state_app
        ->add_option_function<std::string>(
            "--inside-out", [&state](const std::string& text) { state.inside_out = text == "yes"; },
            "Whether the scan was taken from inside: yes or no")
        ->check(CLI::IsMember({"yes", "no"}));
    state_app->add_option("--by", state.by, "Your code")->required();
    reading_options(*state_app, state.reading);

    LandmarkOptions landmark;
    auto* landmark_app =
        app.add_subcommand("landmark", "Confirm a landmark that was suggested, or set its place");
    landmark_app->add_option("job", landmark.job, "Job file")->required();
    landmark_app
        ->add_option("name", landmark.name, "Its key, for example heel_centre; \"all\" confirms every one")
        ->required();
    place_option(*landmark_app, "--at", landmark.place, false,
                 "Its place X,Y,Z in the cast file's coordinates");
    landmark_app->add_option(
        "--spread", landmark.spread,
        "Instead: takes the scatter of landmarks that were set from a study's landmarks.csv");
    landmark_app->add_option("--by", landmark.by, "Your code")->required();
    side_option(*landmark_app, "--foot", landmark.foot, "Which foot of the job, where it has both");
    reading_options(*landmark_app, landmark.reading);

    MarksOptions marks;
    auto* marks_app = app.add_subcommand(
        "marks", "Look for ink on the cast; what is found enters the job as suggested marks");
    marks_app->add_option("job", marks.job, "Job file")->required();
    side_option(*marks_app, "--foot", marks.foot, "Which foot of the job, where it has both");
    auto* photo_option = marks_app->add_option("--photo", marks.photograph,
                                               "Photograph of the sole (PNG, JPEG) instead of the cast's "
                                               "colours");
    marks_app
        ->add_option_function<std::vector<std::string>>(
            "--match",
            [&marks](const std::vector<std::string>& texts) {
                for (const std::string& text : texts) marks.matches.push_back(*match_of(text));
            },
            "U,V=X,Y,Z: the photograph's pixel U,V shows the point X,Y,Z of the cast file; three or more")
        ->needs(photo_option)
        ->check([](const std::string& text) {
            return match_of(text) ? std::string() : "\"" + text + "\" is no match: write U,V=X,Y,Z";
        });
    marks_app
        ->add_flag("--inside", marks.inside,
                   "The photograph shows the inside of a negative, not the outside of a foot or a positive")
        ->needs(photo_option);
    auto* draw_option =
        marks_app
            ->add_option_function<std::vector<std::string>>(
                "--draw",
                [&marks](const std::vector<std::string>& texts) {
                    for (const std::string& text : texts) marks.drawn.push_back(*drawn_of(text));
                },
                "NAME=U,V;U,V...: a line drawn by hand on the photograph, or a spot, instead of looking for "
                "ink")
            ->needs(photo_option)
            ->check([](const std::string& text) {
                return drawn_of(text) ? std::string() : "\"" + text + "\" is no drawing: write NAME=U,V;U,V";
            });
    auto* marks_by = marks_app->add_option("--by", marks.by, "Your code, with --draw");
    draw_option->needs(marks_by);
    reading_options(*marks_app, marks.reading);

    MarkOptions mark;
    auto* mark_app = app.add_subcommand("mark", "Accept, refuse or rename a mark, or draw one");
    mark_app->add_option("job", mark.job, "Job file")->required();
    mark_app->add_option("name", mark.name, "The mark's name")->required();
    auto* accept_flag = mark_app->add_flag("--accept", mark.accept, "It is what it seems to be");
    mark_app->add_flag("--refuse", mark.refuse, "It is no mark; it is kept and not offered again")
        ->excludes(accept_flag);
    mark_app->add_option("--rename", mark.rename, "Another name; what lies on it goes with it");
    mark_app->add_option("--meaning", mark.meaning, "What it means")
        ->check(CLI::IsMember(keys_of<design::Mark::Meaning>()));
    mark_app->add_option("--kind", mark.kind, "With --at: spot, line or area")
        ->check(CLI::IsMember(keys_of<design::Mark::Kind>()));
    mark_app
        ->add_option_function<std::vector<std::string>>(
            "--at",
            [&mark](const std::vector<std::string>& texts) {
                for (const std::string& text : texts) mark.points.push_back(*design::parse_place(text));
            },
            "Its points X,Y,Z in the cast file's coordinates, one or more: draws it, or draws it anew")
        ->check([](const std::string& text) {
            return design::parse_place(text) ? std::string() : "\"" + text + "\" is no place: write X,Y,Z";
        });
    mark_app->add_flag("--relief", mark.relief, "Lay the usual relief on it");
    mark_app->add_option("--by", mark.by, "Your code")->required();
    side_option(*mark_app, "--foot", mark.foot, "Which foot of the job, where it has both");
    reading_options(*mark_app, mark.reading);

    ReviseOptions revise;
    auto* revise_app = app.add_subcommand("revise", "Begin the next revision of a job");
    revise_app->add_option("job", revise.job, "Job file")->required();
    revise_app->add_option("--note", revise.note, "What changes, and why")->required();
    revise_app->add_option("--date", revise.date, "YYYY-MM-DD");
    reading_options(*revise_app, revise.reading);

    SignOptions sign;
    auto* sign_app =
        app.add_subcommand("sign", "Take responsibility for a check that stopped, with a reason");
    sign_app->add_option("job", sign.job, "Job file")->required();
    sign_app->add_option("check", sign.check, "Its key, as shown in round brackets")->required();
    sign_app->add_option("--by", sign.by, "Your code")->required();
    sign_app->add_option("--reason", sign.reason, "Why the device may be made all the same")->required();
    sign_app->add_option("--second", sign.second, "Code of a second person");
    side_option(*sign_app, "--foot", sign.foot, "Which foot of the job, where it has both");
    reading_options(*sign_app, sign.reading);

    RemakeOptions remake;
    auto* remake_app = app.add_subcommand("remake", "Enter a device that came back in the remake log");
    remake_app->add_option("log", remake.log, "The log (CSV); begun where there is none")->required();
    remake_app->add_option("--case", remake.case_code, "Code of the case")->required();
    side_option(*remake_app, "--foot", remake.side, "Which device");
    remake_app->add_option("--revision", remake.revision, "Letter of the revision it was made of")
        ->required();
    remake_app->add_option("--code", remake.code, "R1 ... R9, R0, or one of --codes")->required();
    remake_app->add_option("--cause", remake.cause, "What was found and what was changed")->required();
    remake_app->add_option("--by", remake.by, "Your code")->required();
    remake_app->add_option("--date", remake.date, "Day it came back, YYYY-MM-DD")->required();
    remake_app->add_option("--codes", remake.codes, "The laboratory's own codes (CSV: code,words)");

    RemakesOptions remakes;
    auto* remakes_app = app.add_subcommand("remakes", "Tell what devices came back for, most often first");
    remakes_app->add_option("log", remakes.log, "The log (CSV)")->required();
    remakes_app->add_option("--codes", remakes.codes, "The laboratory's own codes (CSV: code,words)");
    remakes_app->add_option("--picture", remakes.picture, "PNG or SVG to write");

    ApproveOptions approving;
    auto* approve_app = app.add_subcommand("approve", "Approve the newest revision as it stands");
    approve_app->add_option("job", approving.job, "Job file")->required();
    approve_app->add_option("--by", approving.by, "Your code")->required();
    approve_app->add_option("--date", approving.date, "Day, YYYY-MM-DD")->required();
    side_option(*approve_app, "--foot", approving.foot, "Which foot of the job, where it has both");
    reading_options(*approve_app, approving.reading);

    ChangedOptions changed;
    auto* changed_app = app.add_subcommand(
        "changed", "Tell what changed since a revision: settings, figures, and a map of both devices");
    changed_app->add_option("job", changed.job, "Job file")->required();
    changed_app->add_option("--since", changed.since, "Letter of the revision")->required();
    changed_app->add_option("-o,--output", changed.folder, "Folder to write the list and the maps to");
    side_option(*changed_app, "--foot", changed.foot, "Only this foot");
    changed_app->add_flag("--list", changed.list, "The settings alone: nothing is built");
    reading_options(*changed_app, changed.reading);

    SetOptions set;
    auto* set_app =
        app.add_subcommand("set", "Change parameters of a job: archwright set JOB trim.cup_posterior_mm=14");
    set_app->add_option("job", set.job, "Job file")->required();
    set_app->add_option("settings", set.settings, "NAME=VALUE; docs/job-file.md lists the names")->required();
    side_option(*set_app, "--foot", set.foot, "Which foot of the job, where it has both");
    reading_options(*set_app, set.reading);

    ApplyOptions apply;
    auto* apply_app = app.add_subcommand("apply", "Lay a preset over one foot's order; it goes on record");
    apply_app->add_option("job", apply.job, "Job file")->required();
    apply_app
        ->add_option(
            "preset", apply.preset,
            "A file (its name ends in .json), or the code of a preset: archwright presets lists them")
        ->required();
    side_option(*apply_app, "--foot", apply.foot, "Which foot of the job, where it has both");
    apply_app->add_option("--by", apply.by, "Your code")->required();
    reading_options(*apply_app, apply.reading);

    auto* presets_app =
        app.add_subcommand("presets", "List the presets that come with the program, and what they set");

    BatchOptions batch;
    bool batch_outside = false;
    std::vector<std::string> batch_formats;
    auto* batch_app = app.add_subcommand("batch", "Make many jobs, each in a process of its own; resumes");
    batch_app->add_option("jobs", batch.jobs, "Folder of jobs, or a text file that names one job a line")
        ->required();
    output_option(*batch_app, batch.folder);
    batch_app->add_option("--workers", batch.workers, "Jobs at once")
        ->check(CLI::Range(1, 256))
        ->capture_default_str();
    batch_app->add_option("--time-limit", batch.time_limit_seconds, "Seconds a job may take")
        ->check(between(1.0, 1e6))
        ->capture_default_str();
    batch_app
        ->add_option("--memory-limit", batch.memory_limit_mb,
                     "MB of address space a job may take, 1000 or more; 0: no limit")
        ->check([](const std::string& text) {
            constexpr double least = 1000.0, most = 1e8;  // the libraries alone map some 500
            const auto mb = parse_number(text);
            if (mb && (*mb == 0.0 || (*mb >= least && *mb <= most))) return std::string();
            return "\"" + text +
                   "\" MB cannot be the limit: address space is more than the memory used (the table's "
                   "MB), and 1000 is the least to start with. Write 0 for no limit, or 1000 to 100000000";
        })
        ->capture_default_str();
    batch_app->add_flag("--retry", batch.retry, "Try the jobs that failed again");
    format_option(*batch_app, batch_formats);
    batch_app->add_flag("--replace", batch.replace,
                        "As for make; tries the jobs again that failed for want of it");
    batch_app->add_flag("--allow-outside", batch_outside, "As for make");

    auto* schema_app = app.add_subcommand("schema", "Print the JSON Schema of the job file");

    try {
        app.parse(count, words);
    } catch (const CLI::ParseError& error) {
        std::vector<std::string> names;
        for (const CLI::App* sub : app.get_subcommands({})) names.push_back(sub->get_name());
        int at = 1;  // the first word that is no option and no option's value
        while (at < count && words[at][0] == '-') at += std::string_view(words[at]) == "--threads" ? 2 : 1;
        if (at < count && std::find(names.begin(), names.end(), words[at]) == names.end()) {
            const std::string near = nearest_word(words[at], names);
            std::cerr << "archwright: there is no command \"" << words[at] << "\""
                      << (near.empty() ? std::string(". archwright --help lists them")
                                       : "; did you mean \"" + near + "\"?")
                      << "\n";
            return static_cast<int>(Exit::usage);
        }
        const int code = app.exit(error);
        return code == 0 ? 0 : static_cast<int>(Exit::usage);
    }
    if (!formats.empty()) {
        make.delivery.formats.clear();
        for (const std::string& format : formats)
            make.delivery.formats.insert(format == "stl"    ? exporters::Format::stl
                                         : format == "step" ? exporters::Format::step
                                                            : exporters::Format::three_mf);
    }
    if (!pattern_formats.empty()) {
        pattern.delivery.formats.clear();
        for (const std::string& format : pattern_formats)
            pattern.delivery.formats.insert(format == "pdf"   ? exporters::PatternFormat::pdf
                                            : format == "svg" ? exporters::PatternFormat::svg
                                                              : exporters::PatternFormat::dxf);
    }
    if (ap214) make.delivery.step_schema = solid::StepSchema::ap214;
    if (state_app->parsed() && !state.side && !state.unit && !state.up && !state.toes && !state.inside_out) {
        std::cerr << "archwright: say what you state: --side, --unit, --up, --toes or --inside-out\n";
        return static_cast<int>(Exit::usage);
    }

    if (mark_app->parsed() && !mark.accept && !mark.refuse && !mark.relief && mark.rename.empty() &&
        mark.meaning.empty() && mark.points.empty()) {
        std::cerr
            << "archwright: say what becomes of the mark: --accept, --refuse, --rename, --meaning, --at "
               "or --relief\n";
        return static_cast<int>(Exit::usage);
    }

    std::sort(batch_formats.begin(), batch_formats.end());  // one order: part of what a job is made from
    for (const std::string& format : batch_formats)
        batch.make_words.insert(batch.make_words.end(), {"--format", format});
    if (batch_outside) batch.make_words.emplace_back("--allow-outside");

    set_thread_count(threads);
    Console console(json, quiet);
    catch_signals(console);
    try {
        if (batch_app->parsed()) return run_batch(console, batch);
        Exit code = Exit::usage;
        if (fresh_app->parsed()) code = run_new(console, fresh);
        if (inspect_app->parsed()) code = run_inspect(console, inspect);
        if (make_app->parsed()) code = run_make(console, make);
        if (pattern_app->parsed()) code = run_pattern(console, pattern);
        if (mill_app->parsed()) code = run_mill(console, milling);
        if (programs_app->parsed()) code = run_programs(console, programs);
        if (print_app->parsed()) code = run_print(console, printing);
        if (mould_app->parsed()) code = run_mould(console, moulding);
        if (sheet_app->parsed()) code = run_sheet(console, sheeting);
        if (record_app->parsed()) code = run_record(console, recording);
        if (jobs_app->parsed()) code = run_jobs(console, listing);
        if (preview_app->parsed()) code = run_preview(console, previewing);
        if (reply_app->parsed()) code = run_reply(console, replying);
        if (picture_app->parsed()) code = run_picture(console, picture);
        for (const auto known :
             {flex::Deflections::automatic, flex::Deflections::small, flex::Deflections::large})
            if (deflections == flex::key(known)) flexing.deflections = known;
        if (flex_app->parsed()) code = run_flex(console, flexing);
        if (calibrate_app->parsed()) code = run_calibrate(console, calibrating);
        if (compare_app->parsed()) code = run_compare(console, comparing);
        if (verify_app->parsed()) code = run_verify(console, verifying);
        studying.surfaces = !no_surfaces;
        if (study_app->parsed()) code = run_study(console, studying);
        if (ask_app->parsed()) code = run_ask(console, asking);
        if (state_app->parsed()) code = run_state(console, state);
        if (landmark_app->parsed()) code = run_landmark(console, landmark);
        if (repair_app->parsed()) code = run_repair(console, repair);
        if (answer_app->parsed()) code = run_answer(console, answer);
        if (marks_app->parsed()) code = run_marks(console, marks);
        if (mark_app->parsed()) code = run_mark(console, mark);
        if (revise_app->parsed()) code = run_revise(console, revise);
        if (sign_app->parsed()) code = run_sign(console, sign);
        if (remake_app->parsed()) code = run_remake(console, remake);
        if (remakes_app->parsed()) code = run_remakes(console, remakes);
        if (approve_app->parsed()) code = run_approve(console, approving);
        if (changed_app->parsed()) code = run_changed(console, changed);
        if (set_app->parsed()) code = run_set(console, set);
        if (apply_app->parsed()) code = run_apply(console, apply);
        if (presets_app->parsed()) code = run_presets(console);
        if (schema_app->parsed()) code = run_schema(console);
        return static_cast<int>(code);
    } catch (const std::bad_alloc&) {
        return static_cast<int>(
            console.fail({FaultKind::input,
                          "memory",
                          "There is not enough memory for this. Nothing was left half-written.",
                          {}}));
    } catch (const std::exception& error) {
        return static_cast<int>(console.fail(
            {FaultKind::internal, "internal", std::string("An internal error: ") + error.what(), {}}));
    }
}
