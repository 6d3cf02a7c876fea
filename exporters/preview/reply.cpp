#include "exporters/preview/reply.hpp"

#include <charconv>
#include <map>

#include "engine/base/text.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::exporters::preview {

namespace {

constexpr std::string_view reply_begins = "ARCHWRIGHT REPLY 1", reply_ends = "END OF REPLY",
                           reply_of_any = "ARCHWRIGHT REPLY";

/// Runs of blanks (the hard one of mails too, U+00A0) as one; none at the ends.
std::string settled(std::string_view text) {
    std::string out;
    bool blank = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool hard = text.substr(i, 2) == "\xC2\xA0";
        if (hard || text[i] == ' ' || text[i] == '\t' || text[i] == '\r' || text[i] == '\n') {
            blank = true;
            if (hard) ++i;
            continue;
        }
        if (blank && !out.empty()) out += ' ';
        blank = false;
        out += text[i];
    }
    return out;
}

/// FNV-1a, 32 bits (Fowler, Noll, Vo), of lines "key: value", as eight hexadecimal digits: no seal, it finds
/// what a mail program changed.
std::string check_of(const std::vector<std::pair<std::string, std::string>>& lines) {
    std::uint32_t hash = 2166136261U;
    const auto add = [&](std::string_view text) {
        for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 16777619U;
    };
    for (const auto& [key, value] : lines) {
        add(key);
        add(": ");
        add(value);
        add("\n");
    }
    std::string out;
    for (int shift = 28; shift >= 0; shift -= 4) out += "0123456789abcdef"[hash >> shift & 15U];
    return out;
}

struct KeyLine {
    std::string key, value;
    std::size_t number = 0;  ///< of the line it began on, from 1
};

/// "question 3" and "place 3" with a number of 1 to most_questions, or one of the plain keys.
bool known_key(std::string_view key) {
    for (const std::string_view plain : {"case", "side", "revision", "fingerprint", "answer", "by", "check"})
        if (key == plain) return true;
    for (const std::string_view counted : {"question ", "place "}) {
        if (!key.starts_with(counted)) continue;
        const std::string_view digits = key.substr(counted.size());
        std::size_t number = 0;
        const auto read = std::from_chars(digits.data(), digits.data() + digits.size(), number);
        return read.ec == std::errc() && read.ptr == digits.data() + digits.size() && number >= 1 &&
               number <= most_questions && digits.front() != '0';
    }
    return false;
}

Fault reply_fault(std::size_t line, const std::string& what) {
    return {
        FaultKind::input,
        "reply",
        (line == 0 ? std::string("The reply") : "The reply, line " + std::to_string(line) + ":") + " " + what,
        {}};
}

/// The lines of the one reply in the text, broken ones joined.
Outcome<std::vector<KeyLine>> lines_of(std::string_view text) {
    std::vector<KeyLine> lines;
    std::size_t number = 0, replies = 0;
    bool inside = false, whole = false;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        std::string line = settled(text.substr(at, end - at));
        at = end + 1;
        ++number;
        while (line.starts_with(">")) line = settled(std::string_view(line).substr(1));
        if (line.starts_with(reply_of_any)) {
            if (line != reply_begins)
                return reply_fault(number, "\"" + line.substr(0, 40) +
                                               "\" is of another version; this program reads \"" +
                                               std::string(reply_begins) + "\".");
            if (++replies > 1)
                return reply_fault(number, "a second reply begins here; keep the one that counts.");
            inside = true;
            continue;
        }
        if (!inside || line.empty()) continue;
        if (line == reply_ends) {
            inside = false;
            whole = true;
            continue;
        }
        const std::size_t colon = line.find(':');
        const std::string key = colon == std::string::npos ? std::string() : line.substr(0, colon);
        if (known_key(key)) {
            lines.push_back({key, settled(std::string_view(line).substr(colon + 1)), number});
        } else if (lines.empty()) {
            return reply_fault(number, "\"" + line.substr(0, 40) + "\" belongs to no key.");
        } else {  // broken by a mail program
            std::string& value = lines.back().value;
            value += (value.empty() ? "" : " ") + line;
        }
    }
    if (replies == 0)
        return reply_fault(0, "is not there: no line says \"" + std::string(reply_begins) +
                                  "\". Copy the text under the preview from its first to its last line.");
    if (!whole)
        return reply_fault(0, "is cut off: no line says \"" + std::string(reply_ends) +
                                  "\". Copy the text under the preview from its first to its last line.");
    return lines;
}

