// Undo and redo: every state comes back to the last bit, a drag is one step, and a thousand steps are small.
#include "engine/design/history.hpp"

#include <catch2/catch.hpp>
#include <iostream>

#include "assets/demo/demo_job.hpp"
#include "assets/generator/demo.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/job_file.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/random_commands.hpp"
#include "tests/support/random_job.hpp"

using namespace archwright;
using namespace archwright::design;

TEST_CASE("history: random commands undone and redone give identical jobs", "[history]") {
    std::mt19937_64 random(tests::seed());
    Job job = tests::random_job(random);
    History history(job);
    std::vector<std::string> states{write_job(job)}, labels;
    const int count = tests::cases(10'000, 600, "commands undone and redone");
    for (int i = 0; i < count; ++i) {
        const auto applied = apply(tests::random_command(random, job), job, tests::without_cast());
        if (!applied) continue;
        std::string text = write_job(job);
        const bool changed = text != states.back();
        REQUIRE(history.record(job, applied->label) == changed);
        if (!changed) continue;
        states.push_back(std::move(text));
        labels.push_back(applied->label);
    }
    REQUIRE(states.size() > static_cast<std::size_t>(count) / 3);
    const std::size_t kept = history.labels().size();
    const std::size_t lost = labels.size() - kept;  // beyond the budget
    CHECK(history.bytes() <= History::standard_budget);
    for (std::size_t i = states.size() - 1; i-- > lost;) {
        const auto back = history.undo();
        REQUIRE(back.ok());
        REQUIRE(write_job(*back) == states[i]);
    }
    CHECK_FALSE(history.can_undo());
    CHECK_FALSE(history.undo().ok());
    for (std::size_t i = lost + 1; i < states.size(); ++i) {
        const auto forward = history.redo();
        REQUIRE(forward.ok());
        REQUIRE(write_job(*forward) == states[i]);
    }
    CHECK_FALSE(history.redo().ok());
    for (int i = 0; i < 50; ++i) {  // and in any order
        const std::size_t step = random() % (kept + 1);
        const auto there = history.go_to(step);
        REQUIRE(there.ok());
        CHECK(write_job(*there) == states[lost + step]);
        CHECK(history.position() == step);
    }
    CHECK(history.labels().back() == labels.back());
}

TEST_CASE("history: a drag is one step, and none when it comes back", "[history]") {
    Job job = tests::plain_job();
    History history(job);
    const auto drag = [&](std::initializer_list<double> values) {
        history.begin("Cup");
        for (const double value : values) {
            job.right->trim.cup_medial_mm = value;
            history.record(job, "");
        }
        history.end();
    };
    drag({14.1, 15, 16, 17});
    CHECK(history.labels() == std::vector<std::string>{"Cup"});
    drag({18, 19, 17});
    CHECK(history.labels().size() == 1);
    drag({12, 13});
    CHECK(history.labels().size() == 2);
    CHECK(history.undo()->right->trim.cup_medial_mm == 17);
    CHECK(history.undo()->right->trim.cup_medial_mm == 14);
    CHECK(history.redo()->right->trim.cup_medial_mm == 17);
    job.right->trim.cup_medial_mm = 20;  // another way from here: what was undone is gone
    history.record(job, "Other");
    CHECK_FALSE(history.can_redo());
    CHECK(history.labels() == std::vector<std::string>{"Cup", "Other"});
}

TEST_CASE("history: a drag that is given up leaves no step") {
    Job job = tests::plain_job();
    History history(job);
    job.right->wall.base_mm = 4;
    history.record(job, "wall");
    const std::string before = write_job(job);
    history.begin("Cup");
    for (const double cup : {12.0, 13.0, 15.0}) {
        job.right->trim.cup_medial_mm = cup;
        history.record(job, "cup");
    }
    const auto back = history.drop();
    REQUIRE(back.ok());
    CHECK(write_job(*back) == before);
    CHECK_FALSE(history.open());
    CHECK(history.labels() == std::vector<std::string>{"wall"});
    CHECK_FALSE(history.can_redo());
    // nothing was done: nothing is lost
    history.begin("Cup");
    REQUIRE(history.drop().ok());
    CHECK(history.labels().size() == 1);
}

TEST_CASE("history: a drag that is given up, or comes back, leaves what was undone before it") {
    Job job = tests::plain_job();
    History history(job);
    for (const double wall : {4.0, 5.0, 6.0}) {
        job.right->wall.base_mm = wall;
        history.record(job, "wall " + std::to_string(int(wall)));
    }
    REQUIRE(history.undo().ok());
    job = *history.undo();
    const auto labels = history.labels();
    const std::size_t bytes = history.bytes();
    const std::string before = write_job(job);
    for (const bool dropped : {true, false}) {
        history.begin("Cup");
        Job moved = job;
        for (const double cup : {12.0, 13.0}) {
            moved.right->trim.cup_medial_mm = cup;
            history.record(moved, "cup");
            CHECK_FALSE(history.can_redo());
        }
        if (dropped) {
            const auto back = history.drop();
            REQUIRE(back.ok());
            CHECK(write_job(*back) == before);
        } else {
            history.record(job, "cup");
            history.end();
        }
        CHECK(history.labels() == labels);
        CHECK(history.position() == 1);
        CHECK(history.bytes() == bytes);
        REQUIRE(history.can_redo());
    }
    CHECK(history.redo()->right->wall.base_mm == 5);
    CHECK(history.redo()->right->wall.base_mm == 6);
    CHECK_FALSE(history.can_redo());
    // one that ends elsewhere is another way from here
    REQUIRE(history.undo().ok());
    history.begin("Cup");
    job.right->wall.base_mm = 5;
    job.right->trim.cup_medial_mm = 17.5;
    history.record(job, "cup");
    history.end();
    CHECK_FALSE(history.can_redo());
    CHECK(history.labels().back() == "cup");
}

TEST_CASE("history: modified means that the file holds something else", "[history]") {
    Job job = tests::plain_job();
    History history(job);
    CHECK_FALSE(history.modified());
    job.order.complaint = "x";
    history.record(job, "Complaint");
    CHECK(history.modified());
    history.mark_saved();
    CHECK_FALSE(history.modified());
    job.order.complaint.clear();
    history.record(job, "Complaint");
    CHECK(history.modified());
    job.order.complaint = "x";  // the same again, by another way
    history.record(job, "Complaint");
    CHECK_FALSE(history.modified());
    REQUIRE(history.undo().ok());
    CHECK(history.modified());
    REQUIRE(history.undo().ok());
    CHECK_FALSE(history.modified());
    history.mark_unsaved();
    CHECK(history.modified());
}

TEST_CASE("history: beyond its budget it lets the oldest go", "[history]") {
    std::mt19937_64 random(tests::seed());
    Job job = tests::random_job(random);
    History history(job, 200'000);
    std::vector<std::string> states{write_job(job)};
    for (int i = 0; i < 400; ++i) {
        job.order.complaint = std::string(1000, static_cast<char>('a' + i % 26)) + std::to_string(i);
        history.record(job, std::to_string(i));
        states.push_back(write_job(job));
        CHECK(history.bytes() <= 200'000);
    }
    const std::size_t kept = history.labels().size();
    CHECK(kept > 20);
    CHECK(kept < 400);
    for (std::size_t i = 0; i < kept; ++i)
        REQUIRE(write_job(*history.undo()) == states[states.size() - 2 - i]);
    CHECK_FALSE(history.can_undo());
    History tiny(job, 10);  // the present is always kept
    job.order.complaint = "y";
    tiny.record(job, "y");
    CHECK(tiny.labels().empty());
    CHECK_FALSE(tiny.can_undo());
}

TEST_CASE("history: a thousand steps of the demonstration's job are small", "[history]") {
    const auto truth = generator::demo_truth();
    REQUIRE(truth.ok());
    Job job = demo::demo_job(*truth, std::string(64, 'a'), {});
    History history(job);
    std::mt19937_64 random(tests::seed());
    for (int steps = 0; steps < 1000;) {
        const auto applied = apply(tests::random_command(random, job), job, tests::without_cast());
        if (applied && history.record(job, applied->label)) ++steps;
    }
    CHECK(history.labels().size() == 1000);
    CHECK(history.bytes() < (std::size_t{64} << 20));
    INFO("bytes of 1,000 steps: " << history.bytes());
    CHECK(history.bytes() > 100'000);  // it does count them
    std::cout << "history: 1,000 steps of the demonstration take " << history.bytes() / 1000 << " kB\n";
}
