#include "engine/calibrate/calibration.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/calibrate/held_out.hpp"

namespace archwright::calibrate {

namespace {

/// Of the load that brings the arch down: a table of answers has its steps.
constexpr double before_touchdown = 0.9;
constexpr int most_selections = 6;
/// An interval of the scale is wide when it is wider than this, and by the supports when with known ones it
/// were half.
constexpr double wide_share = 0.10;
constexpr double far_times = 3.5;
/// Times the noise that is known (stated, or of repeats) from which the fit's own is believed instead.
constexpr double misfit_times = 1.5;
constexpr double repeats_freedom = 5.0;

/// How often the devices are asked about the fit itself, and the change of the tables (share of the noise,
/// and what no gauge reads) below which nothing moves any more.
constexpr int most_askings = 4;
constexpr double stays_share = 0.1, stays_mm = 1e-3;
/// Loads nearer than this to the one below are the same load; more of them than this are thinned out.
constexpr double same_load_share = 0.02;
constexpr std::size_t most_loads_asked = 20;

/// Rising loads, each once, the least and the greatest among them.
std::vector<double> told_apart_loads(std::vector<double> loads) {
    std::sort(loads.begin(), loads.end());
    std::vector<double> apart;
    for (const double load : loads)
        if (apart.empty() || load > (1.0 + same_load_share) * apart.back()) apart.push_back(load);
    if (apart.size() > 1 && apart.back() < loads.back()) apart.back() = loads.back();
    if (apart.size() <= most_loads_asked) return apart;
    std::vector<double> some;
    for (std::size_t i = 0; i < most_loads_asked; ++i)
        some.push_back(apart[i * (apart.size() - 1) / (most_loads_asked - 1)]);
    return some;
}

/// Where the fit's loadings came from.
struct Source {
    std::size_t device = 0, loading = 0;
    std::vector<std::size_t> reading, slide;  ///< of the fit's rows
};

struct Selected {
    FitInput input;
    std::vector<Source> sources;
    std::size_t used = 0, left_out = 0;
};

double usable_n(const Response& response, double scale, const Restraint& restraint) {
    if (response.load_case() != flex::LoadCase::arch_press) return flex::most_load;
    const double down = response.touchdown_n(scale, restraint);
    return down < scale * response.most_load_n() ? before_touchdown * down : flex::most_load;
}

/// Whether a wall has two devices and there are devices enough to tell their differences from the supports.
bool tells_spread(const std::vector<MeasuredDevice>& devices) {
    return devices.size() >= 3 && devices.size() > walls_of(devices);
}

Outcome<Selected> select(const Measurements& measurements, const std::vector<DeviceTable>& tables,
                         double scale, const Restraint& restraint) {
    Selected selected;
    FitInput& input = selected.input;
    input.devices = static_cast<int>(measurements.devices.size());
    input.spring_n_mm = measurements.distal_spring_n_mm;
    input.friction = measurements.friction;
    input.spread = tells_spread(measurements.devices);
    for (const Loading& one : measurements.rigid_block) {
        FitLoading block;
        for (const Reading& reading : one.readings) {
            block.load.push_back(reading.load_n);
            block.deflection.push_back(reading.deflection_mm);
        }
        input.loadings.push_back(std::move(block));
        selected.sources.emplace_back();
    }
    for (std::size_t d = 0; d < measurements.devices.size(); ++d) {
        const MeasuredDevice& device = measurements.devices[d];
        for (std::size_t l = 0; l < device.loadings.size(); ++l) {
            const Loading& one = device.loadings[l];
            FitLoading loading;
            loading.device = static_cast<int>(d);
            loading.response = tables[d].of(one.load_case);
            if (loading.response == nullptr)
                return Fault{
                    FaultKind::internal, "calibrate", "device " + device.code + " has no table.", {}};
            Source source{d, l, {}, {}};
            const double usable = usable_n(*loading.response, scale, restraint);
            for (std::size_t r = 0; r < one.readings.size(); ++r) {
                const Reading& reading = one.readings[r];
                if (reading.load_n > usable) {
                    ++selected.left_out;
                    continue;
                }
                ++selected.used;
                loading.load.push_back(reading.load_n);
                loading.deflection.push_back(reading.deflection_mm);
                source.reading.push_back(r);
                if (!reading.slide_mm) continue;
                loading.slide_load.push_back(reading.load_n);
                loading.slide.push_back(*reading.slide_mm);
                source.slide.push_back(r);
            }
            if (loading.load.size() < 3)
                return Fault{FaultKind::input,
                             "calibrate",
                             "device " + device.code + " (row " + std::to_string(device.row) +
                                 "): by the bench its arch rests from some " + flex::bench_figure(usable) +
                                 " N on, and fewer than three readings lie below: give more at low loads.",
                             {}};
            input.loadings.push_back(std::move(loading));
            selected.sources.push_back(std::move(source));
        }
    }
    return selected;
}

/// Standard deviation of a deflection by runs of one device at the same loads, zeros taken out (two-way table
/// without interaction); nothing with fewer than five degrees of freedom.
std::optional<double> by_repeats(const std::vector<MeasuredDevice>& devices) {
    double squares = 0.0, freedom = 0.0;
    for (const MeasuredDevice& device : devices)
        for (const Loading& first : device.loadings) {
            std::vector<const Loading*> alike;
            for (const Loading& other : device.loadings)
                if (other.load_case == first.load_case && other.readings.size() == first.readings.size() &&
                    std::equal(other.readings.begin(), other.readings.end(), first.readings.begin(),
                               [](const Reading& a, const Reading& b) { return a.load_n == b.load_n; }))
                    alike.push_back(&other);
            if (alike.size() < 2 || alike.front() != &first) continue;
            const auto runs = static_cast<double>(alike.size()),
                       loads = static_cast<double>(first.readings.size());
            std::vector<double> of_run(alike.size(), 0.0), of_load(first.readings.size(), 0.0);
            double of_all = 0.0;
            for (std::size_t r = 0; r < alike.size(); ++r)
                for (std::size_t l = 0; l < first.readings.size(); ++l) {
                    const double at = alike[r]->readings[l].deflection_mm;
                    of_run[r] += at / loads;
                    of_load[l] += at / runs;
                    of_all += at / (runs * loads);
                }
            for (std::size_t r = 0; r < alike.size(); ++r)
                for (std::size_t l = 0; l < first.readings.size(); ++l) {
                    const double left = alike[r]->readings[l].deflection_mm - of_run[r] - of_load[l] + of_all;
                    squares += left * left;
                }
            freedom += (runs - 1.0) * (loads - 1.0);
        }
    if (freedom < repeats_freedom) return std::nullopt;
    return std::max(std::sqrt(squares / freedom), 1e-5);
}

std::string range(double low, double high, int decimals) {
    return rounded(low, decimals) + " to " + rounded(high, decimals);
}

/// The fit with noise as the readings have it; where it is known and they do not contradict it, with that.
Outcome<Fit> fit_with_noise(FitInput input, const Measurements& measurements,
                            const std::optional<double>& repeats, std::vector<std::string>& remarks) {
    auto free = fit(input);
    if (!free) return free.fault();
    const std::optional<double> known = measurements.noise_mm ? measurements.noise_mm : repeats;
    const auto believed = [&](const std::optional<double>& stated, double found, const char* what) {
        if (!stated) return std::optional<double>();
        if (found <= misfit_times * *stated) return stated;
        remarks.push_back(
            std::string("The ") + what + " follow the fit only to " + rounded(found, 3) +
            " mm, where their noise is " + rounded(*stated, 3) +
            " mm: what stands on the bench is not quite what is reckoned with. The larger figure is "
            "used.");
        return std::optional<double>();
    };
    input.noise_mm = believed(known, free->noise_mm, "deflections");
    input.slide_noise_mm = believed(measurements.slide_noise_mm, free->slide_noise_mm, "slides");
    if (!input.noise_mm && !input.slide_noise_mm) return free;
    return fit(input);
}

/// Puts the tables right about the fit, each device at its own modulus and the loads that are fitted. The
/// greatest change, mm; nothing where no device can be asked. A device that the bench does not bear there
/// keeps its table. Fault: cancelled.
Outcome<std::optional<double>> ask_again(std::vector<DeviceTable>& tables, const FitInput& input,
                                         const Fit& fit, int round, Progress* progress) {
    std::optional<double> greatest;
    for (std::size_t d = 0; d < tables.size(); ++d) {
        DeviceTable& table = tables[d];
        if (!table.bench) continue;
        if (progress != nullptr &&
            !progress->report(
                "Bench at the fit",
                (round + static_cast<double>(d) / static_cast<double>(tables.size())) / most_askings))
            return Fault{FaultKind::cancelled, "calibrate", "cancelled.", {}};
        for (const flex::LoadCase load_case : {flex::LoadCase::arch_press, flex::LoadCase::forefoot_lift}) {
            Response* response = table.of(load_case);
            if (response == nullptr) continue;
            std::vector<double> loads;
            for (const FitLoading& one : input.loadings)
                if (one.response == response) loads.insert(loads.end(), one.load.begin(), one.load.end());
            loads = told_apart_loads(std::move(loads));
            if (loads.size() < 2) continue;
            const auto moved =
                response->put_right(*table.bench, table.plan, loads,
                                    fit.device_scale[d] * fit.modulus_scale.value, fit.restraint(), progress);
            if (moved)
                greatest = std::max(greatest.value_or(0.0), *moved);
            else if (moved.fault().kind == FaultKind::cancelled)
                return moved.fault();
        }
    }
    return greatest;
}

void tell_remarks(const Measurements& measurements, Calibrated& told) {
    const Fit& fit = told.fit;
    std::vector<std::string>& remarks = told.remarks;
    const double joint = std::log(fit.modulus_scale.high / fit.modulus_scale.low);
    const double alone = std::log(fit.alone_high / fit.alone_low);
    told.told_apart = !(joint > 2.0 * wide_share && joint > 2.0 * alone);
    if (!told.told_apart)
        remarks.push_back(
            "These readings do not tell the material from what holds the device: the scale may be " +
            range(fit.modulus_scale.low, fit.modulus_scale.high, 2) + " (with the supports known it were " +
            range(fit.alone_low, fit.alone_high, 2) +
            "). Measure the distal slide, lift the distal edge with the heel held, take walls further "
            "apart, or state friction and spring where they are known.");
    if (fit.friction.free && fit.friction.high - fit.friction.low > 0.3)
        remarks.push_back("The friction of the plate could not be told: " +
                          range(fit.friction.low, fit.friction.high, 2) + " all follow the readings.");
    if (fit.spring_n_mm.free && grip_of(fit.spring_n_mm.high) - grip_of(fit.spring_n_mm.low) > 0.3)
        remarks.push_back("What holds the distal edge in plane could not be told: " +
                          range(fit.spring_n_mm.low, fit.spring_n_mm.high, 0) +
                          " N/mm all follow the readings.");
    if (fit.spring_n_mm.free && grip_of(fit.spring_n_mm.value) > most_grip - 1e-6)
        remarks.emplace_back(
            "The distal edge is as good as held fast: the modulus then hangs on how it is held.");
    if (!told.spread_known)
        remarks.emplace_back(
            "How far one device differs from the next is not known, and not in the prediction interval: "
            "measure "
            "two devices or more of a wall, three in all.");
    std::size_t far = 0;
    for (const CalibratedOne& one : told.devices)
        for (const CalibratedReading& reading : one.readings) far += reading.far ? 1 : 0;
    if (far > 0)
        remarks.push_back(std::to_string(far) +
                          " readings lie further from the fit than 3.5 times the noise: look at them.");
    for (const CalibratedOne& one : told.devices)
        if (one.held_out && !one.held_out->inside)
            remarks.push_back("Device " + one.code + " is not what the others predict: " +
                              rounded(100.0 * std::abs(one.held_out->share), 1) + " % " +
                              (one.held_out->share > 0.0 ? "stiffer" : "softer") + ", expected within " +
                              rounded(100.0 * one.held_out->within, 1) + " %.");
    if (told.left_out > 0)
        remarks.push_back(
            std::to_string(told.left_out) +
            " readings are left out: there the arch rests on the ground, or nearly, and the ground's "
            "share is not the material's.");
    if (measurements.friction || measurements.distal_spring_n_mm)
        remarks.emplace_back(
            "Friction or spring are taken as stated: an error of theirs goes into the modulus and is in no "
            "interval.");
}

}  // namespace

Outcome<Calibrated> calibrate(const Measurements& measurements, std::vector<DeviceTable> tables,
                              Progress* progress) {
    if (tables.size() != measurements.devices.size())
        return Fault{FaultKind::internal, "calibrate", "not every device has its table.", {}};
    if (walls_of(measurements.devices) < 2)
        return Fault{FaultKind::input, "calibrate", "one wall alone calibrates nothing.", {}};
    Calibrated told;
    told.walls = walls_of(measurements.devices);
    told.spread_known = tells_spread(measurements.devices);
    told.repeats_mm = by_repeats(measurements.devices);

    double scale = 1.0;
    Restraint restraint{measurements.distal_spring_n_mm.value_or(0.0), measurements.friction.value_or(0.0)};
    Selected selected;
    // what rests depends on the modulus: until no reading comes in or goes out
    const auto fit_all = [&]() -> Outcome<Done> {
        for (int round = 0; round < most_selections; ++round) {
            auto now = select(measurements, tables, scale, restraint);
            if (!now) return now.fault();
            if (round > 0 && now->used == selected.used) break;
            selected = std::move(*now);
            told.remarks.clear();
            auto found = fit_with_noise(selected.input, measurements, told.repeats_mm, told.remarks);
            if (!found) return found.fault();
            told.fit = std::move(*found);
            scale = told.fit.modulus_scale.value;
            restraint = told.fit.restraint();
        }
        return Done{};
    };
    if (const auto fitted = fit_all(); !fitted) return fitted.fault();
    for (int round = 0; round < most_askings; ++round) {
        const auto moved = ask_again(tables, selected.input, told.fit, round, progress);
        if (!moved) return moved.fault();
        if (!*moved) break;  // nobody to ask
        ++told.asked_again;
        if (const auto fitted = fit_all(); !fitted) return fitted.fault();
        if (**moved < std::max(stays_mm, stays_share * told.fit.noise_mm)) break;
    }
    told.used = selected.used;
    told.left_out = selected.left_out;

    for (std::size_t d = 0; d < measurements.devices.size(); ++d) {
        const MeasuredDevice& device = measurements.devices[d];
        CalibratedOne one;
        one.code = device.code;
        one.wall_mm = device.wall_mm;
        one.scale = told.fit.device_scale[d];
        if (const Response* press = tables[d].of(flex::LoadCase::arch_press))
            one.touchdown_n = press->touchdown_n(scale, restraint);
        for (const Loading& loading : device.loadings) {
            const std::string key = flex::key(loading.load_case);
            if (std::find(told.loads.begin(), told.loads.end(), key) == told.loads.end())
                told.loads.push_back(key);
            for (const Reading& reading : loading.readings)
                one.readings.push_back(
                    {loading.load_case, loading.run, reading.row, reading.load_n, {}, {}, true, false});
        }
        std::vector<MeasuredDevice> others = measurements.devices;
        others.erase(others.begin() + static_cast<std::ptrdiff_t>(d));
        if (walls_of(others) < 2) {
            one.not_held_out = "without it one wall is left";
        } else {
            auto predicted = hold_out(selected.input, static_cast<int>(d), tells_spread(others));
            if (predicted)
                one.held_out = *predicted;
            else
                one.not_held_out = predicted.fault().message;
        }
        told.devices.push_back(std::move(one));
    }
    for (const FitResidual& residual : told.fit.residuals) {
        const Source& source = selected.sources[residual.loading];
        if (source.reading.empty()) continue;  // the rigid block
        const std::size_t reading = (residual.slide ? source.slide : source.reading)[residual.reading];
        std::size_t before = 0;
        for (std::size_t l = 0; l < source.loading; ++l)
            before += measurements.devices[source.device].loadings[l].readings.size();
        CalibratedReading& at = told.devices[source.device].readings[before + reading];
        at.left_out = false;
        (residual.slide ? at.slide_mm : at.deflection_mm) = residual.mm;
        at.far = at.far || std::abs(residual.mm) >
                               far_times * (residual.slide ? told.fit.slide_noise_mm : told.fit.noise_mm);
    }
    tell_remarks(measurements, told);
    return told;
}

Outcome<Done> worth_entering(const Calibrated& calibrated) {
    const Estimate& scale = calibrated.fit.modulus_scale;
    const auto not_worth = [](const std::string& what) {
        return Fault{FaultKind::check, "calibrate", what, {}};
    };
    if (scale.high / scale.low > (1.0 + worst_share) * (1.0 + worst_share))
        return not_worth(
            "The scale is known only as " + rounded(scale.low, 2) + " to " + rounded(scale.high, 2) +
            ": that is no calibration (the interval may be 25 % to either side). " +
            (calibrated.told_apart ? "Measure more devices."
                                   : "The readings do not tell the material from the supports."));
    if (scale.low <= least_scale * 1.001 || scale.high >= most_scale * 0.999)
        return not_worth("The scale comes to an end of what is looked for, " + rounded(least_scale, 1) +
                         " to " + rounded(most_scale, 1) + ": look at units, material and jobs.");
    return Done{};
}

design::Calibration Calibrated::entry(const Measurements& measurements, const std::string& by,
                                      const std::string& date) const {
    design::Calibration entry;
    entry.modulus_scale = fit.modulus_scale.value;
    entry.scale_low = fit.modulus_scale.low;
    entry.scale_high = fit.modulus_scale.high;
    entry.interval_percent = 100.0 * fit.prediction_share;
    entry.by = by;
    entry.date = date;
    for (const std::string& load : loads) entry.loads += (entry.loads.empty() ? "" : ", ") + load;
    entry.devices = static_cast<int>(devices.size());
    entry.wall_low_mm = entry.wall_high_mm = devices.front().wall_mm;
    if (spread_known) entry.device_spread_percent = 100.0 * fit.device_spread;
    entry.residual_mm = fit.noise_mm;
    if (entry.loads.find(flex::key(flex::LoadCase::arch_press)) != std::string::npos) {
        entry.friction = fit.friction.value;
        entry.distal_spring_n_mm = fit.spring_n_mm.value;
    }
    entry.measurements = measurements.sha256;
    for (const CalibratedOne& one : devices) {
        entry.wall_low_mm = std::min(entry.wall_low_mm, one.wall_mm);
        entry.wall_high_mm = std::max(entry.wall_high_mm, one.wall_mm);
        design::CalibratedDevice device;
        device.code = one.code;
        device.wall_mm = one.wall_mm;
        device.scale = one.scale;
        if (one.held_out) device.held_out_percent = 100.0 * one.held_out->share;
        for (const CalibratedReading& reading : one.readings)
            if (reading.deflection_mm) device.residuals.emplace_back(reading.load_n, *reading.deflection_mm);
        entry.measured.push_back(std::move(device));
    }
    return entry;
}

}  // namespace archwright::calibrate
