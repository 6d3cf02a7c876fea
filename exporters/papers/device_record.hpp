// The device record: what was made of what, by which design, who answered for what, and what the maker fills
// in.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "engine/base/side.hpp"
#include "engine/build/device.hpp"
#include "engine/compare/samples.hpp"
#include "exporters/report.hpp"

namespace archwright::exporters::papers {

/// Everything of one device's record. Holds no clock: what was made when is the maker's to write.
struct DeviceRecord {
    struct Signed {
        design::SignOff sign_off;
        bool valid = false;  ///< for the design as it is now
    };
    std::string case_code, revision, revision_date, laboratory, prescriber;
    Side side = Side::right;
    std::string fingerprint, cast_file, cast_sha256, job_sha256;
    std::string material_key, material_name;
    std::vector<DeliveredFile> outputs;
    std::vector<Check> checks;
    compare::Samples samples;  ///< by which a later version is told from this one
    std::vector<Signed> signed_off;
    std::optional<design::Approval> approval;  ///< of this revision, as long as it holds
    std::string approval_words;                ///< what became of the approvals, one sentence
    std::vector<std::string> changed;          ///< keys that a void approval was voided by, where known
};

/// `job_text`: the job file as it stands. `outputs`: the files made of this design.
DeviceRecord record_of(const design::Job& job, const std::string& job_text, const build::Device& device,
                       std::vector<DeliveredFile> outputs);

/// The plain line under every record and beside its fields.
extern const char* const no_declaration;

nlohmann::ordered_json record_json(const DeviceRecord& record);
/// A4 portrait, as many pages as it takes, side letter and number on each, a bar of 100 mm. Fault (output):
/// no font.
Outcome<std::string> record_pdf(const DeviceRecord& record);

}  // namespace archwright::exporters::papers
