#include "engine/mesh/bvh.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "engine/base/parallel.hpp"
#include "engine/mesh/bvh_boxes.hpp"

namespace archwright {

using namespace bvh;

namespace {

constexpr std::size_t bins = 16;   // of the surface area heuristic
constexpr Index task_size = 8192;  // subtrees of at most this many triangles are built as one task
constexpr std::size_t pair_task_goal = 96;

struct FloatBox {
    std::array<float, 3> low{std::numeric_limits<float>::max(), std::numeric_limits<float>::max(),
                             std::numeric_limits<float>::max()};
    std::array<float, 3> high{-std::numeric_limits<float>::max(), -std::numeric_limits<float>::max(),
                              -std::numeric_limits<float>::max()};

    void add(const FloatBox& other) {
        for (std::size_t k = 0; k < 3; ++k) {
            low[k] = std::min(low[k], other.low[k]);
            high[k] = std::max(high[k], other.high[k]);
        }
    }
    double half_area() const {
        const double x = static_cast<double>(high[0]) - static_cast<double>(low[0]);
        const double y = static_cast<double>(high[1]) - static_cast<double>(low[1]);
        const double z = static_cast<double>(high[2]) - static_cast<double>(low[2]);
        return x * y + y * z + z * x;
    }
    float centre2(std::size_t k) const { return low[k] + high[k]; }
};

/// A triangle while the tree is built.
struct Item {
    FloatBox box;
    Index triangle;
};

}  // namespace

// --- building -------------------------------------------------------------------------------------

struct Bvh::Builder {
    std::vector<Item>& items;

    static Node node_of(const FloatBox& box) {
        Node node{};
        for (std::size_t k = 0; k < 3; ++k) {
            node.low[k] = box.low[k];
            node.high[k] = box.high[k];
        }
        return node;
    }

    FloatBox bounds(Index begin, Index end) const {
        FloatBox box;
        for (Index i = begin; i < end; ++i) box.add(items[static_cast<std::size_t>(i)].box);
        return box;
    }

    /// Divides [begin, end) in two by the surface area heuristic over binned centres; by halves where that
    /// finds no division. Returns the middle.
    Index divide(Index begin, Index end, int depth) {
        std::array<float, 3> low{}, high{};
        low.fill(std::numeric_limits<float>::max());
        high.fill(-std::numeric_limits<float>::max());
        for (Index i = begin; i < end; ++i)
            for (std::size_t k = 0; k < 3; ++k) {
                const float c = items[static_cast<std::size_t>(i)].box.centre2(k);
                low[k] = std::min(low[k], c);
                high[k] = std::max(high[k], c);
            }
        std::size_t axis = 0;
        for (std::size_t k = 1; k < 3; ++k)
            if (high[k] - low[k] > high[axis] - low[axis]) axis = k;
        const float extent = high[axis] - low[axis];
        const auto first = items.begin() + begin;
        if (!(extent > 0.0f) || !std::isfinite(extent) || depth > depth_limit) return halve(begin, end, axis);

        const float scale = static_cast<float>(bins) * 0.999f / extent;
        const auto bin_of = [&](const Item& item) {
            return std::min(bins - 1, static_cast<std::size_t>((item.box.centre2(axis) - low[axis]) * scale));
        };
        std::array<FloatBox, bins> box;
        std::array<Index, bins> count{};
        for (Index i = begin; i < end; ++i) {
            const Item& item = items[static_cast<std::size_t>(i)];
            const std::size_t b = bin_of(item);
            box[b].add(item.box);
            ++count[b];
        }
        std::array<double, bins> cost_right{};
        FloatBox grown;
        Index n = 0;
        for (std::size_t b = bins - 1; b > 0; --b) {
            if (count[b] > 0) grown.add(box[b]);
            n += count[b];
            cost_right[b] = n > 0 ? grown.half_area() * n : 0.0;
        }
        double best = std::numeric_limits<double>::infinity();
        std::size_t cut = 0;
        grown = FloatBox{};
        n = 0;
        for (std::size_t b = 0; b + 1 < bins; ++b) {
            if (count[b] > 0) grown.add(box[b]);
            n += count[b];
            if (n == 0 || n == end - begin) continue;
            const double cost = grown.half_area() * n + cost_right[b + 1];
            if (cost < best) {
                best = cost;
                cut = b;
            }
        }
        if (!(best < std::numeric_limits<double>::infinity())) return halve(begin, end, axis);
        const auto middle =
            std::partition(first, items.begin() + end, [&](const Item& item) { return bin_of(item) <= cut; });
        return static_cast<Index>(middle - items.begin());
    }

