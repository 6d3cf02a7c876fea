#include "editor/model/making.hpp"

#include <atomic>
#include <exception>

#include "engine/foot/frame.hpp"
#include "exporters/print_told.hpp"

namespace archwright::editor::model {

namespace {

namespace nc = exporters::nc;

Outcome<nc::MillingSetting> workshop_setting(const MillWith& with, const workshop::Workshop& shop) {
    nc::MillingSetting setting;
    auto machine = workshop::find(shop.machines, with.machine, "machine");
    if (!machine) return machine.fault();
    auto block = workshop::find(shop.blocks, with.block, "block");
    if (!block) return block.fault();
    auto cutting = workshop::find(shop.cuttings, block->material, "cutting table of the block's material");
    if (!cutting) return cutting.fault();
    auto rough = workshop::find(shop.cutters, with.rough, "cutter");
    if (!rough) return rough.fault();
    auto finish = workshop::find(shop.cutters, with.finish, "cutter");
    if (!finish) return finish.fault();
    setting.machine = std::move(*machine);
    setting.block = std::move(*block);
    setting.cutting = std::move(*cutting);
    setting.rough = rough->cutter;
    setting.finish = finish->cutter;
    setting.flip = with.about_y ? mill::Flip::about_y : mill::Flip::about_x;
    setting.pins = !with.edges;
    setting.scallop_mm = with.cusp_mm;
    setting.tilt_most_deg = with.tilt_deg;
    return setting;
}

/// Maps and moments of one set-up.
Outcome<Done> look_at(const nc::Milling& milling, const nc::MillingSetting& setting, int side,
                      MilledSide& seen, Progress& progress) {
    const nc::ProvedSide& proved = milling.sides[static_cast<std::size_t>(side)];
    std::vector<std::size_t> lines;
    auto operations = nc::read_program(proved.text, proved.tools, &lines);
    if (!operations) return operations.fault();
    auto play = Playback::of(std::move(*operations), std::move(lines), milling.nest.block,
                             nc::limits_of(setting.machine, proved.tools), looked_at_mm, progress);
    if (!play) return play.fault();
    seen.play = std::move(*play);
    const TriangleMesh keep = milling.nest.keep(side);
    auto reach = mill::reach(keep, setting.finish, looked_at_mm, proved.floor_mm, &progress);
    if (!reach) return reach.fault();
    seen.stays = std::move(reach->stays);
    seen.stays_most_mm = reach->most_mm;
    seen.left = seen.play->stock(seen.play->moves());
    seen.surface = seen.left;
    mill::top_heights(seen.surface, keep);
    for (std::size_t i = 0; i < seen.left.z.size(); ++i) {
        const bool beside = seen.surface.z[i] <= mill::no_height;
        seen.left.z[i] = beside ? 0.0 : std::max(0.0, seen.left.z[i] - seen.surface.z[i]);
        seen.left_most_mm = std::max(seen.left_most_mm, seen.left.z[i]);
    }
    seen.outline = milling.nest.outline_in(side);
    seen.channel = mill::grown(seen.outline, milling.nest.channel_mm);
    return Done{};
}

}  // namespace

Outcome<Done> check_milling(const workshop::Workshop& shop, const MillWith& with,
                            const std::string& material) {
    const auto setting = workshop_setting(with, shop);
    if (!setting) return setting.fault();
    if (material == setting->block.material) return Done{};
    return Fault{FaultKind::usage,
                 "mill",
                 "The device is designed in " + material + " and the block is of " + setting->block.material +
                     ": wall and flex were judged for another material. Choose a block of that material, or "
                     "another material in Wall.",
                 {}};
}

Outcome<Milled> mill_in_hand(const build::Device& device, const MillWith& with, Progress& progress) {
    const auto shop = workshop::load_workshop(design::assets_folder());
    if (!shop) return shop.fault();
    auto setting = workshop_setting(with, *shop);
    if (!setting) return setting.fault();
    if (const auto known = check_milling(*shop, with, device.shelled->material.key); !known)
        return known.fault();
    Milled milled;
    milled.side = device.side;
    milled.with = with;
    auto milling = nc::mill_devices({{device.case_code + " " + device.revision, device.side,
                                      foot::to_export(device.made().mesh, device.side)}},
                                    *setting, &progress);
    if (!milling) return milling.fault();
    milled.milling = std::move(*milling);
    milled.setting = std::move(*setting);
    milled.clearance_mm = mill::PlanSetting{}.clearance_mm;
    for (int side = 0; side < 2; ++side)
        if (const auto done = look_at(milled.milling, milled.setting, side,
                                      milled.sides[static_cast<std::size_t>(side)], progress);
            !done)
            return done.fault();
    return milled;
}

Maker::Maker(std::function<void()> wake)
    : worker_(
          "Planning the making",
          [](const MakeWish& wish, Progress& progress, const Worker<MakeWish, MakeMade>::Publish& publish) {
              static std::atomic<std::uint64_t> numbers{0};
              MakeMade made;
              made.prints = wish.prints;
              made.edition = wish.edition;
              const auto work = [&]() -> std::optional<Fault> {
                  if (wish.prints) {
                      const auto printers = print::load_printers(design::assets_folder());
                      if (!printers) return printers.fault();
                      const auto printer = print::find_printer(*printers, wish.printer);
                      if (!printer) return printer.fault();
                      auto printing = exporters::judge_print(*wish.device, wish.body_mass_kg, *printer,
                                                             wish.as_it_stands, progress);
                      if (!printing) return printing.fault();
                      Printed printed;
                      printed.number = ++numbers;
                      printed.edition = wish.edition;
                      printed.side = wish.device->side;
                      printed.printer = wish.printer;
                      printed.as_it_stands = wish.as_it_stands;
                      printed.printing = std::move(*printing);
                      made.printed = std::make_shared<const Printed>(std::move(printed));
                      return std::nullopt;
                  }
                  auto milled = mill_in_hand(*wish.device, wish.mill, progress);
                  if (!milled) return milled.fault();
                  milled->number = ++numbers;
                  milled->edition = wish.edition;
                  made.milled = std::make_shared<const Milled>(std::move(*milled));
                  return std::nullopt;
              };
              const std::string stage = wish.prints ? "print" : "mill";
              try {
                  made.fault = work();
              } catch (const std::bad_alloc&) {
                  made.fault = Fault{FaultKind::input, "memory", "There is not enough memory for this.", {}};
              } catch (const std::exception& error) {
                  made.fault = Fault{
                      FaultKind::internal, stage, std::string("An internal error: ") + error.what(), {}};
              }
              if (progress.cancelled()) return;
              publish(std::make_shared<const MakeMade>(std::move(made)));
          },
          std::move(wake)) {}

MillWith usual_milling(const workshop::Workshop& shop, const std::string& material) {
    MillWith with;
    if (!shop.machines.empty()) with.machine = shop.machines.begin()->first;
    with.block = workshop::smallest_block(shop, material);
    constexpr double rough_mm = 12.0, finish_mm = 6.0;  // what most shells are cut with
    double from_rough = 1e300, from_finish = 1e300;
    for (const auto& [key, entry] : shop.cutters) {
        const mill::Cutter& cutter = entry.cutter;
        double& from = cutter.ball() ? from_finish : from_rough;
        const double off = std::abs(cutter.diameter - (cutter.ball() ? finish_mm : rough_mm));
        if ((!cutter.ball() && cutter.corner_radius > 0.0) || off >= from) continue;
        from = off;
        (cutter.ball() ? with.finish : with.rough) = key;
    }
    return with;
}

}  // namespace archwright::editor::model
