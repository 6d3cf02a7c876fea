#include "tests/support/random_commands.hpp"

#include "engine/base/text.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/statement.hpp"
#include "tests/support/random_job.hpp"

namespace archwright::tests {

using namespace archwright::design;

namespace {

using Engine = std::mt19937_64;

std::size_t below(Engine& random, std::size_t n) {
    return static_cast<std::size_t>(random() % n);
}
bool coin(Engine& random) {
    return below(random, 2) == 0;
}
template <class T>
const T& one_of(Engine& random, const std::vector<T>& all) {
    return all[below(random, all.size())];
}

std::string code(Engine& random) {
    return "K" + std::to_string(below(random, 100));
}

std::string words(Engine& random) {
    static const std::vector<std::string> pieces{"a",
                                                 "B",
                                                 " ",
                                                 "\"",
                                                 "\\",
                                                 "\n",
                                                 "\t",
                                                 "é",
                                                 "°",
                                                 "漢",
                                                 "😀",
                                                 "/",
                                                 ",",
                                                 "#",
                                                 "=",
                                                 "[",
                                                 "{",
                                                 "]",
                                                 "}",
                                                 "|",
                                                 "'",
                                                 "\x7f"
                                                 "x",
                                                 "by=",
                                                 "--"};
    std::string out;
    for (std::size_t n = below(random, 12); n > 0; --n) {
        const std::string& piece = one_of(random, pieces);
        out += piece[0] == '\x7f' ? "x" : piece;
    }
    return out + "w";
}

std::string points(Engine& random, std::size_t count, int dimensions, double low, double high) {
    std::string all = "[";
    for (std::size_t i = 0; i < count; ++i) {
        all += i == 0 ? "[" : coin(random) ? ", [" : ",[";
        for (int k = 0; k < dimensions; ++k) all += (k == 0 ? "" : ",") + exact(uniform(random, low, high));
        all += "]";
    }
    return all + "]";
}

/// A value of one parameter; empty when it has none that text can say here.
std::string value_of(Engine& random, const Parameter& p) {
    if (p.optional && below(random, 6) == 0) return "none";
    switch (p.kind) {
        case Parameter::Kind::number:
            return exact(uniform(random, p.low, p.high)) + (coin(random) ? p.unit : "");
        case Parameter::Kind::whole:
            return exact(std::floor(uniform(random, p.low, p.high)));
        case Parameter::Kind::choice:
            return one_of(random, p.words);
        case Parameter::Kind::flag:
            return coin(random) ? "yes" : "no";
        case Parameter::Kind::text:
            return p.form == "words" ? words(random) : p.form == "day" ? "2027-03-14" : code(random);
        case Parameter::Kind::point:
            return p.form.starts_with("[[x, y]") ? points(random, 3 + below(random, 5), 2, -40, 90)
                                                 : points(random, 1 + below(random, 4), 3, -90, 90);
    }
    return {};
}

/// The parameter's name with an entry in place of each "[]"; empty when the job has none.
std::string reach(Engine& random, const FootDesign& foot, std::string name) {
    for (std::size_t at = name.find("[]"); at != std::string::npos; at = name.find("[]")) {
        const auto list = get(foot, name.substr(0, at));
        if (!list) return {};
        const auto json = parse_json(*list, "list");
        if (!json || json->items.empty()) return {};
        const std::size_t entry = below(random, json->items.size());
        const Json* own = json->items[entry].find("name");
        name.replace(at, 2, "[" + (own && coin(random) ? own->text : std::to_string(entry)) + "]");
    }
    return name;
}

Command random_set(Engine& random, const Job& job, Side side) {
    const bool case_one = below(random, 5) == 0;
    for (;;) {
        const Parameter& p = one_of(random, case_one ? case_parameters() : foot_parameters());
        const std::string name = case_one ? p.name : reach(random, *job.foot(side), p.name);
        if (name.empty() || name.find(".*") != std::string::npos || name == "case") continue;
        Command command{below(random, 8) == 0 ? "reset" : "set", {}};
        command.with("name", coin(random) || case_one ? name : std::string(word(side)) + "." + name);
        if (command.name == "set") command.with("value", value_of(random, p));
        return command;
    }
}

/// The name of an entry of a list, or one that is none.
std::string entry_name(Engine& random, const std::vector<std::string>& names) {
    return names.empty() || below(random, 10) == 0 ? "nobody" : one_of(random, names);
}

template <class T>
std::vector<std::string> names_of(const std::vector<T>& list) {
    std::vector<std::string> names;
    for (const T& each : list) names.push_back(each.name);
    return names;
}

}  // namespace

Command random_command(Engine& random, const Job& job) {
    const Side side = !job.left ? Side::right : !job.right || coin(random) ? Side::left : Side::right;
    const FootDesign& foot = *job.foot(side);
    if (coin(random)) {
        Command command = random_set(random, job, side);
        if (job.left && job.right && !of_case(command.value("name"))) command.with("foot", word(side));
        return command;
    }
    const CommandKind& kind = one_of(random, job_commands());
    if (kind.name == "set" || kind.name == "reset") return random_set(random, job, side);
    Command command = random_words(random, kind);
    const auto put = [&](const std::string& argument, const std::string& text) {
        for (auto& [name, value] : command.arguments)
            if (name == argument) value = text;
    };
    const std::string fresh = "n" + std::to_string(below(random, 40));
    std::vector<std::string> names;
    if (kind.name.starts_with("mark ")) names = names_of(foot.marks);
    if (kind.name.starts_with("feature ")) names = names_of(foot.features);
    if (kind.name.starts_with("repair ")) names = names_of(foot.repairs);
    if (kind.name.starts_with("region ")) names = names_of(foot.wall.regions);
    if (kind.find("name")) put("name", kind.name.ends_with(" add") ? fresh : entry_name(random, names));
    if (kind.name.starts_with("landmark ")) {
        std::vector<std::string> keys;
        for (const auto& [id, landmark] : foot.landmarks) keys.emplace_back(foot::key(id));
        put("name", kind.name == "landmark confirm" && coin(random) ? "all" : entry_name(random, keys));
    }
    put("new", fresh);
    put("number", std::to_string(below(random, 1 + foot.wall.stations.size())));
    put("to", std::to_string(below(random, 4)));
    put("at", std::to_string(below(random, 3)));
    if (kind.name == "mark add") {
        put("kind", "line");
        put("points", points(random, 2 + below(random, 5), 3, -100, 100));
    }
    if (kind.name == "repair add") put("points", points(random, 1 + below(random, 3), 3, -100, 100));
    if (kind.name == "mark move") put("points", points(random, 3, 3, -100, 100));
    if (kind.name == "feature add") put("points", points(random, below(random, 4), 2, 0, 90));
    if (kind.name == "region add") put("outline", points(random, 3 + below(random, 4), 2, 0, 90));
    if (kind.name.starts_with("entry ")) {
        const bool controls = coin(random);
        put("list", controls ? "trim.controls" : "features");
        put("entry",
            kind.name != "entry add"
                ? entry_name(random, controls ? std::vector<std::string>{"0", "1"} : names_of(foot.features))
            : controls ? R"({"station": 0.5, "medial": true, "offset_mm": 1.5})"
                       : R"({"name": ")" + fresh + R"(", "kind": "pad"})");
    }
    if (kind.name == "sign" || kind.name == "unsign")
        put("check", foot.sign_offs.empty() || coin(random) ? "wall.check" : foot.sign_offs[0].check);
    if (kind.name == "apply") put("preset", coin(random) ? "width-wide" : "length-short");
    if (kind.of_foot) {
        std::erase_if(command.arguments, [](const auto& a) { return a.first == "foot"; });
        command.with("foot", word(side));
    }
    return command;
}

Command random_words(Engine& random, const CommandKind& kind) {
    using Kind = Argument::Kind;
    Command command{kind.name, {}};
    const auto give = [&](const Argument& argument) {
        if (!argument.required && coin(random)) return;
        std::string text;
        switch (argument.kind) {
            case Kind::text:
            case Kind::value:
            case Kind::words:
                text = words(random);
                break;
            case Kind::code:
            case Kind::name:
                text = code(random);
                break;
            case Kind::day:
                text = "2026-12-0" + std::to_string(1 + below(random, 9));
                break;
            case Kind::choice:
                text = one_of(random, argument.words);
                break;
            case Kind::flag:
                text = coin(random) ? "yes" : "no";
                break;
            case Kind::number:
                text = exact(uniform(random, argument.low, argument.high)) + (argument.unit.empty() ? ""
                                                                              : coin(random)
                                                                                  ? argument.unit
                                                                                  : " " + argument.unit);
                break;
            case Kind::whole:
                text = exact(std::floor(uniform(random, argument.low, argument.high)));
                break;
            case Kind::way:
            case Kind::place:
                text = coin(random) ? "-y" : "1.5,-2,3e1";
                break;
            case Kind::json:
                text = coin(random) ? points(random, below(random, 4), 3, -9, 9)
                                    : R"({"name": "a b]\"}", "n": [1, {"x": "é="}]})";
                break;
        }
        command.with(argument.name, text);
    };
    for (const Argument& argument : kind.arguments) give(argument);
    if (kind.of_foot) give(*kind.find("foot"));
    return command;
}

Surroundings without_cast() {
    Surroundings around;
    around.cast = [](Job& job, Side side, const CastWords& said) -> Outcome<CastAnswer> {
        CastAnswer answer;
        answer.foot = said.side.value_or(side);
        if (said.side)
            if (const auto done = state_side(job, side, *said.side, said.by); !done) return done.fault();
        if (said.unit)
            if (const auto done = state_unit(job, answer.foot, *said.unit, said.by); !done)
                return done.fault();
        CastRef& cast = job.foot(answer.foot)->cast;
        if (said.up) cast.up = said.up;
        if (said.toes) cast.toes = said.toes;
        if (said.inside_out) cast.inside_out = said.inside_out;
        return answer;
    };
    around.open_stops = [](const Job&, Side) -> Outcome<std::vector<Check>> {
        Check check = named_check("wall.check", "A check");
        check.verdict = Verdict::stop;
        return std::vector{check};
    };
    return around;
}

}  // namespace archwright::tests
