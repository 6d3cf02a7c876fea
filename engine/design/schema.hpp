// The job format, for machines and for people.
#pragma once

#include <string>

namespace archwright::design {

/// JSON Schema (draft 2020-12) of a job file.
std::string json_schema();

/// The same for people: markdown tables of every key, used by docs/job-file.md.
std::string parameter_reference();

}  // namespace archwright::design
