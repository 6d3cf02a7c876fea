#include "engine/design/decisions.hpp"

#include <algorithm>

#include "engine/design/fingerprint.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::design {

namespace {

std::string setting_text(const Json* value) {
    if (value == nullptr) return {};
    if (value->kind == Json::Kind::text) return value->text;
    return design::print(*value, true);
}

const std::string* entry_name(const Json& entry) {
    const Json* name = entry.find("name");
    return name != nullptr && name->kind == Json::Kind::text ? &name->text : nullptr;
}

bool all_entries_named(const Json& list) {
    return std::all_of(list.items.begin(), list.items.end(),
                       [](const Json& entry) { return entry_name(entry) != nullptr; });
}

const Json* entry_named(const Json& list, const std::string& name) {
    for (const Json& entry : list.items)
        if (*entry_name(entry) == name) return &entry;
    return nullptr;
}

void walk_named(const std::string& name, const Json& before, const Json& after, std::vector<Setting>& out) {
    std::vector<std::string> kept_before, kept_after;
    for (const Json& entry : before.items) {
        const std::string& own = *entry_name(entry);
        const Json* now = entry_named(after, own);
        trees_that_differ(name + "[" + own + "]", &entry, now, out);
        if (now != nullptr) kept_before.push_back(own);
    }
    for (const Json& entry : after.items) {
        const std::string& own = *entry_name(entry);
        if (entry_named(before, own) == nullptr)
            trees_that_differ(name + "[" + own + "]", nullptr, &entry, out);
        else
            kept_after.push_back(own);
    }
    if (kept_before == kept_after) return;
    const auto joined = [](const std::vector<std::string>& all) {
        std::string text;
        for (const std::string& one : all) text += (text.empty() ? "" : ", ") + one;
        return text;
    };
    out.push_back({name, joined(kept_before), joined(kept_after)});
}

Fault past_fault(FaultKind kind, const std::string& message) {
    return {kind, "changed", message, {}};
}

std::size_t place_of(const Job& job, const std::string& letter) {
    for (std::size_t i = 0; i < job.revisions.size(); ++i)
        if (job.revisions[i].letter == letter) return i;
    return job.revisions.size();
}

bool approved_as(const Job& job, const PastDesign& past) {
    for (const Side side : {Side::left, Side::right})
        if (job.foot(side))
            for (const Approval& a : job.foot(side)->approvals)
                if (a.revision == past.revision && a.fingerprint == past.fingerprint) return true;
    return false;
}

/// The newest approval of a foot: of the last revision that has one, the last given.
const Approval* newest_approval(const Job& job, const FootDesign& foot, const std::string& letter = {}) {
    const Approval* newest = nullptr;
    for (const Approval& a : foot.approvals) {
        if (!letter.empty() && a.revision != letter) continue;
        if (newest == nullptr || place_of(job, a.revision) >= place_of(job, newest->revision)) newest = &a;
    }
    return newest;
}

/// Nothing but what decides this foot's device.
Job deciding_job(const Job& job, Side side) {
    Job past;
    past.case_code = job.case_code;
    past.order = job.order;
    past.capture = job.capture;
    past.revisions.clear();
    for (const Revision& revision : job.revisions) past.revisions.push_back({revision.letter, "", ""});
    past.foot(side) = *job.foot(side);
    FootDesign& foot = *past.foot(side);
    foot.answers.clear();
    foot.presets.clear();
    foot.sign_offs.clear();
    foot.approvals.clear();
    return past;
}

}  // namespace

void trees_that_differ(const std::string& name, const Json* before, const Json* after,
                       std::vector<Setting>& out) {
    if (before != nullptr && after != nullptr) {
        if (*before == *after) return;
        if (before->kind == Json::Kind::object && after->kind == Json::Kind::object) {
            for (const auto& [key, value] : before->members)
                trees_that_differ(name.empty() ? key : name + "." + key, &value, after->find(key), out);
            for (const auto& [key, value] : after->members)
                if (before->find(key) == nullptr)
                    trees_that_differ(name.empty() ? key : name + "." + key, nullptr, &value, out);
            return;
        }
        if (before->kind == Json::Kind::list && after->kind == Json::Kind::list) {
            const bool objects =
                std::all_of(before->items.begin(), before->items.end(),
                            [](const Json& entry) { return entry.kind == Json::Kind::object; }) &&
                std::all_of(after->items.begin(), after->items.end(),
                            [](const Json& entry) { return entry.kind == Json::Kind::object; });
            if (objects && all_entries_named(*before) && all_entries_named(*after))
                return walk_named(name, *before, *after, out);
            if (objects && before->items.size() == after->items.size()) {
                for (std::size_t i = 0; i < before->items.size(); ++i)
                    trees_that_differ(name + "[" + std::to_string(i) + "]", &before->items[i],
                                      &after->items[i], out);
                return;
            }
        }
    }
    out.push_back({name, setting_text(before), setting_text(after)});
}

