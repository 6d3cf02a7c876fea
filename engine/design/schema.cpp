#include "engine/design/schema.hpp"

#include "engine/base/text.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/json.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::design {

namespace {

template <class S>
Json schema_of(S standard, const About& about);

Json typed(const char* type, const About& about) {
    Json json = Json::object();
    json.add("type", Json::of(type));
    if (!about.help.empty()) json.add("description", Json::of(std::string(about.help)));
    if (!about.source.empty())
        json.add("$comment",
                 Json::of("[" + std::string(1, letter(about.mark)) + "] " + std::string(about.source)));
    return json;
}

/// A value that may also be null.
Json or_null(Json json) {
    Json both = Json::list();
    both.items.push_back(*json.find("type"));
    both.items.push_back(Json::of("null"));
    *json.find("type") = std::move(both);
    return json;
}

Json reference(const char* name, const About& about) {
    Json json = Json::object();
    json.add("$ref", Json::of(std::string("#/$defs/") + name));
    json.add("description", Json::of(std::string(about.help)));
    return json;
}

/// The archive that writes down what each member may hold (JSON Schema, draft 2020-12).
class SchemaMaker {
  public:
    void number(std::string_view key, double& v, const Range& range, const About& about) {
        put(key, numeric("number", range, about)).add("default", Json::of(v));
    }
    void number(std::string_view key, std::optional<double>&, const Range& range, const About& about) {
        put(key, or_null(numeric("number", range, about)));
    }
    void whole(std::string_view key, int& v, const Range& range, const About& about) {
        put(key, numeric("integer", range, about)).add("default", Json::of(static_cast<double>(v)));
    }
    void flag(std::string_view key, bool& v, const About& about) {
        put(key, typed("boolean", about)).add("default", Json::of(v));
    }
    void flag(std::string_view key, std::optional<bool>&, const About& about) {
        put(key, typed("boolean", about));
    }
    template <class E>
    void choice(std::string_view key, E& v, const About& about) {
        Json& json = put(key, typed("string", about));
        Json allowed = Json::list();
        for (const Word<E>& word : words<E>) allowed.items.push_back(Json::of(word.key));
        json.add("enum", std::move(allowed));
        json.add("default", Json::of(key_of(v)));
    }
    void text(std::string_view key, std::string& v, TextKind kind, Presence presence, const About& about) {
        Json& json = put(key, typed("string", about));
        std::string pattern = text_pattern(kind);
        if (presence == Presence::optional && !pattern.empty()) pattern = "^$|" + pattern;
        if (!pattern.empty()) json.add("pattern", Json::of(pattern));
        if (presence == Presence::required) json.add("minLength", Json::of(1.0));
        json.add("maxLength", Json::of(static_cast<double>(text_length(kind))));
        if (!v.empty())
            json.add("default", Json::of(v));
        else if (presence == Presence::required)
            require(key);
    }
    void point(std::string_view key, Vec3&, double bound, const About& about) {
        put(key, coordinates(3, bound, about));
        require(key);
    }
    void point(std::string_view key, std::optional<Vec3>&, double bound, const About& about) {
        put(key, or_null(coordinates(3, bound, about)));
    }
    template <int N>
    void points(std::string_view key, std::vector<Eigen::Matrix<double, N, 1>>&, const Count& count,
                double bound, const About& about) {
        put(key, array(coordinates(N, bound, {}), count, about));
        if (count.least > 0) require(key);
    }
    template <class S>
    void object(std::string_view key, S& v, const About& about) {
        if (put(key, schema_of(v, about)).find("required")) require(key);
    }
    /// The feet.
    template <class S>
    void optional_object(std::string_view key, std::optional<S>&, const About& about) {
        put(key, reference("foot", about));
    }
    template <class S>
    void list(std::string_view key, std::vector<S>&, const Count& count, const About& about) {
        put(key, array(schema_of(S{}, {}), count, about));
        if (count.least > 0) require(key);
    }
    void landmarks(std::string_view key, foot::Landmarks&, const About& about) {
        Json json = typed("object", about);
        Json properties = Json::object();
        for (const foot::LandmarkId id : every_landmark())
            properties.add(foot::key(id), reference("landmark", {foot::title(id)}));
        json.add("properties", std::move(properties));
        json.add("additionalProperties", Json::of(false));
        put(key, std::move(json));
    }

    /// Moves what was gathered into `json`.
    void finish(Json& json) {
        json.add("properties", std::move(properties_));
        if (!required_.items.empty()) json.add("required", std::move(required_));
        json.add("additionalProperties", Json::of(false));
    }
    Json& put(std::string_view key, Json json) { return properties_.add(std::string(key), std::move(json)); }
    void require(std::string_view key) { required_.items.push_back(Json::of(std::string(key))); }

