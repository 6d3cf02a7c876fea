// Presets: what they set is checked, recorded and told apart from later edits; what is not theirs is refused.
#include "engine/design/preset.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <random>
#include <set>

#include "engine/base/text.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/material.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/reader.hpp"
#include "engine/design/writer.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_job.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::design;
using Catch::Contains;

namespace {

const std::filesystem::path our_presets = std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets" / "presets";

const std::set<std::string> theirs{"balance", "dress", "trim",     "wall",   "features",
                                   "posts",   "rim",   "material", "covers", "lettering"};

std::string preset_with(const std::string& members) {
    return R"({"archwright_preset": 1, "code": "LAB-1", "title": "Ours", )" + members + "}";
}

Preset preset(const std::string& members) {
    auto read = parse_preset(preset_with(members), "lab.json");
    INFO((read ? std::string() : read.fault().message));
    REQUIRE(read.ok());
    return *read;
}

Fault preset_trouble(const std::string& text) {
    const auto read = parse_preset(text, "lab.json");
    INFO(text);
    REQUIRE_FALSE(read.ok());
    return read.fault();
}

Side a_side(const Job& job) {
    return job.right ? Side::right : Side::left;
}

/// A preset of what one random foot is ordered, each value with an even chance: groups walked, lists whole.
Json some_of(const Json& all, std::mt19937_64& random) {
    Json some = Json::object();
    for (const auto& [key, member] : all.members) {
        if (member.kind == Json::Kind::object) {
            if (Json inner = some_of(member, random); !inner.members.empty()) some.add(key, std::move(inner));
        } else if (random() % 2 == 0) {
            some.add(key, member);
        }
    }
    return some;
}

}  // namespace

TEST_CASE("presets: those that come with the program set what they say, and say where it is from",
          "[preset]") {
    const auto all = load_presets(our_presets);
    INFO((all ? std::string() : all.fault().message));
    REQUIRE(all.ok());
    for (const char* code :
         {"width-narrow", "width-standard", "width-wide", "length-short", "length-standard", "length-long"}) {
        INFO(code);
        REQUIRE(all->count(code) == 1);
    }
    for (const auto& [code, preset] : *all) {
        INFO(code);
        CHECK_THAT(preset.note, Contains("no source"));
        CHECK_FALSE(preset.title.empty());
        Job job = tests::plain_job();
        REQUIRE(apply(job, Side::right, preset, "TK").ok());
        CHECK(check_job(job).ok());
        for (const PresetValue& value : preset.set) CHECK(*get(*job.right, value.name) == value.value);
    }
    // one after the other leaves nothing of the first, so that a person may go back and forth
    for (const char* kind : {"width-", "length-"}) {
        std::set<std::string> names;
        for (const auto& [code, preset] : *all)
            if (code.starts_with(kind)) {
                std::string set;
                for (const PresetValue& value : preset.set) set += value.name + " ";
                names.insert(set);
            }
        CHECK(names.size() == 1);
    }
    const auto value = [&](const char* code) {
        return parse_number(all->at(code).set.front().value).value();
    };
    CHECK(value("width-narrow") < value("width-standard"));
    CHECK(value("width-standard") < value("width-wide"));
    CHECK(value("length-short") > value("length-standard"));
    CHECK(value("length-standard") > value("length-long"));
    // standard is standard
    Job job = tests::plain_job();
    for (const char* code : {"width-standard", "length-standard"}) {
        const auto changes = apply(job, Side::right, all->at(code), "TK");
        REQUIRE(changes.ok());
        for (const PresetChange& change : *changes) CHECK_FALSE(change.changed());
    }
}

TEST_CASE("presets: the example of docs/presets.md is one", "[preset][docs]") {
    std::ifstream in(our_presets.parent_path().parent_path() / "docs" / "presets.md");
    const std::string page((std::istreambuf_iterator<char>(in)), {});
    const std::string fence = "```json\n";
    const std::size_t from = page.find(fence) + fence.size();
    const auto read = parse_preset(page.substr(from, page.find("```", from) - from), "example");
    INFO((read ? std::string() : read.fault().message));
    REQUIRE(read.ok());
    Job job = tests::plain_job();
    REQUIRE(apply(job, Side::right, *read, "TK").ok());
    CHECK(job.right->dress.medial_skive.depth_mm == 2);
    CHECK(job.order.footwear == Order::Footwear::athletic);
}

