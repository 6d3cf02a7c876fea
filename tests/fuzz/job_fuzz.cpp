// Any bytes as a job, and as a preset: a job that reads back as itself, a preset that makes one, or a
// message.
#include <cstdint>
#include <cstdlib>

#include "engine/design/job_file.hpp"
#include "engine/design/preset.hpp"

using namespace archwright;

namespace {

void as_preset(std::string_view text) {
    const auto preset = design::parse_preset(text, FUZZ_NAME);
    if (!preset) {
        if (preset.fault().message.find(FUZZ_NAME) == std::string::npos) std::abort();
        return;
    }
    design::Job job;
    job.case_code = "FUZZ";
    design::FootDesign& foot = job.right.emplace();
    foot.cast.path = "cast.stl";
    foot.cast.sha256 = std::string(64, 'a');
    if (!design::apply(job, Side::right, *preset, "FUZZ")) std::abort();
    if (!design::check_job(job)) std::abort();
    const std::string once = design::write_job(job);
    if (!design::apply(job, Side::right, *preset, "FUZZ") || design::write_job(job) != once) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    as_preset(text);
    const auto job = design::parse_job(text, FUZZ_NAME);
    if (!job) {
        if (job.fault().message.find(FUZZ_NAME) == std::string::npos) std::abort();  // names the file
        return 0;
    }
    const std::string written = design::write_job(*job);
    const auto again = design::parse_job(written, FUZZ_NAME);
    if (!again || design::write_job(*again) != written) std::abort();
    return 0;
}