  private:
    static Json numeric(const char* type, const Range& range, const About& about) {
        Json json = typed(type, about);
        json.add("minimum", Json::of(range.low));
        json.add("maximum", Json::of(range.high));
        return json;
    }
    static Json array(Json items, const Count& count, const About& about) {
        Json json = typed("array", about);
        json.add("items", std::move(items));
        json.add("minItems", Json::of(static_cast<double>(count.least)));
        json.add("maxItems", Json::of(static_cast<double>(count.most)));
        return json;
    }
    static Json coordinates(int n, double bound, const About& about) {
        const auto size = static_cast<std::size_t>(n);
        return array(numeric("number", Range{"", -bound, bound, 0}, {}), Count{size, size}, about);
    }

    Json properties_ = Json::object();
    Json required_ = Json::list();
};

template <class S>
Json schema_of(S standard, const About& about) {
    Json json = typed("object", about);
    SchemaMaker maker;
    describe(maker, standard);
    maker.finish(json);
    return json;
}

Json constant(Json value) {
    Json json = Json::object();
    json.add("const", std::move(value));
    return json;
}

}  // namespace

std::string json_schema() {
    Json json = Json::object();
    json.add("$schema", Json::of("https://json-schema.org/draft/2020-12/schema"));
    json.add("title", Json::of("Archwright job"));
    json.add(
        "description",
        Json::of(
            "Everything a person decided about one case. Lengths in mm and angles in degrees unless the key "
            "says otherwise; docs/job-file.md explains it."));
    json.add("type", Json::of("object"));

    SchemaMaker maker;
    Job standard;
    maker.put("format", constant(Json::of("archwright job")));
    maker.put("version", constant(Json::of(static_cast<double>(job_version))));
    maker.require("format");
    maker.require("version");
    describe(maker, standard);
    maker.finish(json);

    Json either = Json::list();
    for (const char* foot : {"left", "right"}) {
        Json names = Json::list();
        names.items.push_back(Json::of(foot));
        Json one = Json::object();
        one.add("required", std::move(names));
        either.items.push_back(std::move(one));
    }
    json.add("anyOf", std::move(either));

    Json& definitions = json.add("$defs", Json::object());
    definitions.add("foot", schema_of(FootDesign{}, {"one foot; the key it stands under is its side"}));
    definitions.add("landmark", schema_of(foot::Landmark{}, {"a named place on the cast"}));
    return print(json);
}

namespace {

/// The values a parameter may take, for a table.
std::string values(const Parameter& p) {
    std::string all;
    switch (p.kind) {
        case Parameter::Kind::number:
        case Parameter::Kind::whole:
            return exact(p.low) + " to " + exact(p.high) + (p.unit.empty() ? "" : " " + p.unit);
        case Parameter::Kind::flag:
            return "true, false";
        case Parameter::Kind::choice:
            for (const std::string& word : p.words) all += (all.empty() ? "`" : ", `") + word + "`";
            return all;
        case Parameter::Kind::text:
            return p.form;
        case Parameter::Kind::point:
            return "`" + p.form + "`";
    }
    return all;
}

std::string origin(const Parameter& p) {
    return p.source.empty() ? "" : "[" + std::string(1, letter(p.mark)) + "] " + p.source;
}

/// One table for each group of keys.
std::string tables(const std::vector<Parameter>& all, const std::string& root) {
    std::string out, group = "\n";
    for (const Parameter& p : all) {
        const std::size_t dot = p.name.rfind('.');
        const std::string here = dot == std::string::npos ? "" : p.name.substr(0, dot);
        if (here != group) {
            group = here;
            const std::string title = here.empty() ? root : root.empty() ? here : root + "." + here;
            out += "\n### " + (title.empty() ? std::string("The case") : "`" + title + "`") + "\n\n";
            out += "| key | values | default | meaning | source |\n|---|---|---|---|---|\n";
        }
        out += "| `" + p.name.substr(dot == std::string::npos ? 0 : dot + 1) + "` | " + values(p) + " | " +
               (p.standard.empty() ? (p.optional ? "none" : "required") : "`" + p.standard + "`") + " | " +
               p.help + " | " + origin(p) + " |\n";
    }
    return out;
}

}  // namespace

std::string parameter_reference() {
    std::string out = tables(case_parameters(), "") + tables(foot_parameters(), "left");
    out += "\n### Words for texts\n\n| word | may hold |\n|---|---|\n";
    for (const TextKind kind : {TextKind::code, TextKind::name, TextKind::words, TextKind::date,
                                TextKind::letter, TextKind::fingerprint, TextKind::path, TextKind::job})
        out += std::string("| ") + text_word(kind) + " | " + text_rule(kind) + " |\n";
    out += "\n### Landmarks\n\n| key | place |\n|---|---|\n";
    for (const foot::LandmarkId id : every_landmark())
        out += std::string("| `") + foot::key(id) + "` | " + foot::title(id) + " |\n";
    return out;
}

}  // namespace archwright::design
