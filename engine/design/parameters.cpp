#include "engine/design/parameters.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/reader.hpp"
#include "engine/design/writer.hpp"

namespace archwright::design {

namespace {

/// The archive that lists every scalar with its dotted name.
class Collector {
  public:
    Collector(std::vector<Parameter>& all, std::string prefix, bool listed)
        : all_(all), prefix_(std::move(prefix)), listed_(listed) {}

    void number(std::string_view key, double& v, const Range& range, const About& about) {
        numeric(Parameter::Kind::number, key, exact(v), range, about);
    }
    void number(std::string_view key, std::optional<double>&, const Range& range, const About& about) {
        numeric(Parameter::Kind::number, key, "", range, about).optional = true;
    }
    void whole(std::string_view key, int& v, const Range& range, const About& about) {
        numeric(Parameter::Kind::whole, key, std::to_string(v), range, about);
    }
    void flag(std::string_view key, bool& v, const About& about) {
        add(Parameter::Kind::flag, key, v ? "true" : "false", about);
    }
    void flag(std::string_view key, std::optional<bool>&, const About& about) {
        add(Parameter::Kind::flag, key, "", about).optional = true;
    }
    template <class E>
    void choice(std::string_view key, E& v, const About& about) {
        Parameter& p = add(Parameter::Kind::choice, key, key_of(v), about);
        for (const Word<E>& word : words<E>) p.words.emplace_back(word.key);
    }
    void text(std::string_view key, std::string& v, TextKind kind, Presence presence, const About& about) {
        Parameter& p = add(Parameter::Kind::text, key, v, about);
        p.optional = presence == Presence::optional;
        p.form = text_word(kind);
    }
    void point(std::string_view key, Vec3&, double, const About& about) {
        add(Parameter::Kind::point, key, "", about).form = "[x, y, z]";
    }
    void point(std::string_view key, std::optional<Vec3>&, double, const About& about) {
        Parameter& p = add(Parameter::Kind::point, key, "", about);
        p.form = "[x, y, z]";
        p.optional = true;
    }
    template <int N>
    void points(std::string_view key, std::vector<Eigen::Matrix<double, N, 1>>&, const Count& count, double,
                const About& about) {
        Parameter& p = add(Parameter::Kind::point, key, "", about);
        p.form = N == 2 ? "[[x, y], ...]" : "[[x, y, z], ...]";
        p.optional = count.least == 0;
    }
    template <class S>
    void object(std::string_view key, S& v, const About&) {
        Collector inner(all_, prefix_ + std::string(key) + ".", listed_);
        describe(inner, v);
    }
    /// The feet: they have a table of their own.
    template <class S>
    void optional_object(std::string_view, std::optional<S>&, const About&) {}
    template <class S>
    void list(std::string_view key, std::vector<S>&, const Count&, const About&) {
        S standard{};
        Collector inner(all_, prefix_ + std::string(key) + "[].", true);
        describe(inner, standard);
    }
    void landmarks(std::string_view key, foot::Landmarks&, const About&) {
        foot::Landmark standard;
        Collector inner(all_, prefix_ + std::string(key) + ".*.", true);
        describe(inner, standard);
    }

  private:
    Parameter& add(Parameter::Kind kind, std::string_view key, std::string standard, const About& about) {
        Parameter p;
        p.name = prefix_ + std::string(key);
        p.kind = kind;
        p.standard = std::move(standard);
        p.listed = listed_;
        p.help = about.help;
        p.source = about.source;
        p.mark = about.mark;
        all_.push_back(std::move(p));
        return all_.back();
    }
    Parameter& numeric(Parameter::Kind kind, std::string_view key, std::string standard, const Range& range,
                       const About& about) {
        Parameter& p = add(kind, key, std::move(standard), about);
        p.unit = range.unit;
        p.low = range.low;
        p.high = range.high;
        p.step = range.step;
        return p;
    }

