// Answers read again: as they were written, through mails that quote and break them, and never wrongly.
#include "exporters/preview/reply.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "engine/design/fingerprint.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::exporters::preview;

namespace {

design::Job job_of(const std::string& code) {
    design::Job job;
    job.case_code = code;
    job.left = design::FootDesign{};
    return job;
}

Reply reply_for(const design::Job& job) {
    Reply reply;
    reply.case_code = job.case_code;
    reply.side = Side::left;
    reply.revision = job.revision();
    reply.fingerprint = design::fingerprint(job, Side::left);
    reply.by = "P-12";
    return reply;
}

/// A text as a mail program sends it on: quoted, lines broken at blanks once they are longer than that.
std::string mailed(const std::string& text, std::size_t longest, const std::string& quote) {
    std::string out = "On a day somebody wrote:\r\n", line;
    for (std::size_t at = 0; at < text.size(); ++at) {
        const bool ends = text[at] == '\n';
        if (ends || (text[at] == ' ' && line.size() > longest)) {
            out += quote + line + "\r\n";
            line.clear();
        } else {
            line += text[at];
        }
    }
    return out + "\r\nKind regards\r\n";
}

std::string without(std::string text, const std::string& line) {
    const std::size_t at = text.find(line);
    REQUIRE(at != std::string::npos);
    return text.erase(at, text.find('\n', at) - at + 1);
}

}  // namespace

TEST_CASE("the text is the one that is documented") {
    Reply reply;
    reply.case_code = "WREN-3";
    reply.side = Side::left;
    reply.revision = "B";
    reply.fingerprint = std::string(64, 'a');
    reply.by = "P-12";
    reply.questions = {{"Softer at the heel?", Vec3(112.34, -15.0, 3.0), "foot side"}};
    const std::string text = write_reply(reply);
    // FNV-1a worked out apart (Python, of the eight lines before it)
    CHECK(text ==
          "ARCHWRIGHT REPLY 1\ncase: WREN-3\nside: left\nrevision: B\nfingerprint: " + std::string(64, 'a') +
              "\nanswer: questions\nby: P-12\nquestion 1: Softer at the heel?\nplace 1: 112.3 -15.0 3.0 "
              "foot side\ncheck: fb64510f\nEND OF REPLY\n");
}

TEST_CASE("random answers come back as they were written, through mails too") {
    std::mt19937_64 random(tests::seed());
    const std::vector<std::string> words = {"softer",    "at: the",    "heel?",        "</script>",
                                            "\"lower\"", "Fu\xC3\x9F", "\xE2\x82\xAC", "2 mm",
                                            "<b>",       "&amp;",      "why"};
    for (int k = tests::cases(5000, 500, "answers in mails"); k > 0; --k) {
        const design::Job job = job_of("CASE-" + std::to_string(random() % 1000));
        Reply reply = reply_for(job);
        if (random() % 3 == 0) reply.by.clear();
        const std::size_t questions = random() % 6;
        reply.accepted = questions == 0;
        for (std::size_t q = 0; q < questions; ++q) {
            Question question;
            for (std::size_t n = 1 + random() % 40; n > 0; --n)
                question.text += (question.text.empty() ? "" : " ") + words[random() % words.size()];
            if (random() % 2 == 0) {
                const double x = static_cast<double>(random() % 3000) / 10.0 - 100.0;
                const double y = static_cast<double>(random() % 1000) / 10.0 - 50.0;
                question.place = Vec3(x, y, static_cast<double>(random() % 500) / 10.0);
                question.on = random() % 2 == 0 ? "underside" : "edge";
            }
            reply.questions.push_back(std::move(question));
        }
        const std::string written = write_reply(reply);
        const std::size_t longest = 30 + random() % 60;
        const std::string quote = random() % 2 == 0 ? "> " : random() % 2 == 0 ? "" : "> > ";
        for (const std::string& text : {written, mailed(written, longest, quote)}) {
            const auto read = parse_reply(text);
            INFO(text);
            REQUIRE(read.ok());
            CHECK(read->whole);
            CHECK(read->by == reply.by);
            CHECK(read->accepted == reply.accepted);
            CHECK(not_of_it(*read, job).empty());
            REQUIRE(read->questions.size() == questions);
            for (std::size_t q = 0; q < questions; ++q) {
                CHECK(read->questions[q].text == reply.questions[q].text);
                CHECK(read->questions[q].on == reply.questions[q].on);
                REQUIRE(read->questions[q].place.has_value() == reply.questions[q].place.has_value());
                if (read->questions[q].place)
                    CHECK((*read->questions[q].place - *reply.questions[q].place).norm() < 1e-9);
            }
        }
        // any letter of a value that is another: a fault, or told as changed on its way
        std::string changed = written;
        const std::size_t first = written.find("\n") + 1, last = written.find("END OF REPLY");
        const std::size_t at = first + random() % (last - first - 1);
        if (changed[at] == '\n' || changed[at] == ' ') continue;
        changed[at] = changed[at] == 'x' ? 'y' : 'x';
        const auto read = parse_reply(changed);
        INFO(changed);
        CHECK((!read.ok() || !read->whole));
    }
}

