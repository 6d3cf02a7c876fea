// archwright-demo DIR: the demonstration's cast and its jobs.
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "assets/demo/demo_job.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/demo.hpp"
#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/design/job_file.hpp"

using namespace archwright;

namespace {

int failed(const Fault& fault) {
    std::fprintf(stderr, "archwright-demo: %s\n", fault.message.c_str());
    return 1;
}

}  // namespace

int main(int count, char** words) {
    if (count != 2 || words[1][0] == '-') {
        std::fputs("usage: archwright-demo DIR\n", stderr);
        return 2;
    }
    const std::filesystem::path folder = words[1];
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    const auto cast = generator::demo_cast();
    if (!cast) return failed(cast.fault());
    const std::string bytes = generator::encode(cast->mesh, generator::CastFormat::ply_binary,
                                                "LARK-2207, invented; left foot, unit inch");
    if (const auto done = write_file(folder / generator::demo_cast_file, bytes); !done)
        return failed(done.fault());
    const auto marks = demo::demo_marks(*cast);
    if (!marks) return failed(marks.fault());
    const std::pair<const char*, demo::Variant> jobs[] = {
        {"lark-2207.json", demo::Variant::pa11},
        {"lark-2207-b.json", demo::Variant::revision_b},
        {"lark-2207-pp.json", demo::Variant::polypropylene}};
    for (const auto& [name, variant] : jobs) {
        const design::Job job = demo::demo_job(cast->truth, sha256(bytes), *marks, variant);
        if (const auto done = design::save_job(job, folder / name); !done) return failed(done.fault());
    }
    return 0;
}
