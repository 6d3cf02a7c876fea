#include "engine/design/command_table.hpp"

#include "engine/design/words.hpp"

namespace archwright::design {

namespace {

using Kind = Argument::Kind;

/// An argument by its place.
Argument placed(std::string name, Kind kind, std::string help) {
    return {.name = std::move(name), .kind = kind, .help = std::move(help)};
}
/// An argument by its name.
Argument by_name(std::string name, Kind kind, std::string help, bool required = false) {
    return {
        .name = std::move(name), .kind = kind, .help = std::move(help), .named = true, .required = required};
}

template <class E>
Argument one_of(Argument argument) {
    argument.kind = Kind::choice;
    for (const Word<E>& word : words<E>) argument.words.emplace_back(word.key);
    return argument;
}

Argument person(const char* what) {
    return by_name("by", Kind::code, std::string("code of the person who ") + what, true);
}

Argument within(Argument argument, double low, double high, std::string unit = {}) {
    argument.low = low;
    argument.high = high;
    argument.unit = std::move(unit);
    return argument;
}

constexpr double most_places = 10'000;  // of any list; each has a bound of its own besides

Argument place_in_list(Argument argument) {
    argument.kind = Kind::whole;
    return within(std::move(argument), 0, most_places);
}

CommandTable job_table() {
    CommandTable all;
    const auto add = [&](std::string name, std::string help, std::string label,
                         std::vector<Argument> arguments, std::string key = {}, bool of_foot = true) {
        all.push_back({std::move(name), std::move(help), std::move(label), std::move(arguments), of_foot,
                       std::move(key)});
    };
    const Argument list = placed("list", Kind::text, "name of the list, for example wall.stations"),
                   which = placed("entry", Kind::text, "the entry: its name, or its place from 0"),
                   to = place_in_list(placed("to", Kind::whole, "place it goes to, from 0")),
                   at = place_in_list(
                       by_name("at", Kind::whole, "place in the list, from 0; without: the end"));

    add("set", "sets a parameter, a whole list (as JSON) or a value of an entry: features[fascia].depth_mm",
        "{name} {value}",
        {placed("name", Kind::text, "the parameter; docs/job-file.md lists the names"),
         placed("value", Kind::value, "with or without its unit; \"none\" clears what is optional")});
    add("reset", "brings a parameter back to its default; empties a list", "{name} to its default",
        {placed("name", Kind::text, "the parameter")});

    add("state", "a person states what the cast is; the evidence goes on record", "State {side} {unit}",
        {one_of<Side>(by_name("side", Kind::choice, "the side it is")),
         one_of<LengthUnit>(by_name("unit", Kind::choice, "unit of the cast file")),
         by_name("up", Kind::way, "the way to the back of the foot, in the cast file"),
         by_name("toes", Kind::way, "the way from heel to toes, in the cast file"),
         by_name("inside_out", Kind::flag, "whether the scan was taken from inside"), person("states it")});

    const Argument landmark = placed("name", Kind::text, "key of the landmark, for example heel_centre");
    add("landmark set", "puts a landmark where a person says it is", "{name} set",
        {landmark, placed("place", Kind::place, "in the cast file's coordinates"), person("sets it")});
    add("landmark confirm",
        "confirms a landmark as it was suggested (its doubt stays); \"all\" confirms every one",
        "{name} confirmed", {landmark, person("confirms it")});
    add("landmark remove", "takes a landmark out of the job: it is suggested anew", "{name} removed",
        {landmark});

    const Argument mark = placed("name", Kind::name, "name of the mark"),
                   points = placed("points", Kind::json, "[[x, y, z], ...] in the cast file's coordinates"),
                   meaning = one_of<Mark::Meaning>(by_name("meaning", Kind::choice, "what it means"));
    add("mark add", "draws a mark on the cast", "Mark {name}",
        {mark, one_of<Mark::Kind>(placed("kind", Kind::choice, "spot, line or area")), points, meaning,
         by_name("by", Kind::code, "code of the person who drew it"),
         by_name("note", Kind::words, "remark")});
    add("mark move", "moves a mark, or draws it anew", "Mark {name} moved",
        {mark, points, by_name("by", Kind::code, "code of the person who moved it")});
    add("mark accept", "a person confirms a mark that was found, and what it means", "Mark {name} accepted",
        {mark, meaning, person("accepts it")});
    add("mark rename", "renames a mark; what is anchored to it follows", "Mark {name} is {new}",
        {mark, placed("new", Kind::name, "its new name")});
    add("mark refuse",
        "a person says that what was found is no mark; it stays, so that it is not offered again",
        "Mark {name} refused", {mark, person("refuses it")});
    add("mark relieve", "lays the usual relief on a mark (docs/marks.md)", "Relief on {name}", {mark});
    add("mark remove", "removes a mark", "Mark {name} removed", {mark});

    // what the examination found (docs/examine.md): a person's answer, and a place made anew
    const Argument found = one_of<examine::Finding::Kind>(placed("what", Kind::choice, "what was found"));
    Argument mended = placed("what", Kind::choice, "the fault that is repaired");
    mended.kind = Kind::choice;
    mended.words = {"dent", "crease", "seam", "bump", "rough"};
    Argument is = placed("is", Kind::choice, "the foot's own shape, a fault left as it is, or open again");
    is.kind = Kind::choice;
    is.words = {"foot", "fault", "open"};
    add("answer", "a person says what a finding of the examination is", "Finding {what}: {is}",
        {found, placed("place", Kind::place, "where it was found, in the cast file's coordinates"), is,
         person("answers"),
         within(by_name("reach_mm", Kind::number, "older answers within this of the place give way"), 0, 300,
                "mm"),
         by_name("note", Kind::words, "remark")});
    const Argument repair = placed("name", Kind::name, "name of the repair, unique within the foot");
    add("repair add", "has a place of the cast, or a line, made anew from what lies round it",
        "Repair {name}",
        {repair, mended, placed("points", Kind::json, "[[x, y, z], ...] in the cast file's coordinates"),
         within(by_name("reach_mm", Kind::number, "all within this of them is made anew"), 2, 30, "mm"),
         person("asks for it"), by_name("reason", Kind::words, "why it is repaired")});
    add("repair remove", "takes a repair back: the cast is there as it came", "Repair {name} taken back",
        {repair});

    const Argument feature = placed("name", Kind::name, "name of the relief, pad or aperture");
    add("feature add", "adds a relief, pad or aperture with the defaults of its kind", "{kind} {name}",
        {placed("name", Kind::name, "its name, unique within the foot"),
         one_of<feature::Feature::Kind>(placed("kind", Kind::choice, "what it is")),
         by_name("anchor", Kind::name, "mark or landmark it lies on"),
         by_name("points", Kind::json, "[[x, y], ...] places of the plan, mm"), at},
        "A");
    add("feature remove", "removes it", "{name} removed", {feature}, "Del");
    add("feature move", "moves it within the list: the order matters where they meet", "{name} to place {to}",
        {feature, to}, "Alt+Up Alt+Down");
    add("feature duplicate", "adds a copy under another name, behind it", "{new}, a copy of {name}",
        {feature, placed("new", Kind::name, "name of the copy")}, "Ctrl+D");
    add("feature rename", "renames it", "{name} is {new}",
        {feature, placed("new", Kind::name, "its new name")});
    add("feature on", "makes it again", "{name} on", {feature});
    add("feature off", "leaves it in the list and does not make it", "{name} off", {feature}, "Space");

    const Argument wall = within(placed("wall_mm", Kind::number, "wall there"), 0.5, 20, "mm");
    add("region add", "gives a closed curve in plan a wall of its own", "Wall region {name} {wall_mm}",
        {placed("name", Kind::name, "its name, unique within the foot"),
         placed("outline", Kind::json, "[[x, y], ...] three points of the plan or more, mm"), wall,
         within(by_name("blend_mm", Kind::number, "breadth of the transition"), 0.5, 80, "mm"),
         within(by_name("priority", Kind::whole, "where regions overlap the higher one wins"), -100, 100)});
    add("region remove", "removes a wall region", "Wall region {name} removed",
        {placed("name", Kind::name, "its name")});
    add("station add", "gives the wall a station along the device; stations keep their order",
        "Wall {wall_mm} at {along}",
        {within(placed("along", Kind::number, "0 rear edge, 1 distal edge"), 0, 1), wall});
    add("station remove", "removes a station of the wall", "Wall station {number} removed",
        {place_in_list(placed("number", Kind::whole, "which, from 0"))});

    const auto band = [&](const char* where, const char* help) {
        return within(by_name(where, Kind::number, help), 0.05, 20);
    };
    add("wall bands",
        "makes the shell rigid or flexible band by band from heel to toes, as multiples of the base's "
        "bending "
        "rigidity (2 twice as rigid, 0.5 half); writes stations of wall, base times the cube root",
        "Rigidity by bands",
        {band("heel", "rear third; without: 1"), band("midfoot", "middle third; without: 1"),
         band("forefoot", "distal third; without: 1"),
         within(by_name("blend", Kind::number, "share of the length over which bands change; without: 0.16"),
                0.02, 0.3),
         by_name("stations", Kind::json,
                 "[[along, rigidity], ...] in place of the three bands: 0 rear edge, 1 distal edge")});

    add("entry add", "adds an entry to any list of the foot", "Entry of {list}",
        {list, placed("entry", Kind::json, "the entry as a job file has it, {\"name\": ...}"), at});
    add("entry remove", "removes an entry of any list", "{entry} of {list} removed", {list, which});
    add("entry move", "moves an entry within its list", "{entry} of {list} to place {to}", {list, which, to});
    add("entry duplicate", "adds a copy of an entry behind it", "{new}, a copy of {entry}",
        {list, which, placed("new", Kind::name, "name of the copy")});

    add("apply", "lays a preset over the foot's order; it goes on record", "Preset {preset}",
        {placed("preset", Kind::text,
                "code of a preset that comes with the program, or a file ending in .json"),
         person("applies it")});
    Argument from = placed("from", Kind::choice, "the foot whose order it is");
    from.words = {"left", "right"};
    Argument parts = by_name("parts", Kind::text,
                             "of balance, dress, trim, wall, features, posts, rim, "
                             "material, covers, lettering, with commas; without: all");
    add("carry", "carries one foot's order to the other, mirrored, in place of what that has",
        "Order as on the {from} foot {parts}", {from, parts}, "", false);
    add("sign", "a person takes responsibility for a check that stopped", "Sign {check}",
        {placed("check", Kind::name, "its key, as shown in round brackets"), person("signs"),
         by_name("reason", Kind::words, "why the device may be made all the same", true),
         by_name("second", Kind::code, "code of a second person")});
    add("unsign", "takes a sign-off back", "Sign-off of {check} taken back",
        {placed("check", Kind::name, "the check that was signed")});
    add("approve", "a person approves the newest revision as it stands", "Approved by {by}",
        {person("approves"), by_name("date", Kind::day, "day of the approval", true)});
    add("revise", "begins the next revision", "New revision",
        {by_name("note", Kind::words, "what changes, and why", true),
         by_name("date", Kind::day, "day of the revision")},
        "", false);
    return all;
}

}  // namespace

const CommandTable& job_commands() {
    static const CommandTable all = job_table();
    return all;
}

}  // namespace archwright::design
