// The commands that ask what a mill or a printer makes of the device in hand.
#include "editor/model/refused.hpp"
#include "editor/model/session.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::model {

using design::Command;

Outcome<Reply> Session::run_make(const Command& command) {
    if (command.name == "mill off" || command.name == "print off") {
        const bool mills = command.name == "mill off";
        if (making_ == (mills ? "mill" : "print")) {
            making_.clear();
            if (maker_) maker_->cancel();
        }
        if (mills) {
            milled_.reset();
            mill_fault_.reset();
        } else {
            printed_.reset();
            print_fault_.reset();
        }
        return Reply{};
    }
    const FootView view = view_of(foot_);
    if (!view.proved() || !view.latest->device || !view.latest->device->proved)
        return refused(command.name, view.latest && !view.stale && view.latest->fault
                                         ? "There is no device to make: " + view.latest->fault->message
                                         : "The device is still being built: ask when its checks are there.");
    MakeWish wish;
    wish.device = view.latest->device;
    wish.edition = edition_;
    wish.body_mass_kg = job_.order.body_mass_kg;
    if (command.name == "print") {
        wish.prints = true;
        const auto printers = print::load_printers(design::assets_folder());
        if (!printers) return printers.fault();
        wish.printer = command.value("printer");
        const auto printer = print::find_printer(*printers, wish.printer);
        if (!printer) return printer.fault();
        const auto note = print::runs_with(*printer, wish.device->shelled->material.key);
        if (!note) return note.fault();
        wish.as_it_stands = command.value("as_it_stands") == "yes";
    } else {
        const auto shop = workshop::load_workshop(design::assets_folder());
        if (!shop) return shop.fault();
        const std::string& material = wish.device->shelled->material.key;
        wish.mill = usual_milling(*shop, material);
        for (const auto& [name, key] :
             {std::pair("machine", &wish.mill.machine), std::pair("block", &wish.mill.block),
              std::pair("rough", &wish.mill.rough), std::pair("finish", &wish.mill.finish)})
            if (const std::string said = command.value(name); !said.empty()) *key = said;
        if (wish.mill.block.empty())
            return refused("mill",
                           "No block of the workshop is of " + material +
                               ": wall and flex were judged for it, so no other one will do. Choose a "
                               "material that is milled in Wall, or put a block into assets/blocks.");
        wish.mill.about_y = command.value("flip") == "y";
        wish.mill.edges = command.value("datum") == "edges";
        wish.mill.tilt_deg = parse_number(command.value("tilt")).value_or(wish.mill.tilt_deg);
        wish.mill.cusp_mm = parse_number(command.value("cusp")).value_or(wish.mill.cusp_mm);
        const auto known = check_milling(*shop, wish.mill, material);
        if (!known) return known.fault();
    }
    if (!maker_) maker_ = std::make_unique<Maker>(waker());
    if (wish.prints) {
        printed_.reset();
        print_fault_.reset();
    } else {
        milled_.reset();
        mill_fault_.reset();
    }
    making_ = wish.prints ? "print" : "mill";
    maker_->ask(std::move(wish));
    return Reply{};
}

void Session::take_made() {
    if (!maker_) return;
    const std::shared_ptr<const MakeMade> made = maker_->take();
    if (made && made->edition == edition_) {
        making_.clear();
        if (made->prints) {
            printed_ = made->printed;
            print_fault_ = made->fault;
        } else {
            milled_ = made->milled;
            mill_fault_ = made->fault;
        }
        if (made->fault) notice(Notice::Level::fault, made->fault->message, made->fault->where);
    }
    if (maker_->idle()) making_.clear();
}

/// It was of the job, or the foot, as it was.
void Session::forget_making() {
    if (maker_) maker_->cancel();
    making_.clear();
    milled_.reset();
    printed_.reset();
    mill_fault_.reset();
    print_fault_.reset();
}

}  // namespace archwright::editor::model
