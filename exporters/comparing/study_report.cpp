#include "exporters/comparing/study_report.hpp"

#include <bit>
#include <cmath>
#include <cstring>
#include <set>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/picture/colour_map.hpp"
#include "exporters/comparing/study_plots.hpp"

namespace archwright::exporters::comparing {

namespace {

using picture::Box;
using picture::Colour;
using picture::Weight;

constexpr double sheet_w = 210.0, sheet_h = 297.0, sheet_margin = 18.0,
                 sheet_room = sheet_w - 2.0 * sheet_margin;
const Colour report_ink = Colour::hex(0x1B242B), report_soft = Colour::hex(0x5A6770),
             report_rule = Colour::hex(0xC9D1D6), report_blue = Colour::hex(0x1F5FA8);
const Page::Type report_body{3.5, Weight::regular, report_ink},
    report_small{2.8, Weight::regular, report_soft}, report_strong{3.5, Weight::semibold, report_ink},
    report_heading{6.0, Weight::semibold, report_ink}, report_sub{4.2, Weight::semibold, report_blue};

/// Text flows down pages; a new one begins where there is no room.
class Flow {
  public:
    explicit Flow(std::string foot) : foot_(std::move(foot)) { new_page(); }

    void new_page() {
        pages_.emplace_back();
        y_ = sheet_margin + 4.0;
    }
    void need(double height) {
        if (y_ + height > sheet_h - sheet_margin) new_page();
    }
    void gap(double height) { y_ += height; }
    void words(const std::string& text, const Page::Type& type, double indent = 0.0) {
        for (const std::string& line : Page::lines_of(text, sheet_room - indent, type)) {
            need(Page::leading(type));
            const Vec2 at(sheet_margin + indent, y_);
            add([line, at, type](Page& page) { page.write(line, at, type); });
            y_ += Page::leading(type);
        }
    }
    void rule() {
        const double y = y_ - 2.0;
        add([y](Page& page) { page.line({sheet_margin, y}, {sheet_w - sheet_margin, y}, report_rule, 0.2); });
        y_ += 2.0;
    }
    /// A drawing over the whole width.
    void drawing(double height, const std::function<void(Page&, const Box&)>& draw) {
        need(height);
        const Box box{sheet_margin, y_, sheet_room, height};
        add([box, draw](Page& page) { draw(page, box); });
        y_ += height + 4.0;
    }
    /// Cells in columns that begin at these shares of the width.
    void row(const std::vector<std::string>& cells, const std::vector<double>& at, const Page::Type& type) {
        need(Page::leading(type));
        const double y = y_;
        add([cells, at, type, y](Page& page) {
            for (std::size_t i = 0; i < cells.size(); ++i)
                page.write(cells[i], {sheet_margin + at[i] * sheet_room, y}, type);
        });
        y_ += Page::leading(type);
    }
    std::vector<Draw> pages() const {
        std::vector<Draw> out;
        for (std::size_t i = 0; i < pages_.size(); ++i) {
            const std::string number = std::to_string(i + 1) + " / " + std::to_string(pages_.size());
            out.emplace_back([this_page = pages_[i], number, foot = foot_](Page& page) {
                for (const Draw& draw : this_page) draw(page);
                page.write(foot, {sheet_margin, sheet_h - 10.0}, report_small);
                page.write(number, {sheet_w - sheet_margin, sheet_h - 10.0}, report_small,
                           picture::Align::right);
            });
        }
        return out;
    }

  private:
    void add(Draw draw) { pages_.back().push_back(std::move(draw)); }

