// A failure is a value with a place: stage, reason, coordinates.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <variant>

#include "engine/base/vec.hpp"

namespace archwright {

/// What kind of trouble: decides the exit code of the command line (docs/commands.md).
enum class FaultKind {
    usage,      ///< the words of the command or a key of the job are wrong
    input,      ///< a file cannot be read or holds nonsense
    ask,        ///< a person has to state something (side, unit) before work can go on
    check,      ///< a check answered "stop"
    output,     ///< a file could not be written
    cancelled,  ///< a person or a signal ended the work
    internal,   ///< our own mistake
};

/// A failure: what went wrong, where, and what to do about it.
struct Fault {
    FaultKind kind = FaultKind::internal;
    std::string stage;          ///< "read", "receive", "carpet", ...
    std::string message;        ///< one plain sentence or two: what, where, what to do
    std::optional<Vec3> where;  ///< place in the frame the message names, mm
};

/// Either a value or a Fault. Nothing is thrown across our own boundaries.
template <class T>
class [[nodiscard]] Outcome {
  public:
    Outcome(T value) : state_(std::move(value)) {}      // NOLINT(google-explicit-constructor)
    Outcome(Fault fault) : state_(std::move(fault)) {}  // NOLINT(google-explicit-constructor)

    bool ok() const { return state_.index() == 0; }
    explicit operator bool() const { return ok(); }
    T& value() & { return std::get<0>(state_); }
    const T& value() const& { return std::get<0>(state_); }
    T&& value() && { return std::get<0>(std::move(state_)); }
    T* operator->() { return &std::get<0>(state_); }
    const T* operator->() const { return &std::get<0>(state_); }
    T& operator*() & { return std::get<0>(state_); }
    const T& operator*() const& { return std::get<0>(state_); }
    T&& operator*() && { return std::get<0>(std::move(state_)); }
    const Fault& fault() const { return std::get<1>(state_); }

  private:
    std::variant<T, Fault> state_;
};

/// Outcome of work that yields nothing but success.
struct Done {};

}  // namespace archwright
