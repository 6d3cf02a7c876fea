#include "editor/model/recent.hpp"

#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"

namespace archwright::editor::model {

namespace {

bool approved(const design::Job& job, Side side) {
    return design::valid_approval(job, side) != nullptr;
}

}  // namespace

std::vector<RecentCase> recent_cases(const Settings& settings) {
    std::vector<RecentCase> all;
    for (const std::string& path : settings.recent) {
        RecentCase one;
        one.path = path;
        std::error_code error;
        design::JobReading reading;
        reading.allow_outside = true;  // nothing it names is opened
        if (!std::filesystem::exists(one.path, error)) {
            one.state = "not there any more";
        } else if (const auto job = design::read_job(one.path, reading); !job) {
            one.state = "cannot be read";
        } else {
            one.readable = true;
            one.case_code = job->case_code;
            one.approved = job->left || job->right;
            for (const Side side : {Side::left, Side::right})
                if (job->foot(side)) {
                    one.state += (one.state.empty() ? "" : " and ") + std::string(word(side));
                    one.approved = one.approved && approved(*job, side);
                }
            one.state += (one.state.empty() ? "revision " : ", revision ") + job->revision();
            if (one.approved) one.state += ", approved";
        }
        all.push_back(std::move(one));
    }
    return all;
}

}  // namespace archwright::editor::model
