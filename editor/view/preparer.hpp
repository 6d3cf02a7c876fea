// What is shown, made behind the screen.
#pragma once

#include <condition_variable>
#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

#include "editor/view/shown.hpp"

namespace archwright::editor::view {

/// Makes what is shown on a thread of its own; of each foot the newest wish wins.
class Preparer {
  public:
    explicit Preparer(std::function<void()> wake);
    ~Preparer();
    Preparer(const Preparer&) = delete;
    Preparer& operator=(const Preparer&) = delete;

    /// With the values of a map that is shown.
    void ask(std::shared_ptr<const model::FootResult> result, const design::FootDesign& foot,
             Map map = Map::none);
    /// The values of a map of what is there already.
    void ask_map(std::shared_ptr<const Shown> shown, Map map);
    /// What came in since the last call, the newest of each side; empty when nothing did.
    std::vector<std::shared_ptr<const Shown>> take();
    bool idle() const;
    void wait();

  private:
    struct Wish {
        std::shared_ptr<const model::FootResult> result;
        design::FootDesign foot;
        Map map = Map::none;
        std::shared_ptr<const Shown> shown{};  ///< its map alone
    };
    void work();

    std::function<void()> wake_;
    mutable std::mutex mutex_;
    std::condition_variable change_;
    std::map<Side, Wish> wishes_;
    std::map<std::pair<std::uint64_t, Map>, Wish> maps_;
    bool busy_ = false, stop_ = false;
    std::map<Side, std::shared_ptr<const Shown>> ready_, last_;
    std::thread thread_;
};

}  // namespace archwright::editor::view
