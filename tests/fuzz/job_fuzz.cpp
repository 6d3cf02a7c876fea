// Any bytes as a job: a job that reads back as itself, or a message.
#include <cstdint>
#include <cstdlib>

#include "engine/design/job_file.hpp"

using namespace archwright;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
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