    std::vector<std::vector<Draw>> pages_;
    std::string foot_;
    double y_ = 0.0;
};

std::string limits_words(const statistic::Estimate& e, int decimals) {
    return rounded(e.value, decimals) + " (" + rounded(e.low, decimals) + " to " + rounded(e.high, decimals) +
           ")";
}

std::string finding_title(const StudyReport& report, const study::Finding& f) {
    return f.quantity.title + (report.table.several_methods ? ", " + f.method : "");
}

void first_page(Flow& flow, const StudyReport& report) {
    flow.words("How well casts repeat", report_heading);
    flow.gap(1.0);
    flow.words("Study " + report.table.name, report_small);
    flow.gap(2.0);
    for (const std::string& line : study_size(report)) flow.words(line, report_body);
    flow.gap(3.0);
    flow.rule();
    for (const study::Finding& f : report.analysis.findings) {
        flow.need(24.0);
        flow.gap(2.5);
        flow.words(finding_title(report, f), report_sub);
        for (const std::string& line : plain_words(f)) flow.words(line, report_body);
    }
    if (report.analysis.findings.empty())
        flow.words("Nothing was measured twice on two feet or more: there is nothing to say.", report_body);
    flow.gap(4.0);
    flow.rule();
    flow.words(
        "\"Differ by less than, 95 times of 100\": what is smaller may be chance, what is larger is a "
        "real difference of the foot, or a mistake. These figures say how well casts repeat. They do not "
        "say that a cast is right, and nothing about what a device does for the person who wears it.",
        report_small);
}

void icc_rows(Flow& flow, const char* name, const statistic::IntraclassCorrelations& icc, int targets,
              const study::Quantity& quantity) {
    const statistic::MeasurementError one = statistic::error_of_consistency(icc.squares),
                                      two = statistic::error_of_agreement(icc.squares);
    flow.need(26.0);
    flow.gap(1.5);
    flow.words(
        std::string(name) + ", " + std::to_string(targets) + " by " + std::to_string(icc.squares.raters),
        {2.8, Weight::semibold, report_ink});
    const std::vector<double> at{0.0, 0.2, 0.47, 0.74};
    flow.row({"ICC (95 %)", "one way", "agreement", "consistency"}, at, report_small);
    const Page::Type type{2.8, Weight::regular, report_ink};
    flow.row({"of one", limits_words(icc.one_way, 2), limits_words(icc.agreement, 2),
              limits_words(icc.consistency, 2)},
             at, type);
    flow.row({"of the mean", limits_words(icc.one_way_mean, 2), limits_words(icc.agreement_mean, 2),
              limits_words(icc.consistency_mean, 2)},
             at, type);
    flow.row({"SEM; MDC95", "", figure_words(two.sem, quantity) + "; " + figure_words(two.mdc95, quantity),
              figure_words(one.sem, quantity) + "; " + figure_words(one.mdc95, quantity)},
             at, type);
}

void finding_page(Flow& flow, const StudyReport& report, const study::Finding& f) {
    flow.new_page();
    flow.words(finding_title(report, f), report_heading);
    flow.gap(2.0);
    for (const std::string& line : plain_words(f)) flow.words(line, report_body);
    flow.gap(3.0);
    flow.drawing(60.0, [&f](Page& page, const Box& box) { draw_scatter(page, box, f); });
    flow.drawing(7.0 + 9.0 * static_cast<double>(f.origins.size() - 1),
                 [&f](Page& page, const Box& box) { draw_sources(page, box, f); });
    if (f.first_and_second)
        flow.drawing(50.0, [&f](Page& page, const Box& box) {
            draw_agreement(page, box, *f.first_and_second, f.quantity);
        });
    flow.rule();
    flow.gap(1.0);
    flow.words(
        "For those who ask: " + std::to_string(f.values) + " values, mean " +
            figure_words(f.mean, f.quantity) +
            (f.repeats ? "; technical error of measurement " + figure_words(f.repeats->tem, f.quantity) +
                             (f.quantity.unit == "mm" && f.mean > 0.0
                                  ? " (" + rounded(f.repeats->tem_percent, 1) + " %)"
                                  : std::string())
                       : std::string()) +
            ".",
        report_small);
    if (f.casters_icc)
        icc_rows(flow, "Feet by persons, first casts", *f.casters_icc, f.casters_icc_feet, f.quantity);
    if (f.repeats_icc)
        icc_rows(flow, "A person's feet by casts", *f.repeats_icc, f.repeats_icc_targets, f.quantity);
}

Flow flow_of(const StudyReport& report) {
    Flow flow("Archwright, study " + report.table.name + ", SHA-256 " + report.table.sha256.substr(0, 12));
    first_page(flow, report);
    for (const study::Finding& f : report.analysis.findings) finding_page(flow, report, f);
    for (const study::MethodsCompared& m : report.analysis.methods) {
        flow.new_page();
        flow.words(m.quantity.title + ": " + m.pairs.first + " against " + m.pairs.second, report_heading);
        flow.gap(2.0);
        for (const std::string& line : plain_words(m)) flow.words(line, report_body);
        flow.gap(3.0);
        flow.drawing(90.0,
                     [&m](Page& page, const Box& box) { draw_agreement(page, box, m.pairs, m.quantity); });
        flow.words(
            "Each dot is one foot by one person. The bands are what the mean and the limits may be (95 %; "
            "Bland and Altman 1986).",
            report_small);
    }
    if (!report.surfaces.empty()) {
        flow.new_page();
        flow.words("Where on the sole casts of one foot part", report_heading);
        flow.gap(2.0);
        flow.words(
            "Standard deviation of the casts along the sole's normal after they were laid on one another, "
            "all feet together, each drawn as long as the others.",
            report_body);
        flow.gap(2.0);
        const study::DeviationPlan plan = deviation_plan(report.surfaces);
        flow.drawing(130.0, [plan](Page& page, const Box& box) { draw_deviation_plan(page, box, plan); });
        for (const study::MeanSurface& s : report.surfaces)
            flow.words("Foot " + s.foot + ", " + std::to_string(s.casts) +
                           " casts: " + rounded(s.usual_sd_mm, 2) + " mm at half of the places, below " +
                           rounded(s.most_sd_mm, 2) + " mm at 95 of 100.",
                       report_small);
    }
    if (!report.spreads.empty()) {
        flow.new_page();
        flow.words("Landmarks marked again", report_heading);
        flow.gap(2.0);
        flow.words(
            "Standard deviation of a place, mm. In place of the program's own 1 mm it goes into every angle "
            "of a job by: archwright landmark JOB all --spread landmarks.csv",
            report_body);
        flow.gap(2.0);
        const std::vector<double> at{0.0, 0.45, 0.75};
        flow.row({"Landmark", "mm (95 %)", "markings"}, at, report_small);
        for (const study::LandmarkSpread& s : report.spreads)
            flow.row({foot::title(s.id), limits_words({s.sd_all_mm, s.sd_low_mm, s.sd_high_mm}, 2),
                      std::to_string(s.markings)},
                     at, report_body);
    }
    if (!report.mistakes.empty() || !report.analysis.remarks.empty()) {
        flow.new_page();
        flow.words("Left out, and why", report_heading);
        flow.gap(2.0);
        for (const study::Mistake& m : report.mistakes) {
            flow.words("Row " + std::to_string(m.row) + ", " + m.cast, report_strong);
            flow.words(m.words, report_body);
            flow.gap(1.5);
        }
        for (const std::string& remark : report.analysis.remarks) flow.words(remark, report_body);
    }
    return flow;
}

/// Names for files: letters, digits, dashes and underscores.
std::string file_name(std::string text) {
    for (char& c : text)
        if (!((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' ||
              c == '_'))
            c = '-';
    return text;
}

}  // namespace

Outcome<std::string> study_pdf(const StudyReport& report) {
    return pages_pdf(flow_of(report).pages(), sheet_w, sheet_h, "Study " + report.table.name);
}

Outcome<Done> write_coloured_ply(const TriangleMesh& mesh, const std::vector<double>& values, double low,
                                 double high, bool signed_values, const std::filesystem::path& target) {
    static_assert(std::endian::native == std::endian::little);
    const picture::ColourMap& map =
        signed_values ? picture::ColourMap::deviation() : picture::ColourMap::utilisation();
    std::string bytes =
        "ply\nformat binary_little_endian 1.0\ncomment mm\nelement vertex " +
        std::to_string(mesh.points.size()) +
        "\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nproperty uchar "
        "green\nproperty uchar blue\nproperty float value\nelement face " +
        std::to_string(mesh.triangles.size()) + "\nproperty list uchar int vertex_indices\nend_header\n";
    const auto put = [&](const auto& value) {
        char raw[sizeof(value)];
        std::memcpy(raw, &value, sizeof(value));
        bytes.append(raw, sizeof(value));
    };
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        for (int k = 0; k < 3; ++k) put(static_cast<float>(mesh.points[i][k]));
        const double value = i < values.size() ? values[i] : std::nan("");
        const std::uint32_t rgb =
            (std::isfinite(value) ? map.at((value - low) / (high - low)) : Colour::hex(0xA0A6AA)).packed();
        for (const int shift : {16, 8, 0}) put(static_cast<std::uint8_t>((rgb >> shift) & 255U));
        put(static_cast<float>(value));
    }
    for (const Triangle& t : mesh.triangles) {
        put(std::uint8_t{3});
        for (const std::int32_t corner : t) put(corner);
    }
    return write_file(target, bytes);
}

Outcome<std::vector<std::string>> write_study(const StudyReport& report, const std::filesystem::path& folder,
                                              bool replace) {
    struct File {
        std::string name, bytes;
    };
    std::vector<File> files;
    const auto pdf = study_pdf(report);
    if (!pdf) return pdf.fault();
    files.push_back({"study.pdf", *pdf});
    files.push_back({"study.json", study_json(report).dump(2) + "\n"});
    const auto plot = [&](const std::string& name, const Draw& draw, double w,
                          double h) -> std::optional<Fault> {
        const auto svg = page_svg(draw, w, h);
        if (!svg) return svg.fault();
        constexpr double pixels_per_mm = 8.0;
        const auto image = page_image(draw, w, h, pixels_per_mm);
        if (!image) return image.fault();
        const auto png = picture::encode_png(*image);
        if (!png) return png.fault();
        files.push_back({name + ".svg", *svg});
        files.push_back({name + ".png", *png});
        return std::nullopt;
    };
    for (const study::Finding& f : report.analysis.findings) {
        const std::string name =
            file_name(f.quantity.id + (report.table.several_methods ? "_" + f.method : std::string()));
        if (auto fault = plot(
                name + "_scatter",
                [&](Page& page) {
                    draw_scatter(page, {4, 4, 172, 82}, f);
                },
                180, 90))
            return *fault;
        if (auto fault = plot(
                name + "_sources",
                [&](Page& page) {
                    draw_sources(page, {4, 2, 172, 60}, f);
                },
                180, 64))
            return *fault;
        if (f.first_and_second)
            if (auto fault = plot(
                    name + "_first_second",
                    [&](Page& page) {
                        draw_agreement(page, {4, 4, 172, 82}, *f.first_and_second, f.quantity);
                    },
                    180, 90))
                return *fault;
    }
    for (const study::MethodsCompared& m : report.analysis.methods)
        if (auto fault = plot(
                file_name(m.quantity.id + "_" + m.pairs.first + "_" + m.pairs.second),
                [&](Page& page) {
                    draw_agreement(page, {4, 4, 172, 82}, m.pairs, m.quantity);
                },
                180, 90))
            return *fault;
    if (!report.surfaces.empty()) {
        const study::DeviationPlan plan = deviation_plan(report.surfaces);
        if (auto fault = plot(
                "sole",
                [&](Page& page) {
                    draw_deviation_plan(page, {4, 4, 110, 142}, plan);
                },
                118, 152))
            return *fault;
    }
    if (!report.spreads.empty())
        files.push_back({"landmarks.csv", study::spreads_file(report.spreads, report.table.name)});
    std::vector<std::string> names;
    for (const File& file : files) names.push_back(file.name);
    for (const study::MeanSurface& s : report.surfaces) names.push_back("mean_" + file_name(s.foot) + ".ply");
    std::error_code error;
    std::filesystem::create_directories(folder, error);
    if (error)
        return Fault{
            FaultKind::output, "study", folder.string() + " cannot be made: " + error.message() + ".", {}};
    if (!replace)
        for (const std::string& name : names)
            if (std::filesystem::exists(folder / name, error))
                return Fault{FaultKind::output,
                             "study",
                             (folder / name).string() +
                                 " exists already: --replace writes it anew, or name "
                                 "another folder.",
                             {}};
    for (const File& file : files)
        if (const auto done = write_file(folder / file.name, file.bytes); !done) return done.fault();
    for (const study::MeanSurface& s : report.surfaces)
        if (const auto done = write_coloured_ply(s.mesh, s.sd_mm, 0.0, std::max(s.most_sd_mm, 0.1), false,
                                                 folder / ("mean_" + file_name(s.foot) + ".ply"));
            !done)
            return done.fault();
    return names;
}

}  // namespace archwright::exporters::comparing
