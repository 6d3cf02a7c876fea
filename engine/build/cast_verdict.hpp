// What a person reads first of an examined cast: can it be used, and what is to be done before.
#pragma once

#include "engine/build/device.hpp"

namespace archwright::build {

struct CastVerdict {
    enum class Word {
        sound,       ///< nothing is open
        usable,      ///< questions alone: a person answers them
        repair,      ///< certain faults that can be repaired, or answered
        take_again,  ///< a certain fault that only a new cast takes away, unless it is designed round
                     ///< knowingly
    };
    Word word = Word::sound;
    /// Numbers of open findings, from 1: certain ones that call for a new cast, other certain ones,
    /// questions.
    std::vector<int> again, certain, questions;
    /// Of the certain ones those that can be repaired.
    std::vector<int> repairable;
    std::string sentence;
};

CastVerdict cast_verdict(const Examined& examined);

/// "sound", "usable", "repair", "take_again".
const char* key(CastVerdict::Word word);

/// The commands that follow from it, for a job of this name; empty where nothing is open.
std::vector<std::string> next_steps(const CastVerdict& verdict, const std::string& job);

/// A finding in few words, with its number: "No. 3, crease, 0.62 +- 0.12 mm, at 62, -18, 4 mm".
std::string in_brief(const Examined& examined, int number);

}  // namespace archwright::build
