#include "engine/build/cast_verdict.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::build {

namespace {

std::string list(const std::vector<int>& numbers, const char* between = ", ") {
    std::string text;
    for (const int n : numbers) text += (text.empty() ? "" : between) + std::to_string(n);
    return text;
}

std::string named(const Examined& examined, const std::vector<int>& numbers) {
    constexpr std::size_t most = 6;
    std::string text;
    for (std::size_t i = 0; i < std::min(numbers.size(), most); ++i) {
        const examine::Finding& f = examined.calls[static_cast<std::size_t>(numbers[i]) - 1].finding;
        text += (i == 0 ? "" : "; ") + std::string("No. ") + std::to_string(numbers[i]) + " " + title(f.kind);
        if (f.depth_mm != 0.0) text += " " + rounded(std::abs(f.depth_mm), 1) + " mm";
    }
    if (numbers.size() > most) text += "; and " + std::to_string(numbers.size() - most) + " more";
    return text;
}

}  // namespace

const char* key(CastVerdict::Word word) {
    switch (word) {
        case CastVerdict::Word::usable:
            return "usable";
        case CastVerdict::Word::repair:
            return "repair";
        case CastVerdict::Word::take_again:
            return "take_again";
        case CastVerdict::Word::sound:
            break;
    }
    return "sound";
}

CastVerdict cast_verdict(const Examined& examined) {
    using examine::Finding;
    CastVerdict v;
    for (std::size_t i = 0; i < examined.calls.size(); ++i) {
        const Examined::Call& call = examined.calls[i];
        if (!call.open() || call.answered) continue;
        const int number = static_cast<int>(i) + 1;
        if (!call.certain()) {
            v.questions.push_back(number);
        } else if (call.finding.advice == Finding::Advice::take_again) {
            v.again.push_back(number);
        } else {
            v.certain.push_back(number);
            if (repairable(call.finding.kind)) v.repairable.push_back(number);
        }
    }
    if (!v.again.empty()) {
        v.word = CastVerdict::Word::take_again;
        v.sentence = "Take it again, or allow for it knowingly: " + named(examined, v.again) + ".";
    }
    if (!v.certain.empty()) {
        if (v.again.empty()) v.word = CastVerdict::Word::repair;
        v.sentence +=
            std::string(v.sentence.empty() ? "" : " ") +
            (v.repairable.empty() ? "Look before it is used: " : "Repair or answer before it is used: ") +
            named(examined, v.certain) + ".";
    }
    if (!v.questions.empty()) {
        if (v.sentence.empty()) v.word = CastVerdict::Word::usable;
        v.sentence += (v.sentence.empty() ? "Nothing on it is certainly wrong. " : " ") +
                      std::to_string(v.questions.size()) +
                      (v.questions.size() == 1 ? " question" : " questions") +
                      " to a person who has seen the foot: No. " + list(v.questions) + ".";
    }
    if (v.sentence.empty())
        v.sentence =
            examined.calls.empty() ? "No fault was found on it." : "Everything found on it is answered.";
    return v;
}

std::vector<std::string> next_steps(const CastVerdict& verdict, const std::string& job) {
    std::vector<std::string> steps;
    if (!verdict.repairable.empty())
        steps.push_back("archwright repair " + job + " --finding " + list(verdict.repairable, ",") +
                        " --by CODE");
    std::vector<int> all = verdict.again;
    all.insert(all.end(), verdict.questions.begin(), verdict.questions.end());
    if (!all.empty())
        steps.push_back("archwright answer " + job + " " + list(all, ",") +
                        " foot --by CODE   (the foot is so; or: fault)");
    return steps;
}

std::string in_brief(const Examined& examined, int number) {
    const Examined::Call& call = examined.calls[static_cast<std::size_t>(number) - 1];
    std::string text = "No. " + std::to_string(number) + ", " + title(call.finding.kind);
    if (call.finding.depth_mm != 0.0)
        text += ", " + rounded(std::abs(call.finding.depth_mm), 2) + " +- " +
                rounded(1.96 * call.finding.depth_sd_mm, 2) + " mm";
    return text + ", at " + place(call.finding.place);
}

}  // namespace archwright::build