TEST_CASE("presets: any part of any order reads, applies exactly, twice as once", "[preset]") {
    std::mt19937_64 random(tests::seed());
    for (int i = tests::cases(500, 60, "random presets"); i > 0; --i) {
        const Job source = tests::random_job(random);
        Job job = tests::random_job(random);
        const Side side = a_side(job);
        Json asked = to_json(*source.foot(a_side(source)), Writing::complete);
        std::erase_if(asked.members, [](const auto& member) { return theirs.count(member.first) == 0; });
        const Json part = some_of(asked, random);
        if (part.members.empty()) continue;
        const Preset given =
            preset("\"foot\": " + print(part, true) +
                   (random() % 2 ? R"(, "order": {"footwear": "boot", "activity": "low"})" : ""));
        const FootDesign before = *job.foot(side);
        const auto changes = apply(job, side, given, "TK-2");
        if (!changes.ok()) {  // sizes of letters from two orders that do not go together
            INFO(changes.fault().message);
            CHECK(changes.fault().message.find(".lettering") != std::string::npos);
            CHECK(to_json(*job.foot(side), Writing::complete) == to_json(before, Writing::complete));
            continue;
        }
        REQUIRE(check_job(job).ok());
        CHECK(changes->size() == given.set.size());

        // what is in the preset is now the foot's, and everything else is as it was
        Json expected = to_json(before, Writing::complete);
        const auto lay = [](const auto& self, Json& under, const Json& over) -> void {
            for (const auto& [key, member] : over.members) {
                Json* there = under.find(key);
                if (there && member.kind == Json::Kind::object)
                    self(self, *there, member);
                else if (there)
                    *there = member;
                else
                    under.add(key, member);
            }
        };
        lay(lay, expected, part);
        Json now = to_json(*job.foot(side), Writing::complete);
        CHECK(now.find("presets")->items.size() == before.presets.size() + 1);
        now.drop("presets");
        expected.drop("presets");
        // optional values may stand elsewhere in the group: compare as jobs read them
        FootDesign as_expected, as_now;
        Problems none;
        read_json(expected, "", as_expected, Reader::Rules{false, true}, none);
        read_json(now, "", as_now, Reader::Rules{false, true}, none);
        REQUIRE(none.empty());
        CHECK(print(to_json(as_now, Writing::complete)) == print(to_json(as_expected, Writing::complete)));

        for (const PresetStand& stand : preset_stands(job, side))
            if (stand.preset == "LAB-1") CHECK(stand.state == PresetStand::State::stands);
        const std::string once = write_job(job);
        const auto again = apply(job, side, given, "TK-2");
        REQUIRE(again.ok());
        CHECK(write_job(job) == once);
        for (const PresetChange& change : *again) CHECK_FALSE(change.changed());
        // the record reads back
        CHECK(write_job(*parse_job(once, "job.json")) == once);
    }
}

TEST_CASE("presets: nothing that belongs to one cast or one case is theirs", "[preset]") {
    const Json foot = to_json(tests::plain_job().right.value(), Writing::complete);
    std::size_t refused = 0;
    for (const auto& [key, member] : foot.members) {
        INFO(key);
        if (theirs.count(key) != 0) continue;
        const Fault fault =
            preset_trouble(preset_with("\"foot\": {\"" + key + "\": " + print(member, true) + "}"));
        CHECK(fault.kind == FaultKind::usage);
        CHECK_THAT(fault.message, Contains("lab.json: foot." + key + " belongs to one foot and its cast") &&
                                      Contains("balance, dress, trim, wall, features, posts, rim, material"));
        ++refused;
    }
    CHECK(refused >= 8);  // side, cast, calipers, landmarks, marks, presets, sign-offs, approvals
    for (const Parameter& p : case_parameters()) {
        if (!p.name.starts_with("order.") || p.name == "order.footwear" || p.name == "order.activity")
            continue;
        INFO(p.name);
        CHECK_THAT(preset_trouble(preset_with("\"order\": {\"" + p.name.substr(6) + "\": 1}")).message,
                   Contains(p.name + " belongs to one case") && Contains("footwear, activity"));
    }
    // several at once are all named, beside other faults
    const std::string all =
        preset_trouble(preset_with(R"("foot": {"cast": {}, "marks": [], "trim": {"cup_medial_cm": 1}})"))
            .message;
    CHECK_THAT(all, Contains("foot.cast") && Contains("foot.marks") && Contains("cup_medial_mm"));
}

