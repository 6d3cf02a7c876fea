// Times steps: median of five, peak memory of each, exponents of growth.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace archwright::bench {

struct Figure {
    std::string step;
    double size = 0.0;  ///< triangles of the cast, or 0 where it does not matter
    double median_s = 0.0, least_s = 0.0, most_s = 0.0;
    double peak_mb =
        0.0;  ///< greatest resident memory of the process while it ran, above what was there before
    std::optional<double> goal_s;
    std::string note;
};

/// Runs once to warm up, then five times. `work` returns a note.
Figure measure(const std::string& step, double size, const std::function<std::string()>& work);

/// The same for work that holds the watch itself, because not all it does is what is timed.
struct Timed {
    double seconds = 0.0;
    std::string note;
};
Figure measure_timed(const std::string& step, double size, const std::function<Timed()>& work);

/// Of the processor, all threads of this process together, s.
double processor_seconds();

/// Least-squares slope of log time over log size, per step with two sizes or more.
struct Growth {
    std::string step;
    double exponent = 0.0;
};
std::vector<Growth> growth(const std::vector<Figure>& figures);

/// Processor, cores and memory of this machine, one line.
std::string machine();

/// As Markdown tables, and as JSON.
std::string markdown(const std::vector<Figure>& figures);
std::string json(const std::vector<Figure>& figures);

}  // namespace archwright::bench
