#include "tests/bench/runner.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <map>
#include <nlohmann/json.hpp>
#include <thread>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/base/version.hpp"

namespace archwright::bench {

namespace {

constexpr int runs = 5;

// kB of a line of /proc/self/status.
double status_mb(const std::string& key) {
    std::ifstream in("/proc/self/status");
    for (std::string line; std::getline(in, line);)
        if (line.starts_with(key + ":")) return std::strtod(line.c_str() + key.size() + 1, nullptr) / 1024.0;
    return 0.0;
}

void reset_peak() {
    std::ofstream("/proc/self/clear_refs") << "5";
}

std::string size_word(double size) {
    if (size <= 0.0) return "";
    return size < 1e6 ? rounded(size / 1e3, 0) + "k" : rounded(size / 1e6, 0) + "M";
}

}  // namespace

Figure measure(const std::string& step, double size, const std::function<std::string()>& work) {
    return measure_timed(step, size, [&] {
        const auto begin = std::chrono::steady_clock::now();
        const std::string note = work();
        return Timed{std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(), note};
    });
}

Figure measure_timed(const std::string& step, double size, const std::function<Timed()>& work) {
    std::fprintf(stderr, "%s %s\n", step.c_str(), size_word(size).c_str());
    Figure figure;
    figure.step = step;
    figure.size = size;
    figure.note = work().note;
    const double before = status_mb("VmRSS");
    reset_peak();
    std::vector<double> seconds;
    for (int k = 0; k < runs; ++k) {
        Timed timed = work();
        figure.note = std::move(timed.note);
        seconds.push_back(timed.seconds);
    }
    figure.peak_mb = std::max(0.0, status_mb("VmHWM") - before);
    std::sort(seconds.begin(), seconds.end());
    figure.least_s = seconds.front();
    figure.median_s = seconds[runs / 2];
    figure.most_s = seconds.back();
    return figure;
}

double processor_seconds() {
    timespec now{};
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

std::vector<Growth> growth(const std::vector<Figure>& figures) {
    std::vector<std::string> order;
    std::map<std::string, std::vector<std::pair<double, double>>> points;
    for (const Figure& f : figures) {
        if (f.size <= 0.0 || !(f.median_s > 0.0)) continue;
        if (points[f.step].empty()) order.push_back(f.step);
        points[f.step].emplace_back(std::log(f.size), std::log(f.median_s));
    }
    std::vector<Growth> all;
    for (const std::string& step : order) {
        const auto& p = points[step];
        if (p.size() < 2) continue;
        double mx = 0, my = 0, xx = 0, xy = 0;
        for (const auto& [x, y] : p) {
            mx += x / static_cast<double>(p.size());
            my += y / static_cast<double>(p.size());
        }
        for (const auto& [x, y] : p) {
            xx += (x - mx) * (x - mx);
            xy += (x - mx) * (y - my);
        }
        all.push_back({step, xy / xx});
    }
    return all;
}

std::string machine() {
    std::ifstream in("/proc/cpuinfo");
    std::string processor = "processor not named";
    for (std::string line; std::getline(in, line);)
        if (line.starts_with("model name")) {
            processor = line.substr(line.find(':') + 2);
            break;
        }
    std::ifstream memory("/proc/meminfo");
    std::string word;
    double kb = 0;
    memory >> word >> kb;
    return processor + ", " + std::to_string(std::thread::hardware_concurrency()) + " cores, " +
           rounded(kb / 1048576.0, 0) + " GB";
}

std::string markdown(const std::vector<Figure>& figures) {
    std::string text =
        "| step | cast | median s | least - most | memory MB | goal s | |\n|---|---|---|---|---|---|---|\n";
    for (const Figure& f : figures)
        text += "| " + f.step + " | " + size_word(f.size) + " | " + rounded(f.median_s, 3) + " | " +
                rounded(f.least_s, 3) + " - " + rounded(f.most_s, 3) + " | " + rounded(f.peak_mb, 0) + " | " +
                (f.goal_s ? exact(*f.goal_s) + (f.median_s <= *f.goal_s ? " met" : " MISSED") : "") + " | " +
                f.note + " |\n";
    const std::vector<Growth> exponents = growth(figures);
    if (exponents.empty()) return text;
    text += "\n| step | time grows as size to the power |\n|---|---|\n";
    for (const Growth& g : exponents) text += "| " + g.step + " | " + rounded(g.exponent, 2) + " |\n";
    return text;
}

std::string json(const std::vector<Figure>& figures) {
    nlohmann::ordered_json out{{"archwright", version}, {"machine", machine()}, {"runs", runs}};
    for (const Figure& f : figures) {
        nlohmann::ordered_json one{{"step", f.step},       {"triangles", f.size}, {"median_s", f.median_s},
                                   {"least_s", f.least_s}, {"most_s", f.most_s},  {"memory_mb", f.peak_mb},
                                   {"note", f.note}};
        if (f.goal_s) one["goal_s"] = *f.goal_s;
        out["figures"].push_back(one);
    }
    return out.dump(2) + "\n";
}

}  // namespace archwright::bench