TEST_CASE("presets: a faulty one is refused with the place and what to do", "[preset][specimen]") {
    struct Case {
        std::string text;
        FaultKind kind;
        std::string says;
    };
    const FaultKind usage = FaultKind::usage, input = FaultKind::input;
    for (
        const Case& c : std::vector<Case>{
            {"", input, "lab.json"},
            {"[]", input, "is no preset"},
            {"7", input, "is no preset"},
            {R"({"code": "A"})", input, "\"archwright_preset\": 1"},
            {R"({"archwright_preset": "1"})", input, "is no preset"},
            {R"({"archwright_preset": 2, "code": "A", "title": "B"})", input, "version 2"},
            {R"({"archwright_preset": 1, "title": "B", "foot": {"rim": {"kind": "square"}}})", usage,
             "code is missing"},
            {R"({"archwright_preset": 1, "code": "a b", "title": "B", "foot": {"rim": {"kind": "square"}}})",
             usage, "code is \"a b\""},
            {R"({"archwright_preset": 1, "code": "A", "foot": {"rim": {"kind": "square"}}})", usage,
             "title is missing"},
            {preset_with(R"("foot": {})"), usage, "sets nothing"},
            {preset_with(R"("foot": {"trim": {}})"), usage, "sets nothing"},
            {preset_with(R"("foot": [])"), usage, "foot is a list"},
            {preset_with(R"("order": 3)"), usage, "order is a number"},
            {preset_with(R"("fot": {})"), usage, "did you mean \"foot\"?"},
            {preset_with(R"("foot": {"trim": {"cup_medial_mm": 400}})"), usage,
             "foot.trim.cup_medial_mm is 400 mm"},
            {preset_with(R"("foot": {"trim": {"cup_medial_mm": null}})"), usage, "foot.trim.cup_medial_mm"},
            {preset_with(R"("foot": {"trim": {"cup_postrior_mm": 14}})"), usage,
             "did you mean \"cup_posterior_mm\"?"},
            {preset_with(R"("foot": {"rim": {"kind": "sharp"}})"), usage, "foot.rim.kind is \"sharp\""},
            {preset_with(R"("foot": {"material": ""})"), usage, "foot.material"},
            {preset_with(R"("foot": {"wall": {"regions": [{"name": "a", "outline": [[0, 0], [1, 0]]}]}})"),
             usage, "foot.wall.regions[0].outline has 2 entries"},
            {preset_with(R"("foot": {"wall": {"regions": [{"outline": [[0, 0], [1, 0], [0, 1]]}]}})"), usage,
             "foot.wall.regions[0].name is missing"},
            {preset_with(
                 R"("foot": {"wall": {"stations": [{"along": 0.5, "wall_mm": 3}, {"along": 0.5, "wall_mm": 3}]}})"),
             usage, "foot.wall.stations[1].along is 0.5"},
            {preset_with(R"("order": {"footwear": "clog"})"), usage, "order.footwear is \"clog\""},
            {R"({"archwright_preset": 1, "archwright_preset": 1})", input, "archwright_preset"},
        }) {
        const Fault fault = preset_trouble(c.text);
        INFO(c.text << "\n" << fault.message);
        CHECK(fault.kind == c.kind);
        CHECK_THAT(fault.message, Contains(c.says));
    }
}

TEST_CASE("presets: any spoilt text is refused or means something, and never crashes", "[preset]") {
    std::mt19937_64 random(tests::seed());
    const std::string good =
        preset_with(R"("note": "x", "foot": {"trim": {"cup_medial_mm": 14}, "wall": {"stations": )"
                    R"([{"along": 0, "wall_mm": 3}]}}, "order": {"footwear": "work"})");
    for (int i = tests::cases(20'000, 2000, "spoilt presets"); i > 0; --i) {
        std::string text = good;
        for (std::size_t k = 1 + random() % 3; k > 0; --k) {
            const std::size_t at = random() % text.size();
            if (random() % 2)
                text[at] = static_cast<char>(random() % 256);
            else
                text.erase(at, 1 + random() % 4);
        }
        const auto read = parse_preset(text, "spoilt.json");
        if (!read.ok()) {
            REQUIRE_THAT(read.fault().message, Contains("spoilt.json"));
            continue;
        }
        Job job = tests::plain_job();
        REQUIRE(apply(job, Side::right, *read, "TK").ok());
        REQUIRE(check_job(job).ok());
    }
}

TEST_CASE("presets: what was changed afterwards is told from what still stands", "[preset]") {
    Job job = tests::plain_job();
    const Preset first = preset(R"("foot": {"trim": {"cup_medial_mm": 16, "cup_lateral_mm": 18},
        "balance": {"pour_deg": null}, "wall": {"stations": [{"along": 0, "wall_mm": 3}]}},
        "order": {"footwear": "work"})");
    Preset second = preset(R"("foot": {"trim": {"cup_lateral_mm": 12}})");
    second.code = "LAB-2";
    const auto changes = apply(job, Side::right, first, "TK");
    REQUIRE(changes.ok());
    CHECK(changes->at(0).name == "trim.cup_medial_mm");
    CHECK(changes->at(0).from == "14");
    CHECK(changes->at(0).to == "16");
    const auto stand = [&](const std::string& code, const std::string& name) {
        for (const PresetStand& s : preset_stands(job, Side::right))
            if (s.preset == code && s.name == name) return s;
        FAIL("no record of " << name);
        return PresetStand{};
    };
    using State = PresetStand::State;
    CHECK(stand("LAB-1", "balance.pour_deg").now == "none");
    CHECK(stand("LAB-1", "order.footwear").now == "work");
    for (const PresetStand& s : preset_stands(job, Side::right)) CHECK(s.state == State::stands);
    const std::string fingerprint_before = fingerprint(job, Side::right);

    REQUIRE(set(*job.right, "trim.cup_medial_mm", "17").ok());
    CHECK(stand("LAB-1", "trim.cup_medial_mm").state == State::changed);
    CHECK(stand("LAB-1", "trim.cup_medial_mm").set == "16");
    CHECK(stand("LAB-1", "trim.cup_medial_mm").now == "17");
    CHECK(stand("LAB-1", "trim.cup_lateral_mm").state == State::stands);
    REQUIRE(set(*job.right, "balance.pour_deg", "15").ok());
    CHECK(stand("LAB-1", "balance.pour_deg").state == State::changed);
    job.right->wall.stations[0].wall_mm = 3.1;
    CHECK(stand("LAB-1", "wall.stations").state == State::changed);
    REQUIRE(set(job, "order.footwear", "dress").ok());
    CHECK(stand("LAB-1", "order.footwear").state == State::changed);

    REQUIRE(apply(job, Side::right, second, "RB").ok());
    CHECK(stand("LAB-1", "trim.cup_lateral_mm").state == State::later);
    CHECK(stand("LAB-1", "trim.cup_lateral_mm").later_preset == "LAB-2");
    CHECK(stand("LAB-2", "trim.cup_lateral_mm").by == "RB");
    // the first once more: it is the newest now, and everything is as it set it
    REQUIRE(apply(job, Side::right, first, "TK").ok());
    CHECK(job.right->presets.size() == 2);
    CHECK(job.right->presets.back().code == "LAB-1");
    CHECK(stand("LAB-2", "trim.cup_lateral_mm").later_preset == "LAB-1");
    // the values decide, not where they came from
    CHECK(fingerprint(job, Side::right) == fingerprint_before);
}

