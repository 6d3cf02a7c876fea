// The commands that ask the device in hand for a stiffness and take the walls that were found.
#include <atomic>

#include "editor/model/refused.hpp"
#include "editor/model/session.hpp"
#include "engine/ask/ask.hpp"
#include "engine/ask/target_text.hpp"
#include "engine/base/text.hpp"
#include "exporters/ask_told.hpp"

namespace archwright::editor::model {

using design::Command;

namespace {

/// The question of a command, without what it is measured against.
Outcome<ask::Question> question_of(const Command& command) {
    ask::Question question;
    auto targets = ask::parse_targets(command.value("targets"));
    if (!targets) return targets.fault();
    question.targets = std::move(*targets);
    auto walls = ask::parse_walls(command.value("walls"));
    if (!walls) return walls.fault();
    question.walls = std::move(*walls);
    const auto number = [&](const char* name) { return parse_number(command.value(name)); };
    question.least_mm = number("least");
    question.most_mm = number("most");
    question.support.friction = number("friction").value_or(question.support.friction);
    question.support.distal_spring_n_mm = number("distal_spring").value_or(0.0);
    question.support.bed_n_mm3 = number("bed").value_or(0.0);
    if (const auto good = ask::check_question(question); !good) return good.fault();
    return question;
}

}  // namespace

Outcome<Reply> Session::run_ask(const Command& command) {
    auto question = question_of(command);
    if (!question) return question.fault();
    const FootView view = view_of(foot_);
    if (!view.proved() || !view.latest->device || !view.latest->device->shelled)
        return refused("ask", view.latest && !view.stale && view.latest->fault
                                  ? "There is no device to ask: " + view.latest->fault->message
                                  : "The device is still being built: ask when its checks are there.");
    std::shared_ptr<const build::Device> other;
    if (command.value("against") == "compared") {
        if (comparison_ && comparison_->edition == edition_ && comparison_->side == foot_)
            other = comparison_->other;
        if (!other)
            return refused("ask",
                           "Nothing is compared that stands: say compare step NUMBER or compare file first, "
                           "and wait for it.");
    }
    auto answered = std::make_shared<Answered>();
    answered->edition = edition_;
    answered->side = foot_;
    answered->targets = command.value("targets");
    answered->walls = command.value("walls");
    answered->question = std::move(*question);
    answered_.reset();
    return run_behind("Asking for a stiffness", [this, answered, other, device = view.latest->device,
                                                 foot = *job_.foot(foot_), materials = materials_,
                                                 mass = job_.order.body_mass_kg](Progress& progress) {
        const auto find = [&]() -> Outcome<ask::Answer> {
            ask::Question asked = answered->question;
            for (ask::Target& target : asked.targets) {
                if (!other || target.kind != ask::Target::Kind::relative) continue;
                const auto stiffness = ask::reference_stiffness(*other, mass, target, asked, progress);
                if (!stiffness) return stiffness.fault();
                target.reference = *stiffness;
                target.reference_name = "what it is compared with";
            }
            const ask::Built built{device->received, device->surfaced, device->shelled};
            return ask::ask(built, foot, mass, asked, ask::rebuild_shell(built, foot, materials), progress);
        };
        auto found = std::make_shared<Outcome<ask::Answer>>(find());
        return [this, answered, found] {
            static std::atomic<std::uint64_t> numbers{0};
            if (!*found) {
                answer_ = Outcome<Reply>(found->fault());
                return;
            }
            answered->answer = std::move(**found);
            answered->number = ++numbers;
            answered_ = answered;
            answer_ = Outcome<Reply>(Reply{exporters::ask_lines(answered->answer), false, {}});
        };
    });
}

Outcome<Reply> Session::run_ask_accept(const Command& command) {
    if (command.name == "ask off") {
        answered_.reset();
        return Reply{};
    }
    const std::shared_ptr<const Answered> answered = answered_;
    if (!answered || answered->edition != edition_ || answered->side != foot_)
        return refused("ask accept", "No walls were found for the design as it is: ask first.");
    std::string label = "Walls for";
    for (const ask::AnsweredTarget& target : answered->answer.targets)
        label += std::string(target.load == answered->answer.targets.front().load ? " " : ", ") +
                 lower(flex::title(target.target.load_case));
    if (const auto begun = run_step(Command{"step begin", {{"label", label}}}); !begun) return begun.fault();
    const std::optional<Side> said =
        job_.left && job_.right ? std::optional<Side>(foot_) : std::optional<Side>();
    for (Command& set : exporters::wall_commands(answered->answer, said))
        if (const auto done = run_on_job(set); !done) {
            (void)run_step(Command{"step drop", {}});
            return done.fault();
        }
    if (const auto ended = run_step(Command{"step end", {}}); !ended) return ended.fault();
    answered_.reset();
    return Reply{};
}

}  // namespace archwright::editor::model
