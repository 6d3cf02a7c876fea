// A session on a small job of a generated cast, in a folder of its own.
#pragma once

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "editor/model/script.hpp"
#include "engine/design/job_file.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

namespace archwright::tests {

/// The folder has cast.ply and case.json: a left foot, side and unit stated.
struct Desk {
    TemporaryFolder home;
    std::filesystem::path folder = home.path();
    std::filesystem::path job = folder / "case.json";

    Desk() {
        put_cast(folder / "cast.ply");
        REQUIRE(run(folder,
                    {"new", "cast.ply", "-o", "case.json", "--side", "left", "--unit", "in", "--by", "T1"})
                    .code == 0);
    }
    editor::model::Setup setup() const {
        editor::model::Setup setup;
        setup.state_folder = folder / "state";
        setup.config_folder = folder / "config";
        setup.unsaved_seconds = 0.05;
        return setup;
    }
    std::string open_line() const { return "open " + job.string(); }
};

/// The command is done; what it answered.
inline editor::model::Reply give(editor::model::Session& session, const std::string& line) {
    auto reply = editor::model::run_and_wait(session, line);
    INFO(line << ": " << (reply ? "" : reply.fault().message));
    REQUIRE(reply.ok());
    return *reply;
}

/// The command is refused and leaves the job as it was; what it said.
inline std::string refused(editor::model::Session& session, const std::string& line) {
    const std::string before = session.has_job() ? design::write_job(session.job()) : "";
    const auto reply = editor::model::run_and_wait(session, line);
    INFO(line);
    REQUIRE_FALSE(reply.ok());
    CHECK((session.has_job() ? design::write_job(session.job()) : "") == before);
    return reply.fault().message;
}

}  // namespace archwright::tests