std::vector<Setting> decisions_that_differ(const Job& before, Side side_before, const Job& after,
                                           Side side_after) {
    const Json one = decisions(before, side_before, Deciding::all),
               two = decisions(after, side_after, Deciding::all);
    std::vector<Setting> out;
    // the foot's own names stand without "foot"
    for (const auto& [key, value] : one.members)
        trees_that_differ(key == "foot" ? std::string() : key, &value, two.find(key), out);
    return out;
}

void keep_past(Job& job, Side side) {
    if (!job.foot(side)) return;
    const std::string now = fingerprint(job, side), letter = job.revision();
    std::erase_if(job.past, [&](const PastDesign& p) {
        return p.side == side && p.revision == letter && (p.fingerprint == now || !approved_as(job, p));
    });
    const Job past = deciding_job(job, side);
    std::string text = print(job_tree(past), true);
    if (text.size() <= text_length(TextKind::job)) job.past.push_back({side, letter, now, std::move(text)});
    std::size_t bytes = 0;
    for (const PastDesign& p : job.past) bytes += p.job.size();
    while (bytes > most_past_bytes && !job.past.empty()) {
        bytes -= job.past.front().job.size();
        job.past.erase(job.past.begin());
    }
}

Outcome<PastFoot> past_foot(const Job& job, Side side, const std::string& letter, const JobReading& reading) {
    if (!job.foot(side))
        return past_fault(FaultKind::usage, std::string("the job has no ") + word(side) + " foot.");
    if (place_of(job, letter) == job.revisions.size())
        return past_fault(FaultKind::usage, "there is no revision " + in_quotes(letter) + ": the newest is " +
                                                job.revision() + ".");
    PastFoot out;
    const PastDesign* found = nullptr;
    if (const Approval* approval = newest_approval(job, *job.foot(side), letter)) {
        out.approval = *approval;
        for (const PastDesign& p : job.past)
            if (p.revision == letter && p.fingerprint == approval->fingerprint) found = &p;
    } else {
        for (const PastDesign& p : job.past)
            if (p.revision == letter && p.side == side) found = &p;
        if (found == nullptr && letter == job.revision())
            return past_fault(FaultKind::usage,
                              "revision " + letter +
                                  " is the one in hand and was never approved: there is nothing to hold it "
                                  "against. Name an older one.");
    }
    if (found == nullptr)
        return past_fault(FaultKind::input,
                          "the job does not hold the design of revision " + letter + " of the " + word(side) +
                              " foot: it was approved or ended by a version that kept none, or was let go "
                              "for its size. Compare with a copy of the job of that day, where there is "
                              "one (archwright compare).");
    auto read = parse_job(found->job, "the design of revision " + letter, reading);
    if (!read) return past_fault(FaultKind::input, read.fault().message);
    out.side = found->side;
    out.revision = letter;
    if (!read->foot(out.side) || fingerprint(*read, out.side) != found->fingerprint)
        return past_fault(FaultKind::input,
                          "the design that the job holds of revision " + letter +
                              " is not the one that was kept: its fingerprint differs. It was changed "
                              "outside the program.");
    out.job = std::move(*read);
    // files lie where the job says now, as long as they are the same
    if (out.job.foot(out.side)->cast.sha256 == job.foot(side)->cast.sha256)
        out.job.foot(out.side)->cast.path = job.foot(side)->cast.path;
    return out;
}

ApprovalState approval_state(const Job& job, Side side) {
    ApprovalState state;
    if (const Approval* holds = valid_approval(job, side)) {
        state.last = *holds;
        state.holds = state.known = true;
        state.words = "Approved: revision " + holds->revision + " by " + holds->by + ", " + holds->date + ".";
        return state;
    }
    state.words = "Not approved: no approval holds for the design as it is.";
    if (!job.foot(side)) return state;
    const Approval* last = newest_approval(job, *job.foot(side));
    if (last == nullptr) return state;
    state.last = *last;
    const std::string given =
        "Revision " + last->revision + " was approved by " + last->by + ", " + last->date;
    JobReading reading;
    reading.allow_outside = true;  // nothing is opened by it
    const auto past = past_foot(job, side, last->revision, reading);
    if (past && past->approval == state.last) {
        state.known = true;
        state.changed = decisions_that_differ(past->job, past->side, job, side);
    }
    if (is_of(job, side, last->fingerprint)) {
        state.words = "Not approved: " + given + ", and this is revision " + job.revision() +
                      "; nothing has changed since.";
        return state;
    }
    state.words = "Not approved: " + given + ", and that is void: the design was changed afterwards";
    if (state.known) {
        constexpr std::size_t most_named = 8;
        state.words += " (";
        for (std::size_t k = 0; k < std::min(state.changed.size(), most_named); ++k)
            state.words += (k == 0 ? "" : ", ") + state.changed[k].name;
        if (state.changed.size() > most_named)
            state.words += " and " + std::to_string(state.changed.size() - most_named) + " more";
        state.words += ")";
    }
    state.words += ".";
    return state;
}

}  // namespace archwright::design
