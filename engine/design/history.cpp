#include "engine/design/history.hpp"

#include <string_view>
#include <unordered_map>

#include "engine/design/job_file.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

namespace {

/// Cuts a job's tree into texts: each member of the case and of a foot, and within them each entry of a list
/// of groups, so that an edit of one relief shares all the others.
class Cutter {
  public:
    std::vector<std::string> cut(const Json& job) {
        members(job, 1);
        flush();
        return std::move(all_);
    }

  private:
    static constexpr int deep_enough = 2;  // the case, then a foot

    void members(const Json& group, int depth) {
        text_ += '{';
        bool first = true;
        for (const auto& [key, member] : group.members) {
            text_ += (first ? "" : ",") + print(Json::of(key), true) + ":";
            first = false;
            value(member, depth);
        }
        text_ += '}';
    }

    void value(const Json& json, int depth) {
        const bool entries =
            json.kind == Json::Kind::list && !json.items.empty() && json.items[0].kind == Json::Kind::object;
        if (json.kind == Json::Kind::object && depth < deep_enough) {
            flush();
            members(json, depth + 1);
        } else if (entries) {
            text_ += '[';
            for (std::size_t i = 0; i < json.items.size(); ++i) {
                flush();
                text_ += (i == 0 ? "" : ",") + print(json.items[i], true);
            }
            flush();
            text_ += ']';
        } else {
            text_ += print(json, true);
            if (json.kind == Json::Kind::object) flush();
        }
    }

    void flush() {
        if (!text_.empty()) all_.push_back(std::move(text_));
        text_.clear();
    }

    std::string text_;
    std::vector<std::string> all_;
};

/// A shared text with what its memory costs besides: two counters, the text's own head, the allocator's.
constexpr std::size_t piece_overhead = 80;

}  // namespace

bool History::Pieces::operator==(const Pieces& other) const {
    if (size() != other.size()) return false;
    for (std::size_t i = 0; i < size(); ++i)
        if ((*this)[i] != other[i] && *(*this)[i] != *other[i]) return false;
    return true;
}

History::Pieces History::pieces_of(const Job& job, const Pieces& before) {
    std::unordered_map<std::string_view, const Piece*> known;
    for (const Piece& piece : before) known.emplace(*piece, &piece);
    Pieces pieces;
    for (std::string& text : Cutter().cut(job_tree(job))) {
        const auto found = known.find(text);
        pieces.push_back(found != known.end() ? *found->second
                                              : std::make_shared<const std::string>(std::move(text)));
    }
    pieces.shrink_to_fit();
    return pieces;
}

std::size_t History::cost(const State& state, const Pieces* before) {
    std::unordered_map<const std::string*, int> held;
    if (before)
        for (const Piece& piece : *before) held.emplace(piece.get(), 0);
    std::size_t bytes = sizeof(State) + state.label.capacity() + state.pieces.capacity() * sizeof(Piece);
    for (const Piece& piece : state.pieces)
        if (held.emplace(piece.get(), 0).second) bytes += piece->capacity() + piece_overhead;
    return bytes;
}

History::History(const Job& start, std::size_t budget) : budget_(budget) {
    State state{pieces_of(start, {}), {}, 0};
    state.own = bytes_ = cost(state, nullptr);
    saved_ = state.pieces;
    states_.push_back(std::move(state));
}

bool History::record(const Job& job, const std::string& label) {
    Pieces pieces = pieces_of(job, states_[now_].pieces);
    if (pieces == states_[now_].pieces) return false;
    if (open_ && open_step_) drop_last();
    push(std::move(pieces), label.empty() ? open_label_ : label);
    open_step_ = open_;
    return true;
}

void History::begin(const std::string& label) {
    end();
    open_ = true;
    open_label_ = label;
    put_by_.clear();
}

void History::end() {
    if (open_ && open_step_ && now_ > 0 && states_[now_].pieces == states_[now_ - 1].pieces) drop_drag();
    open_ = open_step_ = false;
    put_by_.clear();
}

Outcome<Job> History::drop() {
    if (open_ && open_step_ && now_ > 0) drop_drag();
    open_ = open_step_ = false;
    put_by_.clear();
    return present();
}

void History::push(Pieces pieces, const std::string& label) {
    while (states_.size() > now_ + 1) {
        bytes_ -= states_.back().own;
        if (open_) put_by_.push_front(std::move(states_.back()));
        states_.pop_back();
    }
    State state{std::move(pieces), label, 0};
    state.own = cost(state, &states_.back().pieces);
    bytes_ += state.own;
    states_.push_back(std::move(state));
    ++now_;
    keep_to_budget();
}

void History::drop_last() {
    bytes_ -= states_.back().own;
    states_.pop_back();
    --now_;
}

/// The step of a drag goes, and what lay before it comes back.
void History::drop_drag() {
    drop_last();
    for (State& state : put_by_) {
        bytes_ += state.own;
        states_.push_back(std::move(state));
    }
    put_by_.clear();
}

void History::keep_to_budget() {
    while (bytes_ > budget_ && now_ > 0) {
        bytes_ -= states_[0].own + states_[1].own;
        states_.pop_front();
        states_[0].own = cost(states_[0], nullptr);
        bytes_ += states_[0].own;
        --now_;
        if (now_ == 0) open_step_ = false, put_by_.clear();  // the step of a drag is now where all begins
    }
}

Outcome<Job> History::read(std::size_t state) const {
    std::string text;
    for (const Piece& piece : states_[state].pieces) text += *piece;
    JobReading reading;
    reading.allow_outside = true;  // whether it may was asked when it was opened
    return parse_job(text, "history", reading);
}

Outcome<Job> History::undo() {
    end();
    if (!can_undo()) return Fault{FaultKind::usage, "undo", "There is nothing to undo.", {}};
    --now_;
    return present();
}

Outcome<Job> History::redo() {
    end();
    if (!can_redo()) return Fault{FaultKind::usage, "redo", "There is nothing to redo.", {}};
    ++now_;
    return present();
}

Outcome<Job> History::at(std::size_t step) const {
    if (step >= states_.size())
        return Fault{FaultKind::usage,
                     "undo",
                     "There are " + std::to_string(states_.size() - 1) + " steps, no step " +
                         std::to_string(step) + ".",
                     {}};
    return read(step);
}

Outcome<Job> History::go_to(std::size_t step) {
    end();
    auto job = at(step);
    if (step < states_.size()) now_ = step;
    return job;
}

Outcome<Done> History::rewrite(const std::function<void(Job&)>& change) {
    std::deque<State> states;
    std::size_t bytes = 0;
    for (std::size_t i = 0; i < states_.size(); ++i) {
        auto job = read(i);
        if (!job) return job.fault();
        change(*job);
        const Pieces* before = states.empty() ? nullptr : &states.back().pieces;
        State state{pieces_of(*job, before ? *before : Pieces{}), states_[i].label, 0};
        state.own = cost(state, before);
        bytes += state.own;
        states.push_back(std::move(state));
    }
    states_ = std::move(states);
    bytes_ = bytes;
    put_by_.clear();  // as they were before the change
    return Done{};
}

std::vector<std::string> History::labels() const {
    std::vector<std::string> all;
    for (std::size_t i = 1; i < states_.size(); ++i) all.push_back(states_[i].label);
    return all;
}

void History::mark_saved() {
    saved_ = states_[now_].pieces;
}

}  // namespace archwright::design