/// "112.3 15.2 3.4 foot side"
bool read_place(const std::string& value, Question& into) {
    Vec3 place = Vec3::Zero();
    std::size_t at = 0;
    for (int k = 0; k < 3; ++k) {
        const std::size_t end = std::min(value.find(' ', at), value.size());
        const auto number = parse_number(std::string_view(value).substr(at, end - at));
        constexpr double farthest = 1000.0;
        if (!number || !(std::abs(*number) <= farthest)) return false;
        place[k] = *number;
        at = std::min(end + 1, value.size());
    }
    into.on = value.substr(at);
    into.place = place;
    return into.on == "foot side" || into.on == "underside" || into.on == "edge";
}

std::string place_value(const Question& question) {
    const Vec3& p = *question.place;
    return rounded(p.x(), 1) + " " + rounded(p.y(), 1) + " " + rounded(p.z(), 1) + " " + question.on;
}

}  // namespace

Outcome<Reply> parse_reply(std::string_view text) {
    if (text.size() > most_reply_bytes)
        return reply_fault(0, "has " + std::to_string(text.size()) + " bytes; the most is " +
                                  std::to_string(most_reply_bytes) + ".");
    const auto lines = lines_of(text);
    if (!lines) return lines.fault();
    Reply reply;
    std::map<std::string, KeyLine> found;
    std::vector<std::pair<std::string, std::string>> checked;
    for (const KeyLine& line : *lines) {
        if (!found.emplace(line.key, line).second)
            return reply_fault(line.number, "\"" + line.key + "\" stands twice.");
        if (line.key != "check") checked.emplace_back(line.key, line.value);
    }
    for (const char* key : {"case", "side", "revision", "fingerprint", "answer", "check"})
        if (found.count(key) == 0) return reply_fault(0, std::string("lacks its line \"") + key + ":\".");
    const auto wrong = [&](const char* key, const std::string& rule) {
        const KeyLine& line = found[key];
        return reply_fault(line.number,
                           std::string(key) + " " + design::in_quotes(line.value) + ": " + rule + ".");
    };
    using design::TextKind;
    for (const auto& [key, kind] :
         {std::pair{"case", TextKind::code}, std::pair{"revision", TextKind::letter},
          std::pair{"fingerprint", TextKind::fingerprint}, std::pair{"by", TextKind::code}}) {
        if (found.count(key) == 0) continue;
        const std::string& value = found[key].value;
        if (std::string(key) == "by" && value.empty()) continue;
        if (const std::string trouble = design::text_trouble(value, kind); value.empty() || !trouble.empty())
            return wrong(key, value.empty() ? "it is empty" : trouble);
    }
    reply.case_code = found["case"].value;
    reply.revision = found["revision"].value;
    reply.fingerprint = found["fingerprint"].value;
    if (found.count("by") != 0) reply.by = found["by"].value;
    const std::string side = found["side"].value, answer = found["answer"].value;
    if (side != "left" && side != "right") return wrong("side", "left or right");
    reply.side = side == "left" ? Side::left : Side::right;
    if (answer != "accepted" && answer != "questions") return wrong("answer", "accepted or questions");
    reply.accepted = answer == "accepted";
    for (std::size_t k = 1; k <= most_questions; ++k) {
        const std::string key = "question " + std::to_string(k), place = "place " + std::to_string(k);
        if (found.count(key) == 0) {
            if (found.count(place) != 0)
                return reply_fault(found[place].number, "\"" + place + "\" has no question.");
            continue;
        }
        Question question;
        question.text = found[key].value;
        if (question.text.empty()) return reply_fault(found[key].number, "the question is empty.");
        if (question.text.size() > 4 * longest_question)
            return reply_fault(found[key].number, "the question is longer than " +
                                                      std::to_string(longest_question) + " characters.");
        if (const std::string trouble = design::text_trouble(question.text, TextKind::words);
            !trouble.empty() && question.text.size() <= design::longest_words)
            return reply_fault(found[key].number, "the question: " + trouble + ".");
        if (found.count(place) != 0 && !read_place(found[place].value, question))
            return reply_fault(found[place].number,
                               "a place is three numbers of mm and foot side, underside or edge.");
        reply.questions.push_back(std::move(question));
    }
    if (reply.accepted && !reply.questions.empty())
        return reply_fault(0, "accepts and asks at once; ask the sender which it is.");
    if (!reply.accepted && reply.questions.empty()) return reply_fault(0, "asks, but holds no question.");
    reply.whole = found["check"].value == check_of(checked);
    return reply;
}

