#include "engine/design/parameters.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/parameter_path.hpp"
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

Fault wrong_value(std::string message) {
    return Fault{FaultKind::usage, "set", std::move(message), {}};
}

/// What is on record of the cast or of what persons said: no value to be typed.
Outcome<Done> settable(std::string_view name) {
    if (name.starts_with("side.") || name.starts_with("cast."))
        return wrong_value(in_quotes(name) +
                           " is what is known about the cast: it is stated (side, unit) or read, not set");
    if (name.starts_with("landmarks"))
        return wrong_value(in_quotes(name) + " is a landmark: it is confirmed or placed (landmark), not set");
    for (const std::string_view record : {"presets", "sign_offs", "approvals", "revisions", "past"})
        if (name.starts_with(record))
            return wrong_value(in_quotes(name) +
                               " is a record: apply, sign, approve and revise write it, it is not set");
    return Done{};
}

/// Names of the lists of entries with keys of their own: what stands before each "[]" of the table.
std::vector<std::string> lists_of(const std::vector<Parameter>& all) {
    std::vector<std::string> lists;
    for (const Parameter& p : all)
        for (std::size_t at = p.name.find("[]"); at != std::string::npos; at = p.name.find("[]", at + 1))
            if (std::string list = p.name.substr(0, at);
                std::find(lists.begin(), lists.end(), list) == lists.end())
                lists.push_back(std::move(list));
    return lists;
}

std::string settable_names(const std::vector<std::string>& names) {
    std::string all;
    for (const std::string& name : names)
        if (settable(name)) all += (all.empty() ? "" : ", ") + name;
    return all;
}

/// A parameter, or a list as a whole.
struct Named {
    const Parameter* parameter = nullptr;  ///< null: a list
};

Outcome<Named> find(const std::vector<Parameter>& all, const std::vector<PathStep>& path,
                    std::string_view typed_name) {
    for (const PathStep& step : path)
        if (step.entry && step.entry->empty())
            return wrong_value(in_quotes(typed_name) + " names no entry of " + step.key +
                               ": write its name, or its place from 0, in the brackets");
    const std::string name = table_name(path);
    const std::vector<std::string> lists = lists_of(all);
    std::vector<std::string> names = lists;
    for (const Parameter& p : all) {
        if (p.name == name) return Named{&p};
        names.push_back(p.name);
    }
    if (std::find(lists.begin(), lists.end(), name) != lists.end()) return Named{};
    const std::string near = nearest_word(std::string_view(name).substr(0, 2 * longest_name), names);
    return wrong_value(in_quotes(typed_name) + " is no parameter" +
                       (near.empty() ? "" : ": did you mean \"" + near + "\"?"));
}

/// A list, or coordinates, typed as JSON.
Outcome<Json> typed_json(std::string_view name, std::string_view text) {
    auto json = parse_json(text, std::string(name));
    if (json) return json;
    return wrong_value(json.fault().message + "; write a list in [ ] as a job file has it");
}

/// The typed text as the JSON value the reader expects. A unit after the number is taken when it is the right
/// one.
Outcome<Json> typed_value(const Parameter& p, std::string_view text) {
    if (p.optional && p.kind != Parameter::Kind::text && (text.empty() || text == "none")) return Json{};
    switch (p.kind) {
        case Parameter::Kind::number:
        case Parameter::Kind::whole: {
            std::string_view figure = text;
            if (!p.unit.empty() && figure.ends_with(p.unit)) figure.remove_suffix(p.unit.size());
            while (figure.ends_with(' ')) figure.remove_suffix(1);
            if (const auto value = parse_number(figure)) return Json::of(*value);
            return wrong_value(
                p.name + ": " + in_quotes(text) + " is no number" + (p.unit.empty() ? "" : " of " + p.unit) +
                "; write it with a decimal point, between " + exact(p.low) + " and " + exact(p.high));
        }
        case Parameter::Kind::flag:
            if (text == "yes" || text == "true") return Json::of(true);
            if (text == "no" || text == "false") return Json::of(false);
            return wrong_value(p.name + ": " + in_quotes(text) + " is neither yes nor no");
        case Parameter::Kind::choice:
        case Parameter::Kind::text:
            return Json::of(std::string(text));
        case Parameter::Kind::point:
            break;
    }
    return typed_json(p.name, text);
}

/// `json` wrapped in the keys before the last: {"a": {"b": json}}.
Json nested_in(const std::vector<PathStep>& path, std::size_t count, Json json) {
    for (std::size_t i = count; i-- > 0;) {
        Json outer = Json::object();
        outer.add(path[i].key, std::move(json));
        json = std::move(outer);
    }
    return json;
}

