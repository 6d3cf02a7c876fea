// The schema says what the reader does, and the page in docs is current.
#include "engine/design/schema.hpp"

#include <regex.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <random>
#include <set>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/json.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;

namespace {

/// By POSIX extended expressions, which mean the same for the patterns we write (std::regex of GCC 12 does
/// not compile without warnings under the sanitizers).
bool matches(const std::string& text, const std::string& pattern) {
    regex_t expression;
    REQUIRE(::regcomp(&expression, pattern.c_str(), REG_EXTENDED | REG_NOSUB) == 0);
    const bool found = ::regexec(&expression, text.c_str(), 0, nullptr, 0) == 0;
    ::regfree(&expression);
    return found;
}

/// The keywords of draft 2020-12 that our schema uses; any other is a fault of the schema.
class Validator {
  public:
    explicit Validator(const Json& schema) : root_(schema) {}

    bool valid(const Json& value) { return valid(root_, value, "$"); }
    const std::string& trouble() const { return trouble_; }

  private:
    bool fail(const std::string& path, const std::string& why) {
        trouble_ = path + ": " + why;
        return false;
    }
    static bool of_type(const Json& value, const std::string& type) {
        using Kind = Json::Kind;
        if (type == "object") return value.kind == Kind::object;
        if (type == "array") return value.kind == Kind::list;
        if (type == "string") return value.kind == Kind::text;
        if (type == "number") return value.kind == Kind::number;
        if (type == "integer") return value.kind == Kind::number && value.number == std::floor(value.number);
        if (type == "boolean") return value.kind == Kind::boolean;
        return type == "null" && value.kind == Kind::null;
    }
    bool valid(const Json& schema, const Json& value, const std::string& path) {
        static const std::set<std::string> known{
            "$schema", "$ref",  "$defs",    "$comment", "title",      "description", "type",
            "default", "const", "enum",     "minimum",  "maximum",    "minLength",   "maxLength",
            "pattern", "items", "minItems", "maxItems", "properties", "required",    "additionalProperties",
            "anyOf"};
        for (const auto& member : schema.members)
            if (!known.count(member.first)) return fail(path, "keyword " + member.first);
        if (const Json* ref = schema.find("$ref")) {
            const std::string name = ref->text.substr(std::string("#/$defs/").size());
            const Json* target = root_.find("$defs")->find(name);
            if (!target) return fail(path, "no definition " + name);
            if (!valid(*target, value, path)) return false;
        }
        if (const Json* type = schema.find("type")) {
            bool fits = type->kind == Json::Kind::text && of_type(value, type->text);
            for (const Json& one : type->items) fits = fits || of_type(value, one.text);
            if (!fits) return fail(path, "type");
        }
        if (const Json* wanted = schema.find("const"); wanted && !(*wanted == value))
            return fail(path, "const");
        if (const Json* words = schema.find("enum")) {
            bool found = false;
            for (const Json& one : words->items) found = found || one == value;
            if (!found) return fail(path, "enum");
        }
        if (const Json* some = schema.find("anyOf")) {
            bool found = false;
            for (const Json& one : some->items) found = found || valid(one, value, path);
            if (!found) return fail(path, "anyOf");
        }
        const auto bound = [&](const char* key, double fallback) {
            const Json* j = schema.find(key);
            return j ? j->number : fallback;
        };
        if (value.kind == Json::Kind::number &&
            (value.number < bound("minimum", -1e308) || value.number > bound("maximum", 1e308)))
            return fail(path, "range");
        if (value.kind == Json::Kind::text) {
            const auto size = static_cast<double>(value.text.size());
            if (size < bound("minLength", 0) || size > bound("maxLength", 1e9)) return fail(path, "length");
            if (const Json* pattern = schema.find("pattern"); pattern && !matches(value.text, pattern->text))
                return fail(path, "pattern");
        }
        if (value.kind == Json::Kind::list) {
            const auto size = static_cast<double>(value.items.size());
            if (size < bound("minItems", 0) || size > bound("maxItems", 1e9)) return fail(path, "items");
            if (const Json* items = schema.find("items"))
                for (const Json& item : value.items)
                    if (!valid(*items, item, path + "[]")) return false;
        }
        if (value.kind == Json::Kind::object) {
            if (const Json* required = schema.find("required"))
                for (const Json& name : required->items)
                    if (!value.find(name.text)) return fail(path, "required " + name.text);
            const Json* properties = schema.find("properties");
            for (const auto& [key, member] : value.members) {
                const Json* inner = properties ? properties->find(key) : nullptr;
                if (!inner && schema.find("additionalProperties")) return fail(path, "additional " + key);
                if (inner && !valid(*inner, member, path + "." + key)) return false;
            }
        }
        return true;
    }

