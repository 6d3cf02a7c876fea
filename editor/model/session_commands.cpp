#include "editor/model/session_commands.hpp"

#include "editor/model/settings.hpp"
#include "engine/design/command_table.hpp"
#include "engine/flex/bench.hpp"

namespace archwright::editor::model {

using design::Argument;
using design::CommandTable;
using Kind = Argument::Kind;

namespace {

Argument placed(std::string name, Kind kind, std::string help, bool required = true) {
    return {.name = std::move(name), .kind = kind, .help = std::move(help), .required = required};
}
Argument by_name(std::string name, Kind kind, std::string help) {
    return {.name = std::move(name), .kind = kind, .help = std::move(help), .named = true, .required = false};
}
Argument choice(Argument argument, std::vector<std::string> words) {
    argument.kind = Kind::choice;
    argument.words = std::move(words);
    return argument;
}
Argument number(std::string name, std::string help, double low, double high, std::string unit) {
    Argument argument = by_name(std::move(name), Kind::number, std::move(help));
    argument.low = low;
    argument.high = high;
    argument.unit = std::move(unit);
    return argument;
}
Argument steps() {
    Argument count = placed("steps", Kind::whole, "how many; without: one", false);
    count.low = 1;
    count.high = 1'000'000;
    return count;
}

CommandTable table() {
    CommandTable all;
    const auto add = [&](std::string name, std::string help, std::vector<Argument> arguments,
                         std::string key = {}) {
        std::string label = name;
        all.push_back({std::move(name), std::move(help), std::move(label), std::move(arguments), false,
                       std::move(key)});
    };
    const Argument side = choice(by_name("side", Kind::choice, "the side it is, as a person's word"),
                                 {"left", "right"}),
                   unit = choice(by_name("unit", Kind::choice, "unit of the file, as a person's word"),
                                 {"mm", "cm", "in", "m"}),
                   by = by_name("by", Kind::code, "code of the person whose word they are"),
                   discard =
                       by_name("discard", Kind::flag, "yes: what was not saved of the job in hand is lost"),
                   replace = by_name("replace", Kind::flag, "yes: over a file that holds something else"),
                   cast = placed("cast", Kind::text, "STL, PLY, OBJ or 3MF");

    add("new",
        "begins a job from a cast: unit and side are proposed, landmarks suggested; nothing is written yet",
        {cast, by_name("job", Kind::text, "file it will be saved as; without: beside the cast"), side, unit,
         by_name("case", Kind::code, "case code; without: from the file's name"), by, discard});
    add("add", "adds the other foot from its cast",
        {cast, side, unit, by,
         by_name("same_order", Kind::flag, "yes: it starts from the first foot's order")});
    add("open", "opens a job",
        {placed("job", Kind::text, "job file"),
         by_name("sha256", Kind::text, "opens it only when the file has this SHA-256 (recordings write it)"),
         discard},
        "Ctrl+O");
    add("example", "opens the example case, made at first in the state folder",
        {placed("folder", Kind::text, "folder it is made in, or was", false), discard});
    add("recover", "opens unsaved work that an ended process left behind",
        {placed("file", Kind::text, "the file in the state folder"), discard});
    add("close", "lets the job go", {discard});
    add("save", "saves the job; refused when another program changed the file meanwhile", {replace},
        "Ctrl+S");
    add("save as", "saves it under another name; its files keep their places",
        {placed("job", Kind::text, "job file"), replace}, "Ctrl+Shift+S");
    add("export", "builds, proves and writes the devices, as archwright make does",
        {placed("folder", Kind::text, "folder for the files"),
         by_name("formats", Kind::text, "of stl, step, 3mf, with commas; without: all"),
         choice(by_name("foot", Kind::choice, "only this foot"), {"left", "right"}),
         by_name("flex", Kind::flag, "yes: the virtual bench stands in the report"),
         by_name("replace", Kind::flag, "yes: files of the same names may be of another design")},
        "Ctrl+E");
    add("marks find", "looks for ink on the cast: what is new there becomes suggested marks",
        {choice(by_name("foot", Kind::choice, "the foot, where the job has both"), {"left", "right"})});
    add("undo", "takes back the last step, or so many", {steps()}, "Ctrl+Z");
    add("redo", "does again what was taken back", {steps()}, "Ctrl+Shift+Z");
    add("step begin", "what follows is one step of undo, as while something is dragged",
        {placed("label", Kind::words, "its label", false)});
    add("step end", "ends it", {});
    add("step drop", "gives it up: the job is as before it, and no step of undo is left", {});
    add("wait", "in a script: until everything is built", {});
    add("cancel", "ends what is being built, read or written", {}, "Esc");
    add("rebuild", "builds again what was cancelled", {}, "F5");
    add("foot", "the foot that is shown, and meant where a command names none",
        {choice(placed("side", Kind::choice, "which"), {"left", "right"})});
    add("select", "selects one thing",
        {choice(placed("what", Kind::choice, "what it is"),
                {"none", "landmark", "mark", "feature", "region", "column", "smooth", "keep", "station",
                 "control", "cover", "post", "check", "finding"}),
         placed("name", Kind::name, "its name, key or place in its list", false)});
    add("stage", "shows a stage of the work", {choice(placed("name", Kind::choice, "which"), stages())});
    std::vector<std::string> views;
    for (const ViewSetting& view : view_settings()) views.push_back(view.name);
    add("view", "how something is shown",
        {choice(placed("name", Kind::choice, "what"), std::move(views)),
         placed("value", Kind::text, "one of its words")});
    add("compare",
        "shows how far the shell lies from another along its normals, and what differs: the job after a "
        "step, "
        "another job's foot of the same side, the cast, the other foot mirrored",
        {choice(placed("what", Kind::choice, "with what; off ends it"),
                {"step", "file", "cast", "other_foot", "off"}),
         placed("which", Kind::text, "of step its number, 0 before all; of file the job's path", false)});
    add("propose",
        "shows what a command would change of the shell and its figures; nothing is changed, and the next "
        "change lets it go",
        {placed("command", Kind::text, "the command, in quotes; off ends it")});
    std::vector<std::string> loads{"off"};
    for (const flex::LoadCase load : flex::all_load_cases) loads.emplace_back(flex::key(load));
    add("flex",
        "puts the shell on the virtual bench and shows how it gives, again after every change: initial "
        "stiffness, for comparison only",
        {choice(placed("load", Kind::choice, "which load; off ends it"), std::move(loads)),
         number("friction", "between shell and ground; without: 0.3", 0, 2, ""),
         number("distal_spring", "grip of a shoe on the distal edge in plane", 0, 10000, "N/mm"),
         number("bed", "foundation modulus of the ground; 0: rigid", 0, 1000, "N/mm3")});
    const Argument friction = number("friction", "between shell and ground; without: 0.3", 0, 2, ""),
                   grip = number("distal_spring", "grip of a shoe on the distal edge in plane", 0, 10000,
                                 "N/mm"),
                   bed = number("bed", "foundation modulus of the ground; 0: rigid", 0, 1000, "N/mm3");
    Argument walls = by_name("walls", Kind::text,
                             "that may change, with commas: base, stations, medial_column, lateral_column, "
                             "names of regions; limits of one: arch>=2.4<=5");
    walls.required = true;
    add("ask",
        "finds the walls that give the shell a stiffness on the virtual bench, for comparison only; nothing "
        "is changed until they are accepted",
        {placed("targets", Kind::text,
                "in quotes, with ; between them: \"arch-press: +20%\", \"arch-press@110: 12N/mm\", "
                "\"torsion: 4deg\", \"arch-press by 5,-3: +20%\" (moved 5 mm forward, 3 mm laterally)"),
         walls, number("least", "least wall; without: the material's", 0.5, 20, "mm"),
         number("most", "greatest wall; without: the material's", 0.5, 20, "mm"), friction, grip, bed,
         choice(by_name("against", Kind::choice,
                        "what a change in percent is against: itself as it is, or what it is compared with"),
                {"itself", "compared"})});
    add("ask accept",
        "makes the walls so that were found, as one step; what is recorded are the walls themselves", {});
    add("ask off", "lets them go", {});
    Argument tilt = number("tilt", "look for a better tilt in the block up to so many degrees", 0, 20, "deg"),
             cusp = number("cusp", "height of the cusps finishing leaves; without: 0.02", 0.001, 0.2, "mm");
    add("mill",
        "plans how a three-axis mill cuts the device from both sides and simulates the programs, to be "
        "looked "
        "at; archwright mill writes them",
        {by_name("machine", Kind::name, "by its file in assets/machines; without: the first"),
         by_name("block", Kind::name, "by its file in assets/blocks; without: the smallest of the material"),
         by_name("rough", Kind::name, "cutter for roughing, by its file in assets/cutters"),
         by_name("finish", Kind::name, "cutter for finishing: ball or bull nose"),
         choice(by_name("flip", Kind::choice, "axis the block is turned about"), {"x", "y"}),
         choice(by_name("datum", Kind::choice, "what finds the block again"), {"pins", "edges"}), tilt,
         cusp});
    add("mill off", "lets the milling go, or ends it", {});
    Argument printer = by_name("printer", Kind::name, "by its file in assets/printers");
    printer.required = true;
    add("print", "judges whether a printer makes the device, and proposes how it is laid on it",
        {printer, by_name("as_it_stands", Kind::flag, "yes: judged foot side up, not as proposed")});
    add("print off", "lets it go, or ends it", {});
    add("section", "shows a section: F and S across and along the foot, A to E along a line of the plan",
        {choice(placed("letter", Kind::choice, "which"), {"F", "S", "A", "B", "C", "D", "E"}),
         placed("line", Kind::json, "of A to E: [[x, y], [x, y]] from where to where, mm", false),
         number("at", "of F its x, of S its y", -1000, 1000, "mm")});
    add("section remove", "takes a drawn section away",
        {choice(placed("letter", Kind::choice, "which"), {"A", "B", "C", "D", "E"})});
    add("setting", "sets something of the editor itself, kept between sessions",
        {choice(placed("name", Kind::choice,
                       "theme (light, dark), scale (0.5 to 4; 0: as the screen says), person (a code), tool "
                       "(radius of the ball of the tool map, 0.5 to 20 mm), jobs (folder whose jobs the "
                       "first screen "
                       "lists, or none)"),
                {"theme", "scale", "person", "tool", "jobs"}),
         placed("value", Kind::value, "its value")});
    add("record", "writes what was done since the job was opened as a script",
        {placed("file", Kind::text, "file to write"), replace});
    return all;
}

}  // namespace

const std::vector<ViewSetting>& view_settings() {
    static const std::vector<ViewSetting> all{
        {"cast", {"on", "lifted", "glass", "off"}, "the cast in the model"},
        {"map",
         {"none", "wall", "rigidity", "bending", "mass", "height", "deviation", "slope", "tool", "ground",
          "shoe", "compare", "deflection", "stress", "utilisation"},
         "map on the shell"},
        {"from", {"free", "medial", "lateral", "behind", "above", "below"}, "where the model is seen from"},
        {"plan", {"above", "below"}, "where the plan is seen from"},
        {"deflected", {"off", "1", "5", "20"}, "the shell as it gives on the bench, so many times as far"},
        {"feet", {"one", "both"}, "plans side by side"},
        {"block", {"off", "1", "2"}, "the block in a set-up of the mill, in the plan's place"},
        {"cut",
         {"none", "stays", "left"},
         "on the block: what the finishing cutter cannot take off, or what the program leaves"},
        {"before", {"off", "on"}, "the device before the last step"},
    };
    return all;
}

const std::vector<std::string>& stages() {
    static const std::vector<std::string> all{"receive", "examine", "balance", "dress", "trim",
                                              "reliefs", "wall",    "post",    "prove", "make"};
    return all;
}

const CommandTable& own_commands() {
    static const CommandTable all = table();
    return all;
}

const CommandTable& session_commands() {
    static const CommandTable all = [] {
        CommandTable both = own_commands();
        const CommandTable& jobs = design::job_commands();
        both.insert(both.end(), jobs.begin(), jobs.end());
        return both;
    }();
    return all;
}

}  // namespace archwright::editor::model