TEST_CASE("an answer fits the design it was of, and no other") {
    design::Job job = job_of("WREN-3");
    const Reply reply = [&] {
        Reply r = reply_for(job);
        r.accepted = r.whole = true;
        return r;
    }();
    CHECK(not_of_it(reply, job).empty());
    CHECK(reply_told(reply, job).back().find("Nothing was recorded") != std::string::npos);

    design::Job edited = job;
    edited.left->wall.base_mm = 3.4;
    CHECK(not_of_it(reply, edited).find("changed since") != std::string::npos);
    for (const std::string& line : reply_told(reply, edited))
        CHECK(line.find("archwright approve") == std::string::npos);
    design::Job revised = job;
    revised.revisions.push_back({"B", "", ""});
    CHECK(not_of_it(reply, revised).find("revision B now") != std::string::npos);
    CHECK(not_of_it(reply, job_of("WREN-4")).find("this job is WREN-4") != std::string::npos);
    design::Job other = job;
    other.right = other.left;
    other.left.reset();
    CHECK(not_of_it(reply, other).find("has no left foot") != std::string::npos);
    // an approval that holds is told, not asked for again
    design::Job approved = job;
    approved.left->approvals.push_back({"A", "P-12", "2026-11-20", reply.fingerprint});
    CHECK(reply_told(reply, approved).back().find("approved already") != std::string::npos);
}

TEST_CASE("what is no answer is refused with its line") {
    const design::Job job = job_of("WREN-3");
    Reply reply = reply_for(job);
    reply.questions = {{"Lower?", std::nullopt, ""}};
    const std::string good = write_reply(reply);
    const auto refused = [](const std::string& text, const std::string& why) {
        const auto read = parse_reply(text);
        INFO(text << "\nwanted: " << why);
        REQUIRE_FALSE(read.ok());
        INFO(read.fault().message);
        CHECK(read.fault().kind == FaultKind::input);
        CHECK(read.fault().message.find(why) != std::string::npos);
    };
    refused("", "no line says");
    refused("hello\nall good\n", "no line says \"ARCHWRIGHT REPLY 1\"");
    refused(without(good, "END OF REPLY"), "is cut off");
    refused(good + good, "line 11: a second reply");
    for (const char* key : {"case", "side", "revision", "fingerprint", "answer", "check"})
        refused(without(good, std::string(key) + ": "), std::string("lacks its line \"") + key);
    refused(without(good, "question 1"), "holds no question");
    const auto with = [&](const std::string& line, const std::string& instead) {
        std::string text = good;
        const std::size_t at = text.find("\n" + line) + 1;
        return text.replace(at, text.find('\n', at) - at, instead);
    };
    refused(with("case: ", "case: a b/../c"), "line 2: case");
    refused(with("side: ", "side: both"), "left or right");
    refused(with("revision: ", "revision: 7"), "revision");
    refused(with("fingerprint: ", "fingerprint: 1234"), "fingerprint");
    refused(with("answer: ", "answer: perhaps"), "accepted or questions");
    refused(with("answer: ", "answer: accepted"), "accepts and asks at once");
    refused(with("question 1: ", "question 1:"), "the question is empty");
    refused(with("question 1: ", "question 1: x\nquestion 1: y"), "stands twice");
    refused(with("question 1: ", "question 1: x\nplace 1: 1 2 foot side"), "a place is three numbers");
    refused(with("question 1: ", "question 1: x\nplace 1: 1 2 nan edge"), "a place is three numbers");
    refused(with("question 1: ", "question 1: x\nplace 1: 1 2 9e9 edge"), "a place is three numbers");
    refused(with("question 1: ", "question 1: x\nplace 2: 1 2 3 edge"), "has no question");
    refused("ARCHWRIGHT REPLY 2\n", "another version");
    refused(std::string(most_reply_bytes + 1, 'x'), "bytes; the most is");
}

TEST_CASE("random bytes and random lines are never an answer, a crash or a hang") {
    std::mt19937_64 random(tests::seed());
    const design::Job job = job_of("WREN-3");
    Reply reply = reply_for(job);
    reply.questions = {{"Lower?", Vec3(1, 2, 3), "edge"}, {"Softer?", std::nullopt, ""}};
    const std::string good = write_reply(reply);
    for (int k = tests::cases(20000, 2000, "mangled answers"); k > 0; --k) {
        std::string text = good;
        for (std::size_t n = 1 + random() % 4; n > 0; --n) {
            const std::size_t at = random() % text.size(), length = random() % 20;
            switch (random() % 3) {
                case 0:
                    text.erase(at, length);
                    break;
                case 1:
                    text.insert(at, std::string(1 + random() % 3, static_cast<char>(random() % 256)));
                    break;
                default:
                    text.insert(at, text.substr(random() % text.size(), length));
                    break;
            }
            if (text.empty()) break;
        }
        const auto read = parse_reply(text);
        if (read.ok() && read->whole) CHECK(write_reply(*read).find("ARCHWRIGHT REPLY 1") == 0);
    }
}
