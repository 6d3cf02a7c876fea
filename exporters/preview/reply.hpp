// The answer to a preview: the text a clinician sends back, read again.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/base/vec.hpp"
#include "engine/design/job.hpp"

namespace archwright::exporters::preview {

/// A question, and where on the shell it was asked.
struct Question {
    std::string text;
    std::optional<Vec3> place;  ///< design frame, mm
    std::string on;             ///< "foot side", "underside", "edge"; empty without a place
};

struct Reply {
    std::string case_code, revision, fingerprint, by;
    Side side = Side::right;
    bool accepted = false;
    std::vector<Question> questions;
    bool whole = false;  ///< its check agrees: nothing was changed on the way
};

inline constexpr std::size_t most_questions = 40, longest_question = 1000, most_reply_bytes = 1 << 20;

/// Reads a reply out of any text, a mail for one: what stands before "ARCHWRIGHT REPLY 1" and behind "END OF
/// REPLY" is passed over, as are marks of quotation ("> "), blanks and broken lines. Faults (input) name the
/// line: no reply, more than one, none whole, a key unknown, missing or twice, a value that is wrong.
Outcome<Reply> parse_reply(std::string_view text);

/// The text as the page writes it (docs/preview.md).
std::string write_reply(const Reply& reply);

/// Why the reply is not of the job as it is, a sentence with what to do; empty when it is.
std::string not_of_it(const Reply& reply, const design::Job& job);

/// What a person is told of it, and the same for programs. `fits`: not_of_it is empty.
std::vector<std::string> reply_told(const Reply& reply, const design::Job& job);
nlohmann::ordered_json reply_json(const Reply& reply, const design::Job& job);

}  // namespace archwright::exporters::preview