TEST_CASE("presets: a long list is on record by its hash, and a change of it shows", "[preset]") {
    std::string points;
    for (int i = 0; i < 300; ++i)
        points += (i ? ", [" : "[") + std::to_string(i) + ".25, " + std::to_string(i % 17) + ".125]";
    Job job = tests::plain_job();
    REQUIRE(apply(job, Side::right,
                  preset(R"("foot": {"wall": {"regions": [{"name": "a", "outline": [)" + points + "]}]}}"),
                  "TK")
                .ok());
    REQUIRE(check_job(job).ok());
    CHECK(job.right->presets[0].set[0].value.starts_with("SHA-256 "));
    CHECK(preset_stands(job, Side::right)[0].state == PresetStand::State::stands);
    job.right->wall.regions[0].outline[299].y() += 1e-9;
    CHECK(preset_stands(job, Side::right)[0].state == PresetStand::State::changed);
}

TEST_CASE("presets: who applies one is named; no foot, no code, too many change nothing", "[preset]") {
    const Preset given = preset(R"("foot": {"trim": {"cup_medial_mm": 16}})");
    Job job = tests::plain_job();
    const std::string before = write_job(job);
    for (const char* by : {"", "Mr Smith", "-", "\x01"}) {
        const auto done = apply(job, Side::right, given, by);
        REQUIRE_FALSE(done.ok());
        CHECK(done.fault().kind == FaultKind::usage);
        CHECK_THAT(done.fault().message, Contains("Nothing was changed"));
    }
    CHECK_THAT(apply(job, Side::left, given, "TK").fault().message, Contains("no left foot"));
    CHECK(write_job(job) == before);
    for (int i = 0; i < 50; ++i) {
        Preset other = given;
        other.code = "P" + std::to_string(i);
        REQUIRE(apply(job, Side::right, other, "TK").ok());
    }
    CHECK_THAT(apply(job, Side::right, given, "TK").fault().message, Contains("50 presets"));
    Preset known = given;
    known.code = "P7";
    CHECK(apply(job, Side::right, known, "TK").ok());
    CHECK(check_job(job).ok());
}

TEST_CASE("presets: a folder of them is read whole or refused by file", "[preset]") {
    const tests::TemporaryFolder folder;
    CHECK_THAT(load_presets(folder.path()).fault().message, Contains("no presets"));
    std::ofstream(folder.path() / "LAB-1.json") << preset_with(R"("foot": {"rim": {"kind": "square"}})");
    CHECK(load_presets(folder.path())->size() == 1);
    std::ofstream(folder.path() / "other.json") << preset_with(R"("foot": {"rim": {"kind": "square"}})");
    CHECK_THAT(load_presets(folder.path()).fault().message,
               Contains("other.json") && Contains("name the file LAB-1.json"));
    std::ofstream(folder.path() / "other.json") << "{";
    CHECK_THAT(load_presets(folder.path()).fault().message, Contains("other.json"));
}