std::string write_reply(const Reply& reply) {
    std::vector<std::pair<std::string, std::string>> lines{
        {"case", reply.case_code},
        {"side", word(reply.side)},
        {"revision", reply.revision},
        {"fingerprint", reply.fingerprint},
        {"answer", reply.accepted ? "accepted" : "questions"}};
    if (!reply.by.empty()) lines.emplace_back("by", reply.by);
    for (std::size_t k = 0; k < reply.questions.size(); ++k) {
        const std::string number = std::to_string(k + 1);
        lines.emplace_back("question " + number, settled(reply.questions[k].text));
        if (reply.questions[k].place) lines.emplace_back("place " + number, place_value(reply.questions[k]));
    }
    std::string out = std::string(reply_begins) + "\n";
    for (const auto& [key, value] : lines) out += key + ": " + value + "\n";
    return out + "check: " + check_of(lines) + "\n" + std::string(reply_ends) + "\n";
}

std::string not_of_it(const Reply& reply, const design::Job& job) {
    const std::string theirs = reply.case_code + " " + word(reply.side) + ", revision " + reply.revision;
    if (reply.case_code != job.case_code || !job.foot(reply.side))
        return "The reply is of " + theirs + "; this job is " + job.case_code +
               (job.foot(reply.side) ? std::string()
                                     : std::string(" and has no ") + word(reply.side) + " foot") +
               ". Find the job it belongs to.";
    if (reply.fingerprint != design::fingerprint(job, reply.side) || reply.revision != job.revision())
        return "The reply is of " + theirs +
               ", as it was when its preview was written. The design was changed since (revision " +
               job.revision() + " now): make a new preview and ask again.";
    return {};
}

std::vector<std::string> reply_told(const Reply& reply, const design::Job& job) {
    std::vector<std::string> told;
    const std::string who = reply.by.empty() ? std::string("Somebody who gave no code") : reply.by;
    if (!reply.whole)
        told.push_back(
            "The text was changed on its way (its check does not agree): compare it with the sender's.");
    const std::string apart_from = not_of_it(reply, job);
    told.push_back(apart_from.empty() ? "The reply is of the design as it is: " + reply.case_code + " " +
                                            word(reply.side) + ", revision " + reply.revision + "."
                                      : apart_from);
    if (reply.accepted) {
        told.push_back(who + " accepts the design.");
        const design::Approval* holds = design::valid_approval(job, reply.side);
        if (holds != nullptr)
            told.push_back("It is approved already, by " + holds->by + ".");
        else if (apart_from.empty() && reply.whole)
            told.push_back(
                "Nothing was recorded. Where the answer is the prescriber's own, record it: archwright "
                "approve JOB --by " +
                (reply.by.empty() ? std::string("CODE") : reply.by) + " --date YYYY-MM-DD --foot " +
                word(reply.side) + " (or at Make in the editor).");
    } else {
        told.push_back(who + " asks:");
    }
    for (std::size_t k = 0; k < reply.questions.size(); ++k) {
        const Question& question = reply.questions[k];
        told.push_back("  " + std::to_string(k + 1) + ". " + question.text);
        if (question.place) told.push_back("     at " + place(*question.place) + ", " + question.on);
    }
    return told;
}

nlohmann::ordered_json reply_json(const Reply& reply, const design::Job& job) {
    nlohmann::ordered_json questions = nlohmann::ordered_json::array();
    for (const Question& question : reply.questions) {
        nlohmann::ordered_json one{{"text", question.text}};
        if (question.place) {
            one["place_mm"] = {question.place->x(), question.place->y(), question.place->z()};
            one["on"] = question.on;
        }
        questions.push_back(std::move(one));
    }
    const std::string apart_from = not_of_it(reply, job);
    return {{"case", reply.case_code},
            {"side", word(reply.side)},
            {"revision", reply.revision},
            {"fingerprint", reply.fingerprint},
            {"by", reply.by},
            {"answer", reply.accepted ? "accepted" : "questions"},
            {"questions", questions},
            {"whole", reply.whole},
            {"fits", apart_from.empty()},
            {"why_not", apart_from}};
}

}  // namespace archwright::exporters::preview
