// A stiffness asked of the device in hand, and the walls that were found: nothing is changed until they are
// accepted.
#pragma once

#include <cstdint>
#include <memory>
#include <string>

#include "engine/ask/question.hpp"
#include "engine/base/side.hpp"

namespace archwright::editor::model {

/// What came of it: shared, never changed. It is of one edition of the job alone.
struct Answered {
    std::uint64_t number = 0;  ///< another for each
    std::uint64_t edition = 0;
    Side side = Side::right;
    std::string targets, walls;  ///< as they were said
    ask::Question question;
    ask::Answer answer;
};

}  // namespace archwright::editor::model
