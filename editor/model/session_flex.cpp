// The command that puts the device in hand on the virtual bench.
#include "editor/model/refused.hpp"
#include "editor/model/session.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::model {

using design::Command;

Outcome<Reply> Session::run_flex(const Command& command) {
    const std::string load = command.value("load");
    if (load == "off") {
        flex_with({});
        return Reply{};
    }
    FlexWith with;
    for (const flex::LoadCase each : flex::all_load_cases)
        if (load == flex::key(each)) with.load = each;
    const auto number = [&](const char* name, double& into) {
        if (const std::string* text = command.find(name)) into = *parse_number(*text);
    };
    number("friction", with.support.friction);
    number("distal_spring", with.support.distal_spring_n_mm);
    number("bed", with.support.bed_n_mm3);
    if (const auto good = flex::check_support(with.support); !good) return good.fault();
    flex_with(with);
    return Reply{};
}

void Session::flex_with(std::optional<FlexWith> with) {
    const bool shows =
        views_["map"] == "deflection" || views_["map"] == "stress" || views_["map"] == "utilisation";
    if (!with && shows) views_["map"] = "wall";
    if (!with) views_["deflected"] = "off";
    if (with && !flex_ && compare_.what == CompareWith::What::none) {
        views_["map"] = "deflection";
        if (views_["cast"] == "on") views_["cast"] = "lifted";  // the shell is what is looked at
    }
    flex_ = std::move(with);
    flex_asked_ = {};
    flexed_.reset();
    if (flexer_) flexer_->cancel();
    ask_flex();
}

void Session::ask_flex() {
    if (!flex_ || !flexer_) return;
    const FootView view = view_of(foot_);
    if (!view.proved()) return;
    const std::shared_ptr<const build::Device> other =
        comparison_ && comparison_->edition == edition_ ? comparison_->other : nullptr;
    if (flex_asked_.now == view.latest && flex_asked_.other == other) return;
    flex_asked_ = {view.latest, other};
    FlexWish wish;
    wish.with = *flex_;
    wish.side = foot_;
    wish.edition = edition_;
    wish.body_mass_kg = job_.order.body_mass_kg;
    wish.now = view.latest;
    wish.other = other;
    flexer_->ask(std::move(wish));
}

}  // namespace archwright::editor::model