    Index halve(Index begin, Index end, std::size_t axis) {
        const Index middle = begin + (end - begin) / 2;
        std::nth_element(items.begin() + begin, items.begin() + middle, items.begin() + end,
                         [axis](const Item& a, const Item& b) {
                             const float ca = a.box.centre2(axis);
                             const float cb = b.box.centre2(axis);
                             return ca != cb ? ca < cb : a.triangle < b.triangle;
                         });
        return middle;
    }

    /// Fills nodes[at] and what lies below it from items [begin, end). Subtrees of at most `stop` items are
    /// left as leaves with a large count when `stop` is above leaf_size, to be built elsewhere.
    void build(std::vector<Node>& nodes, std::size_t at, Index begin, Index end, int depth, Index stop) {
        nodes[at] = node_of(bounds(begin, end));
        if (end - begin <= stop) {
            nodes[at].first = begin;
            nodes[at].count = end - begin;
            return;
        }
        const Index middle = divide(begin, end, depth);
        const auto children = nodes.size();
        nodes[at].first = static_cast<Index>(children);
        nodes[at].count = 0;
        nodes.resize(children + 2);
        build(nodes, children, begin, middle, depth + 1, stop);
        build(nodes, children + 1, middle, end, depth + 1, stop);
    }
};

Bvh::Bvh(const TriangleMesh& mesh) : mesh_(mesh) {
    const std::size_t count = mesh.triangles.size();
    if (count == 0) return;
    std::vector<Item> items(count);
    parallel_for(count, 16384, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Box3 box = triangle_box(mesh, static_cast<Index>(i));
            for (Index k = 0; k < 3; ++k) {
                items[i].box.low[static_cast<std::size_t>(k)] = round_down(box.low[k]);
                items[i].box.high[static_cast<std::size_t>(k)] = round_up(box.high[k]);
            }
            items[i].triangle = static_cast<Index>(i);
        }
    });

    // The upper tree on this thread, then the subtrees at once, appended in order: the same tree always.
    Builder builder{items};
    nodes_.resize(1);
    builder.build(nodes_, 0, 0, static_cast<Index>(count), 0, task_size);
    std::vector<std::size_t> tasks;
    for (std::size_t i = 0; i < nodes_.size(); ++i)
        if (nodes_[i].count > leaf_size) tasks.push_back(i);
    std::vector<std::vector<Node>> subtrees(tasks.size());
    parallel_for(tasks.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Node& top = nodes_[tasks[i]];
            subtrees[i].reserve(static_cast<std::size_t>(top.count));
            subtrees[i].resize(1);
            builder.build(subtrees[i], 0, top.first, top.first + top.count, depth_limit / 2, leaf_size);
        }
    });
    for (std::size_t i = 0; i < tasks.size(); ++i) {
        const auto base = static_cast<Index>(nodes_.size()) - 1;  // node 1 of the subtree lands at the end
        for (Node& node : subtrees[i])
            if (node.count == 0) node.first += base;
        nodes_[tasks[i]] = subtrees[i][0];
        nodes_.insert(nodes_.end(), subtrees[i].begin() + 1, subtrees[i].end());
        subtrees[i] = {};
    }
    order_.resize(count);
    for (std::size_t i = 0; i < count; ++i) order_[i] = items[i].triangle;
    share_out_pairs();
}

Bvh::Bvh(const TriangleMesh& mesh, const Bvh& like) : mesh_(mesh), nodes_(like.nodes_), order_(like.order_) {
    if (nodes_.empty()) return;
    const auto set = [](Node& node, const FloatBox& box) {
        for (std::size_t k = 0; k < 3; ++k) {
            node.low[k] = box.low[k];
            node.high[k] = box.high[k];
        }
    };
    parallel_for(nodes_.size(), 2048, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            Node& node = nodes_[i];
            FloatBox box;
            for (Index k = 0; k < node.count; ++k) {
                const Box3 one = triangle_box(mesh, order_[static_cast<std::size_t>(node.first + k)]);
                FloatBox rounded;
                for (Index axis = 0; axis < 3; ++axis) {
                    rounded.low[static_cast<std::size_t>(axis)] = round_down(one.low[axis]);
                    rounded.high[static_cast<std::size_t>(axis)] = round_up(one.high[axis]);
                }
                box.add(rounded);
            }
            if (node.count > 0) set(node, box);
        }
    });
    // children stand behind their parent
    for (std::size_t i = nodes_.size(); i-- > 0;) {
        Node& node = nodes_[i];
        if (node.count > 0) continue;
        const Node &a = nodes_[static_cast<std::size_t>(node.first)],
                   &b = nodes_[static_cast<std::size_t>(node.first) + 1];
        for (int k = 0; k < 3; ++k) {
            node.low[k] = std::min(a.low[k], b.low[k]);
            node.high[k] = std::max(a.high[k], b.high[k]);
        }
    }
    share_out_pairs();
}

