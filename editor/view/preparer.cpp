#include "editor/view/preparer.hpp"

#include <utility>

namespace archwright::editor::view {

Preparer::Preparer(std::function<void()> wake) : wake_(std::move(wake)), thread_([this] { work(); }) {}

Preparer::~Preparer() {
    {
        const std::lock_guard guard(mutex_);
        stop_ = true;
    }
    change_.notify_all();
    thread_.join();
}

void Preparer::ask(std::shared_ptr<const model::FootResult> result, const design::FootDesign& foot, Map map) {
    {
        const std::lock_guard guard(mutex_);
        const Side side = result->side;
        wishes_[side] = Wish{std::move(result), foot, map};
    }
    change_.notify_all();
}

void Preparer::ask_map(std::shared_ptr<const Shown> shown, Map map) {
    if (shown->worked_out(map)) return;
    {
        const std::lock_guard guard(mutex_);
        const auto key = std::pair(shown->number(), map);
        maps_.emplace(key, Wish{nullptr, {}, map, std::move(shown)});
    }
    change_.notify_all();
}

std::vector<std::shared_ptr<const Shown>> Preparer::take() {
    const std::lock_guard guard(mutex_);
    std::vector<std::shared_ptr<const Shown>> all;
    for (auto& [side, shown] : std::exchange(ready_, {})) all.push_back(std::move(shown));
    return all;
}

bool Preparer::idle() const {
    const std::lock_guard guard(mutex_);
    return wishes_.empty() && maps_.empty() && !busy_;
}

void Preparer::wait() {
    std::unique_lock guard(mutex_);
    change_.wait(guard, [&] { return wishes_.empty() && maps_.empty() && !busy_; });
}

void Preparer::work() {
    std::unique_lock guard(mutex_);
    for (;;) {
        change_.wait(guard, [&] { return stop_ || !wishes_.empty() || !maps_.empty(); });
        if (stop_) return;
        Wish wish;
        if (!wishes_.empty()) {
            wish = std::move(wishes_.begin()->second);
            wishes_.erase(wishes_.begin());
        } else {
            wish = maps_.begin()->second;
        }
        const std::shared_ptr<const Shown> before =
            wish.result && last_.count(wish.result->side) != 0 ? last_.at(wish.result->side) : nullptr;
        busy_ = true;
        guard.unlock();
        std::shared_ptr<const Shown> made;
        try {
            if (wish.shown)
                wish.shown->work_out(wish.map);
            else
                made = Shown::make(wish.result, wish.foot, before.get());
            if (made) made->work_out(wish.map);
        } catch (const std::exception&) {
            made.reset();  // no memory for it: what was shown stays
        }
        guard.lock();
        if (wish.shown) maps_.erase(std::pair(wish.shown->number(), wish.map));
        if (made) {
            last_[made->side()] = made;
            ready_[made->side()] = made;
            // it can be drawn; what is asked of it by hand comes after
            guard.unlock();
            change_.notify_all();
            if (wake_) wake_();
            made->finish();
            guard.lock();
        }
        busy_ = false;
        change_.notify_all();
        if (wake_) wake_();
    }
}

}  // namespace archwright::editor::view