    const Json& root_;
    std::string trouble_;
};

Json schema() {
    auto parsed = parse_json(json_schema(), "schema");
    REQUIRE(parsed.ok());
    return *parsed;
}

std::string file(const std::string& name) {
    const auto mapped = FileBytes::read(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / name);
    REQUIRE(mapped.ok());
    return std::string(mapped->text());
}

/// Every scalar of a tree, to be spoilt one at a time.
void scalars(Json& json, std::vector<Json*>& all) {
    for (auto& member : json.members) scalars(member.second, all);
    for (Json& item : json.items) scalars(item, all);
    if (json.kind != Json::Kind::object && json.kind != Json::Kind::list) all.push_back(&json);
}

}  // namespace

TEST_CASE("schema: every job we write is valid", "[schema]") {
    const Json rules = schema();
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(300, 20, "jobs against the schema"); i > 0; --i) {
        Validator validator(rules);
        const bool good = validator.valid(*parse_json(write_job(tests::random_job(random)), "job"));
        INFO(validator.trouble());
        REQUIRE(good);
    }
}

TEST_CASE("schema: a job with one value spoilt is refused by schema and reader alike", "[schema]") {
    const Json rules = schema();
    std::mt19937_64 random(tests::seed());
    const Json good = *parse_json(write_job(tests::random_job(random)), "job");
    Json probe = good;
    std::vector<Json*> all;
    scalars(probe, all);
    for (Json* scalar : all) {
        const Json kept = *scalar;
        for (const Json& spoilt : {Json::of("\x01?"), Json::of(1e200), Json::list(), Json::object()}) {
            *scalar = spoilt;
            Validator validator(rules);
            const bool by_schema = validator.valid(probe);
            const bool by_reader = parse_job(print(probe), "spoilt").ok();
            INFO(print(kept, true) << " -> " << print(spoilt, true) << " " << validator.trouble());
            CHECK_FALSE(by_reader);
            // plain words and paths may hold characters the schema has no pattern for
            if (spoilt.kind != Json::Kind::text) CHECK_FALSE(by_schema);
        }
        *scalar = kept;
    }
}

TEST_CASE("schema: what is missing or added is refused by schema and reader alike", "[schema]") {
    const Json rules = schema();
    const std::string plain = write_job(tests::plain_job());
    for (const std::string path : {"format", "version", "case", "revisions"}) {
        Json job = *parse_json(plain, "job");
        job.drop(path);
        CHECK_FALSE(Validator(rules).valid(job));
        CHECK_FALSE(parse_job(print(job), "x").ok());
    }
    Json added = *parse_json(plain, "job");
    added.find("right")->find("trim")->add("cup", Json::of(1.0));
    CHECK_FALSE(Validator(rules).valid(added));
    CHECK_FALSE(parse_job(print(added), "x").ok());
    Json no_cast = *parse_json(plain, "job");
    no_cast.find("right")->drop("cast");
    CHECK_FALSE(Validator(rules).valid(no_cast));
    CHECK_FALSE(parse_job(print(no_cast), "x").ok());
    Json no_foot = *parse_json(plain, "job");
    no_foot.drop("right");
    CHECK_FALSE(Validator(rules).valid(no_foot));
    CHECK_FALSE(parse_job(print(no_foot), "x").ok());
    // What has a default may be left out.
    Json sparse = *parse_json(plain, "job");
    for (const char* key :
         {"trim", "wall", "rim", "material", "balance", "dress", "marks", "landmarks", "side", "calipers"})
        sparse.find("right")->drop(key);
    sparse.drop("order");
    sparse.drop("capture");
    CHECK(Validator(rules).valid(sparse));
    const auto read = parse_job(print(sparse), "x");
    REQUIRE(read.ok());
    CHECK(write_job(*read) == plain);
}

TEST_CASE("schema: docs/job-file.md holds the reference as the program writes it", "[schema][docs]") {
    const std::string page = file("docs/job-file.md");
    const std::string begin = "<!-- generated: keys -->\n", end = "<!-- end of generated -->";
    const std::size_t from = page.find(begin), to = page.find(end);
    REQUIRE(from != std::string::npos);
    REQUIRE(to != std::string::npos);
    // If this fails: replace the part between the two marks by what parameter_reference() returns.
    CHECK(page.substr(from + begin.size(), to - from - begin.size()) == parameter_reference());
}
