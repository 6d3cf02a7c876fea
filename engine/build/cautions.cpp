#include "engine/build/cautions.hpp"

namespace archwright::build {

std::vector<Check> cautions(const design::Order& order) {
    std::vector<Check> checks;
    const auto caution = [&](bool flag, const char* id, const char* title, const char* message) {
        if (!flag) return;
        Check check = named_check(id, title);
        check.verdict = Verdict::look;
        check.message = message;
        checks.push_back(std::move(check));
    };
    caution(
        order.insensate_foot, "order.insensate_foot", "Insensate foot",
        "The order says this foot has lost feeling: no thin rim, no hard edge or plug against the skin; the "
        "prescriber confirms the design, and the foot is to be inspected in use.");
    caution(
        order.open_wound, "order.open_wound", "Open wound",
        "The order names an open wound: a device is no treatment of one. The prescriber confirms before it "
        "is made.");
    caution(
        order.growing_child, "order.growing_child", "Growing child",
        "The foot still grows: look at the cast's unit and the foot's length with care, and agree on when "
        "the device is to be checked again.");
    return checks;
}

void heed_order(const design::Order& order, std::vector<Check>& checks) {
    if (!order.insensate_foot) return;
    for (Check& check : checks)
        if (check.id == "wall.rim" && check.verdict == Verdict::stop) {
            check.signable = false;
            check.message += " This foot has lost feeling: it would not be noticed.";
        }
}

}  // namespace archwright::build