void Bvh::share_out_pairs() {
    // Pairs of nodes to start from, found level by level until there are enough for any number of cores.
    std::vector<std::pair<Index, Index>> level{{0, 0}};
    while (level.size() < pair_task_goal) {
        std::vector<std::pair<Index, Index>> finer;
        bool divided = false;
        const auto keep = [&](Index a, Index b) {
            if (a == b ||
                boxes_touch(nodes_[static_cast<std::size_t>(a)], nodes_[static_cast<std::size_t>(b)]))
                finer.emplace_back(a, b);
        };
        for (const auto& [a, b] : level) {
            const Node& na = nodes_[static_cast<std::size_t>(a)];
            const Node& nb = nodes_[static_cast<std::size_t>(b)];
            if (na.count > 0 || nb.count > 0) {
                finer.emplace_back(a, b);
                continue;
            }
            divided = true;
            if (a == b) {
                keep(na.first, na.first);
                keep(na.first + 1, na.first + 1);
                keep(na.first, na.first + 1);
            } else {
                for (Index i = 0; i < 2; ++i)
                    for (Index j = 0; j < 2; ++j) keep(na.first + i, nb.first + j);
            }
        }
        level = std::move(finer);
        if (!divided) break;
    }
    pair_tasks_ = std::move(level);
}

// --- pairs ----------------------------------------------------------------------------------------

template <class Body>
void Bvh::pairs_below(Index a, Index b, Body&& body) const {
    const Node& na = nodes_[static_cast<std::size_t>(a)];
    const Node& nb = nodes_[static_cast<std::size_t>(b)];
    if (a == b) {
        if (na.count == 0) {
            pairs_below(na.first, na.first, body);
            pairs_below(na.first + 1, na.first + 1, body);
            pairs_below(na.first, na.first + 1, body);
            return;
        }
    } else {
        if (!boxes_touch(na, nb)) return;
        if (na.count == 0 || nb.count == 0) {
            // open the one with children; of two, the larger
            const auto size = [](const Node& n) {
                return (n.high[0] - n.low[0]) + (n.high[1] - n.low[1]) + (n.high[2] - n.low[2]);
            };
            if (nb.count > 0 || (na.count == 0 && size(na) >= size(nb))) {
                pairs_below(na.first, b, body);
                pairs_below(na.first + 1, b, body);
            } else {
                pairs_below(a, nb.first, body);
                pairs_below(a, nb.first + 1, body);
            }
            return;
        }
    }
    std::array<Box3, leaf_size> boxes;
    for (Index j = 0; j < nb.count; ++j)
        boxes[static_cast<std::size_t>(j)] =
            triangle_box(mesh_, order_[static_cast<std::size_t>(nb.first + j)]);
    for (Index i = 0; i < na.count; ++i) {
        const Index ti = order_[static_cast<std::size_t>(na.first + i)];
        const Box3 box = a == b ? boxes[static_cast<std::size_t>(i)] : triangle_box(mesh_, ti);
        for (Index j = a == b ? i + 1 : 0; j < nb.count; ++j) {
            if (!boxes_touch(box, boxes[static_cast<std::size_t>(j)])) continue;
            const Index tj = order_[static_cast<std::size_t>(nb.first + j)];
            body(std::min(ti, tj), std::max(ti, tj));
        }
    }
}

void Bvh::overlapping_pairs(const std::function<void(std::size_t, std::int32_t, std::int32_t)>& body) const {
    parallel_for(pair_tasks_.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t part = begin; part < end; ++part)
            pairs_below(pair_tasks_[part].first, pair_tasks_[part].second,
                        [&](Index a, Index b) { body(part, a, b); });
    });
}

}  // namespace archwright
