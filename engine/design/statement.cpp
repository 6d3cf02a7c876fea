#include "engine/design/statement.hpp"

#include "engine/design/decisions.hpp"

#include <algorithm>
#include <array>
#include <string_view>

#include "engine/design/fingerprint.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::design {

namespace {

Fault wrong_statement(std::string message) {
    return Fault{FaultKind::usage, "state", std::move(message), {}};
}

/// The foot under a key, or why not.
Outcome<FootDesign*> foot_of(Job& job, Side key) {
    if (job.foot(key)) return &*job.foot(key);
    return wrong_statement(
        std::string("the job has no ") + word(key) + " foot" +
        (job.foot(other(key)) ? std::string(", only a ") + word(other(key)) + " one" : std::string()));
}

Outcome<Done> check_person(const std::string& by, const std::string& what) {
    const std::string trouble = text_trouble(by, TextKind::code);
    if (trouble.empty()) return Done{};
    return wrong_statement(what + " " + in_quotes(by) + ": " + trouble);
}

void stated_by(Statement& statement, const std::string& by) {
    statement.by = StatedBy::person;
    statement.code = by;
    statement.confidence = 1;
    statement.clear = true;
}

}  // namespace

Outcome<Done> state_side(Job& job, Side key, Side stated, const std::string& by) {
    const auto foot = foot_of(job, key);
    if (!foot) return foot.fault();
    if (const auto person = check_person(by, "the person who states the side"); !person)
        return person.fault();
    if (stated != key && job.foot(stated))
        return wrong_statement(std::string("the job already has a ") + word(stated) + " foot, so the " +
                               word(key) + " one cannot become it: make a job of its own for this cast");
    stated_by((*foot)->side, by);
    if (stated != key) {
        job.foot(stated) = std::move(job.foot(key));
        job.foot(key).reset();
    }
    return Done{};
}

Outcome<Done> state_unit(Job& job, Side key, LengthUnit stated, const std::string& by) {
    const auto foot = foot_of(job, key);
    if (!foot) return foot.fault();
    if (const auto person = check_person(by, "the person who states the unit"); !person)
        return person.fault();
    (*foot)->cast.unit.value = stated;
    stated_by((*foot)->cast.unit, by);
    return Done{};
}

std::string never_signed(const std::string& check) {
    // By the last part of the check's id, so that every stage that asks the same question has the same
    // answer.
    struct Rule {
        std::string_view last;
        const char* why;
    };
    static constexpr std::array<Rule, 13> rules{{
        {"side", "the side is never signed off: look at the evidence and state the side again"},
        {"unit", "the unit is never signed off: look at the evidence and state the unit again"},
        {"hash", "a cast that has changed is another cast: restore the file, or make a new job from it"},
        {"sha256", "a cast that has changed is another cast: restore the file, or make a new job from it"},
        {"self_intersection", "a shell that cuts through itself cannot be made: change the design"},
        {"least", "a wall under the least wall breaks: thicken it"},
        {"minimum", "a wall under the least wall breaks: thicken it"},
        {"material", "a wall under the material's least wall breaks: thicken it or take another material"},
        {"closed", "an open solid cannot be made: change the design"},
        {"edges", "an open solid cannot be made: change the design"},
        {"outward", "a solid turned inside out cannot be made: change the design"},
        {"valid", "a faulty solid cannot be made: change the design"},
        {"solid", "a faulty solid cannot be made: change the design"},
    }};
    const std::size_t dot = check.rfind('.');
    const std::string_view last = std::string_view(check).substr(dot == std::string::npos ? 0 : dot + 1);
    const auto* rule =
        std::find_if(rules.begin(), rules.end(), [&](const Rule& r) { return r.last == last; });
    return rule == rules.end() ? std::string() : rule->why;
}

Outcome<Done> sign(Job& job, Side key, const std::string& check, const std::string& by,
                   const std::string& reason, const std::string& second) {
    const auto foot = foot_of(job, key);
    if (!foot) return foot.fault();
    if (const std::string trouble = text_trouble(check, TextKind::name); !trouble.empty())
        return wrong_statement("the check " + in_quotes(check) + ": " + trouble);
    if (const std::string why = never_signed(check); !why.empty()) return wrong_statement(check + ": " + why);
    if (const auto person = check_person(by, "the person who signs"); !person) return person.fault();
    if (!second.empty()) {
        if (const auto person = check_person(second, "the second person"); !person) return person.fault();
        if (second == by) return wrong_statement("the second person must be another one than " + by);
    }
    const bool blank = reason.find_first_not_of(" \t\n") == std::string::npos;
    if (const std::string trouble = text_trouble(reason, TextKind::words); blank || !trouble.empty())
        return wrong_statement("a sign-off needs its reason: " +
                               (trouble.empty() ? "write it in plain words" : trouble));

    auto& all = (*foot)->sign_offs;
    std::erase_if(all, [&](const SignOff& s) { return s.check == check; });
    all.push_back({check, by, reason, second, fingerprint(job, key)});
    return Done{};
}

Outcome<Done> approve(Job& job, Side key, const std::string& by, const std::string& date) {
    const auto foot = foot_of(job, key);
    if (!foot) return foot.fault();
    if (const auto person = check_person(by, "the person who approves"); !person) return person.fault();
    if (const std::string trouble = text_trouble(date, TextKind::date); !trouble.empty())
        return wrong_statement("the day of the approval " + in_quotes(date) + ": " + trouble);
    auto& all = (*foot)->approvals;
    std::erase_if(all, [&](const Approval& a) { return a.revision == job.revision() && a.by == by; });
    all.push_back({job.revision(), by, date, fingerprint(job, key)});
    keep_past(job, key);
    return Done{};
}

}  // namespace archwright::design