/// Puts a value at the end of a path within `json`; entries of lists must be there.
Outcome<Done> put_at(Json& json, const std::vector<PathStep>& path, std::size_t from, Json value) {
    Json* at = &json;
    for (std::size_t i = from; i < path.size(); ++i) {
        Json* inner = at->find(path[i].key);
        if (i + 1 == path.size() && !path[i].entry) {
            if (inner)
                *inner = std::move(value);
            else
                at->add(path[i].key, std::move(value));
            return Done{};
        }
        if (!inner) inner = &at->add(path[i].key, path[i].entry ? Json::list() : Json::object());
        at = inner;
        if (!path[i].entry) continue;
        const auto place = entry_of(*at, *path[i].entry, path[i].key);
        if (!place) return place.fault();
        at = &at->items[*place];
    }
    *at = std::move(value);
    return Done{};
}

template <class S>
Outcome<std::string> get_from(const S& owner, std::string_view name) {
    const auto path = parameter_path(name);
    if (!path) return path.fault();
    if (const auto known = find(table(owner), *path, name); !known) return known.fault();
    const Json whole = to_json(owner, Writing::complete);
    const Json* at = &whole;
    for (const PathStep& step : *path) {
        at = at->find(step.key);
        if (!at) return std::string();
        if (!step.entry) continue;
        const auto place = entry_of(*at, *step.entry, step.key);
        if (!place) return place.fault();
        at = &at->items[*place];
    }
    return at->kind == Json::Kind::text ? at->text : print(*at, true);
}

template <class S>
Outcome<Done> read_over(S& owner, const Json& partial) {
    S changed = owner;
    Problems problems;
    read_json(partial, "", changed, Reader::Rules{true, false}, problems);
    if (!problems.empty()) return wrong_value(problems.text());
    owner = std::move(changed);
    return Done{};
}

/// Lays one value over `owner`: through the whole list where the path leads into one, since entries of lists
/// are always whole.
template <class S>
Outcome<Done> lay(S& owner, const std::vector<PathStep>& path, Json value) {
    std::size_t list = 0;
    while (list < path.size() && !path[list].entry) ++list;
    if (list == path.size()) return read_over(owner, nested_in(path, path.size(), std::move(value)));
    Json whole = to_json(owner, Writing::complete);
    Json* at = &whole;
    for (std::size_t i = 0; i <= list; ++i) {
        at = at->find(path[i].key);
        if (!at) return wrong_value(path[i].key + " is empty: it has no entry to set");
    }
    Json outer = Json::object();
    outer.add(path[list].key, std::move(*at));
    if (const auto done = put_at(outer, path, list, std::move(value)); !done) return done.fault();
    return read_over(owner, nested_in(path, list, std::move(outer)));
}

template <class S>
Outcome<Done> set_in(S& owner, std::string_view name, std::string_view text) {
    const auto path = parameter_path(name);
    if (!path) return path.fault();
    const auto known = find(table(owner), *path, name);
    if (!known) return known.fault();
    if (const auto open = settable(name); !open) return open.fault();
    auto value = known->parameter ? typed_value(*known->parameter, text) : typed_json(name, text);
    if (!value) return value.fault();
    return lay(owner, *path, std::move(value).value());
}

template <class S>
Outcome<Done> reset_in(S& owner, std::string_view name) {
    const auto path = parameter_path(name);
    if (!path) return path.fault();
    const auto known = find(table(owner), *path, name);
    if (!known) return known.fault();
    const Parameter* p = known->parameter;
    if (!p || (p->kind == Parameter::Kind::point && p->form.starts_with("[[")))
        return set_in(owner, name, "[]");
    if (p->standard.empty() && !p->optional)
        return wrong_value(std::string(name) + " has no default: set it instead");
    return set_in(owner, name, p->standard);
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
Outcome<Done> reset(FootDesign& foot, std::string_view name) {
    return reset_in(foot, name);
}
Outcome<Done> reset(Job& job, std::string_view name) {
    return reset_in(job, name);
}
bool of_case(std::string_view name) {
    const auto path = parameter_path(name);
    return path && find(case_parameters(), *path, name);
}

Outcome<Done> edit_list(FootDesign& foot, std::string_view name,
                        const std::function<Outcome<Done>(Json& list)>& edit) {
    const auto path = parameter_path(name);
    if (!path) return path.fault();
    const auto known = find(foot_parameters(), *path, name);
    if (!known) return known.fault();
    if (known->parameter || path->back().entry)
        return wrong_value(in_quotes(name) + " is no list: the lists are " +
                           settable_names(lists_of(foot_parameters())));
    if (const auto open = settable(name); !open) return open.fault();
    Json list = Json::list();
    const Json whole = to_json(foot, Writing::complete);
    const Json* at = &whole;
    for (const PathStep& step : *path) {
        at = at->find(step.key);
        if (!at) break;
        if (!step.entry) continue;
        const auto place = entry_of(*at, *step.entry, step.key);
        if (!place) return place.fault();
        at = &at->items[*place];
    }
    if (at) list = *at;
    if (const auto done = edit(list); !done) return done.fault();
    return lay(foot, *path, std::move(list));
}

}  // namespace archwright::design
