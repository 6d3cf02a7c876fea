// Undo and redo: every state of a job, kept as text in pieces that states share.
//
// The job is the document, so its text is its state: what reads back from it is the same job to the last bit
// (tested). Pieces that did not change are held once; a step costs what it changed and a list of pointers.
#pragma once

#include <cstddef>
#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"

namespace archwright::design {

class History {
  public:
    /// Bytes of all steps together by default; the oldest are let go beyond it, never the present one.
    static constexpr std::size_t standard_budget = std::size_t{64} << 20;

    explicit History(const Job& start, std::size_t budget = standard_budget);

    /// The job is now this: a new step under a label, and what was undone is gone. Within `begin` and `end`
    /// all of it is one step. No step when the job is as it was. Whether anything changed.
    bool record(const Job& job, const std::string& label);
    /// A drag begins: what is recorded until `end` is one step, under its last label or this one.
    void begin(const std::string& label = {});
    /// It ends; a drag that came back to where it began leaves no step, and what had been undone before it
    /// can be done again.
    void end();
    /// It is given up and leaves no step: what had been undone before it can be done again. The job as it was
    /// before it.
    Outcome<Job> drop();
    bool open() const { return open_; }

    bool can_undo() const { return now_ > 0; }
    bool can_redo() const { return now_ + 1 < states_.size(); }
    /// The job one step back or forward; ends a drag. Fault (usage): there is none.
    Outcome<Job> undo();
    Outcome<Job> redo();
    /// The job as it was after step `step` of `labels`; 0: before all of them.
    Outcome<Job> go_to(std::size_t step);
    /// The same without going there.
    Outcome<Job> at(std::size_t step) const;

    /// Labels of the steps that are kept, oldest first, undone ones too.
    std::vector<std::string> labels() const;
    /// How many of them are done.
    std::size_t position() const { return now_; }

    /// Changes every state the same way, as when the job moves and its files' names follow: no step of its
    /// own. Fault of a state that cannot be read; nothing is changed then.
    Outcome<Done> rewrite(const std::function<void(Job&)>& change);

    /// The job as it is now was saved.
    void mark_saved();
    /// Never: whatever it is now, it differs from the file.
    void mark_unsaved() { saved_.clear(); }
    /// Whether the present job differs from the one that was saved.
    bool modified() const { return !(states_[now_].pieces == saved_); }

    /// Bytes held.
    std::size_t bytes() const { return bytes_; }

  private:
    using Piece = std::shared_ptr<const std::string>;
    /// Texts that follow one another to the text of a job.
    struct Pieces : std::vector<Piece> {
        bool operator==(const Pieces& other) const;
    };
    struct State {
        Pieces pieces;
        std::string label;    ///< of the step that led here
        std::size_t own = 0;  ///< bytes that the state before does not hold
    };

    static Pieces pieces_of(const Job& job, const Pieces& before);
    static std::size_t cost(const State& state, const Pieces* before);
    void push(Pieces pieces, const std::string& label);
    void drop_last();
    void drop_drag();
    void keep_to_budget();
    Outcome<Job> present() const { return read(now_); }
    Outcome<Job> read(std::size_t state) const;

    std::size_t budget_;
    std::deque<State> states_;
    std::size_t now_ = 0;
    std::size_t bytes_ = 0;
    bool open_ = false;       ///< a drag is under way
    bool open_step_ = false;  ///< and has its step already
    std::string open_label_;
    std::deque<State> put_by_;  ///< what was undone before the drag
    Pieces saved_;
};

}  // namespace archwright::design
