// What the virtual bench found, for people and for programs.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/build/device.hpp"
#include "engine/build/flex_subject.hpp"
#include "engine/flex/bench.hpp"

namespace archwright::exporters {

/// A named load; without result it says why.
struct FlexLoad {
    flex::LoadCase load = flex::LoadCase::arch_press;
    std::optional<flex::BenchResult> result;
    std::string why_not;
    build::BenchWorth worth{flex::bench_caution, {}};
};

/// The device under all named loads, with what moves each answer unless `variations` is false. Fault only
/// when it was cancelled.
Outcome<std::vector<FlexLoad>> on_bench(const design::Job& job, const build::Device& device,
                                        Progress& progress, bool variations = true);

/// The load's name first, what was found below it, two blanks in.
std::vector<std::string> flex_lines(const FlexLoad& load);
nlohmann::ordered_json flex_json(const FlexLoad& load);
/// What strength and body mass its figures stand on.
std::string flex_about(const design::Job& job, const build::Device& device);
nlohmann::ordered_json flex_about_json(const design::Job& job, const build::Device& device);

}  // namespace archwright::exporters
