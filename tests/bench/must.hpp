// The benchmark needs what it asks for: where it does not get it, it says so and ends.
#pragma once

#include <cstdio>
#include <cstdlib>
#include <utility>

#include "engine/base/outcome.hpp"

namespace archwright::bench {

template <class T>
T must(Outcome<T> outcome) {
    if (outcome) return std::move(outcome).value();
    std::fprintf(stderr, "bench: %s\n", outcome.fault().message.c_str());
    std::exit(1);
}

}  // namespace archwright::bench
