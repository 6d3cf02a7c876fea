// archwright-bench FOLDER [all]: times everything, prints tables, keeps FOLDER/bench.json.
#include <cstdio>
#include <fstream>
#include <iostream>

#include "tests/bench/peers.hpp"
#include "tests/bench/steps.hpp"

using namespace archwright;

int main(int count, char** words) {
    if (count < 2) {
        std::fputs("usage: archwright-bench FOLDER [100k 500k 1M 5M]\n", stderr);
        return 2;
    }
    const std::filesystem::path folder = words[1];
    std::filesystem::create_directories(folder);
    const std::filesystem::path program =
        std::filesystem::read_symlink("/proc/self/exe").parent_path().parent_path() / "archwright";
    std::vector<std::size_t> sizes;
    for (int k = 2; k < count; ++k) {
        char* end = nullptr;
        const double number = std::strtod(words[k], &end);
        sizes.push_back(static_cast<std::size_t>(number * (*end == 'M' ? 1e6 : 1e3)));
    }
    if (sizes.empty()) sizes = {100'000, 500'000, 1'000'000, 5'000'000};
    std::vector<bench::Figure> reading, shell, edits, make, peers;
    for (const std::size_t size : sizes) bench::run_reading(size, folder, reading);
    bench::run_shell(folder, shell);
    bench::run_edits(folder, edits);
    bench::run_feature_edits(folder, edits);
    for (const std::size_t size : sizes) bench::run_make(size, program, folder, make);
    bench::run_peers(bench::bench_shell(folder), 3.2, peers);
    std::cout << bench::machine() << "\n\n";
    std::vector<bench::Figure> all;
    for (const auto& [title, part] :
         {std::pair("From the cast file to the carpet", &reading), std::pair("The shell", &shell),
          std::pair("Edits", &edits), std::pair("The whole", &make), std::pair("Peers", &peers)}) {
        std::cout << "## " << title << "\n\n" << bench::markdown(*part) << "\n";
        all.insert(all.end(), part->begin(), part->end());
    }
    std::ofstream(folder / "bench.json") << bench::json(all);
    return 0;
}