    std::vector<Parameter>& all_;
    std::string prefix_;
    bool listed_;
};

template <class S>
std::vector<Parameter> collect() {
    std::vector<Parameter> all;
    S standard{};
    Collector collector(all, "", false);
    describe(collector, standard);
    return all;
}

const std::vector<Parameter>& table(const FootDesign&) {
    return foot_parameters();
}
const std::vector<Parameter>& table(const Job&) {
    return case_parameters();
}

Fault wrong(std::string message) {
    return Fault{FaultKind::usage, "set", std::move(message), {}};
}

Outcome<const Parameter*> find(const std::vector<Parameter>& all, std::string_view name) {
    std::vector<std::string> names;
    for (const Parameter& p : all) {
        if (p.listed) continue;
        if (p.name == name) return &p;
        names.push_back(p.name);
    }
    for (const char* list : {"features", "marks", "covers", "presets", "sign_offs"})
        if (name.find(list) != std::string_view::npos)
            return wrong(in_quotes(name) +
                         " is part of a list: lists are written in the job file itself (docs/job-file.md)");
    const std::string near = nearest_word(name.substr(0, 2 * longest_name), names);
    return wrong(in_quotes(name) + " is no parameter" +
                 (near.empty() ? "" : ": did you mean \"" + near + "\"?"));
}

/// The typed text as the JSON value the reader expects. A unit after the number is taken when it is the right
/// one.
Outcome<Json> typed(const Parameter& p, std::string_view text) {
    if (p.optional && p.kind != Parameter::Kind::text && (text.empty() || text == "none")) return Json{};
    switch (p.kind) {
        case Parameter::Kind::number:
        case Parameter::Kind::whole: {
            std::string_view figure = text;
            if (!p.unit.empty() && figure.ends_with(p.unit)) figure.remove_suffix(p.unit.size());
            while (figure.ends_with(' ')) figure.remove_suffix(1);
            if (const auto value = parse_number(figure)) return Json::of(*value);
            return wrong(
                p.name + ": " + in_quotes(text) + " is no number" + (p.unit.empty() ? "" : " of " + p.unit) +
                "; write it with a decimal point, between " + exact(p.low) + " and " + exact(p.high));
        }
        case Parameter::Kind::flag:
            if (text == "yes" || text == "true") return Json::of(true);
            if (text == "no" || text == "false") return Json::of(false);
            return wrong(p.name + ": " + in_quotes(text) + " is neither yes nor no");
        case Parameter::Kind::choice:
        case Parameter::Kind::text:
            return Json::of(std::string(text));
        case Parameter::Kind::point:
            break;
    }
    return wrong(p.name + " holds coordinates: it is not set as text");
}

template <class S>
Outcome<std::string> get_from(const S& owner, std::string_view name) {
    const auto p = find(table(owner), name);
    if (!p) return p.fault();
    const Json whole = to_json(owner, Writing::complete);
    const Json* at = &whole;
    for (std::string_view rest = name; at && !rest.empty();) {
        const std::size_t dot = std::min(rest.find('.'), rest.size());
        at = at->find(rest.substr(0, dot));
        rest.remove_prefix(std::min(dot + 1, rest.size()));
    }
    if (!at) return std::string();
    return at->kind == Json::Kind::text ? at->text : print(*at, true);
}

template <class S>
Outcome<Done> set_in(S& owner, std::string_view name, std::string_view text) {
    const auto p = find(table(owner), name);
    if (!p) return p.fault();
    if (name.starts_with("side.") || name.starts_with("cast."))
        return wrong(std::string(name) +
                     " is what is known about the cast: it is stated (side, unit) or read, not set");
    auto value = typed(**p, text);
    if (!value) return value.fault();
    Json nested = std::move(value).value();
    for (std::string_view rest = name;
         !rest.empty();) {  // "a.b" becomes {"a": {"b": value}}, from the inside
        const std::size_t dot = rest.rfind('.');
        const std::size_t from = dot == std::string_view::npos ? 0 : dot + 1;
        Json outer = Json::object();
        outer.add(std::string(rest.substr(from)), std::move(nested));
        nested = std::move(outer);
        rest = rest.substr(0, from == 0 ? 0 : from - 1);
    }
    S changed = owner;
    Problems problems;
    read_json(nested, "", changed, Reader::Rules{true, false}, problems);
    if (!problems.empty()) return wrong(problems.text());
    owner = std::move(changed);
    return Done{};
}

}  // namespace

const std::vector<Parameter>& foot_parameters() {
    static const std::vector<Parameter> all = collect<FootDesign>();
    return all;
}
const std::vector<Parameter>& case_parameters() {
    static const std::vector<Parameter> all = collect<Job>();
    return all;
}

Outcome<std::string> get(const FootDesign& foot, std::string_view name) {
    return get_from(foot, name);
}
Outcome<std::string> get(const Job& job, std::string_view name) {
    return get_from(job, name);
}
Outcome<Done> set(FootDesign& foot, std::string_view name, std::string_view text) {
    return set_in(foot, name, text);
}
Outcome<Done> set(Job& job, std::string_view name, std::string_view text) {
    return set_in(job, name, text);
}

}  // namespace archwright::design
