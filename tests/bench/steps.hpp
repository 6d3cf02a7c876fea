// The product's own steps.
#pragma once

#include <filesystem>

#include "engine/surface/shell.hpp"
#include "tests/bench/runner.hpp"

namespace archwright::bench {

/// A cast file of so many triangles, made once in `folder`.
std::filesystem::path cast_of(std::size_t triangles, const std::filesystem::path& folder);

/// Reading to carpet, step by step, at one size of cast.
void run_reading(std::size_t triangles, const std::filesystem::path& folder, std::vector<Figure>& figures);

/// What an edit costs, on the shell of a 500k cast: plain, and with a groove across it.
void run_edits(const std::filesystem::path& folder, std::vector<Figure>& figures);

/// What an edit of a relief or pad costs: the preview, and the stage done again.
void run_feature_edits(const std::filesystem::path& folder, std::vector<Figure>& figures);

/// The shell's own steps (underside, mesh, gates, solid, files).
void run_shell(const std::filesystem::path& folder, std::vector<Figure>& figures);

/// `archwright make` as a whole process.
void run_make(std::size_t triangles, const std::filesystem::path& program,
              const std::filesystem::path& folder, std::vector<Figure>& figures);

/// The shell that edits and peers work on.
surface::Shell bench_shell(const std::filesystem::path& folder);

}  // namespace archwright::bench
