#include "exporters/papers/device_record.hpp"

#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "engine/design/decisions.hpp"
#include "engine/design/fingerprint.hpp"
#include "exporters/comparing/page.hpp"
#include "exporters/kept_samples.hpp"
#include "exporters/papers/remake_log.hpp"

namespace archwright::exporters::papers {

namespace {

using RecordJson = nlohmann::ordered_json;
using comparing::Page;
using picture::Colour;

struct ToFill {
    const char *key, *words;
};
constexpr ToFill making[] = {{"material_batch", "Material: maker, grade, batch"},
                             {"machine", "Machine and its number"},
                             {"operator", "Made by (code)"},
                             {"made_on", "Made on (date)"},
                             {"measured_wall_mm", "Wall measured, mm, and where"},
                             {"released_by", "Released by (code)"},
                             {"released_on", "Released on (date)"}};
constexpr ToFill statement[] = {{"maker", "Maker: name and address"},
                                {"device_identification", "What identifies the device"},
                                {"person_code", "Made for the sole use of (code)"},
                                {"prescriber", "Prescribed by, and where"},
                                {"features", "Features asked by the prescription"},
                                {"requirements", "Requirements met; those not met, with reasons"},
                                {"place_date_signature", "Place, date, signature"}};
constexpr double record_width = 210.0, record_height = 297.0, record_edge = 14.0, foot_of_page = 18.0,
                 record_bar_mm = 100.0;
constexpr double record_type = 2.9, line_gap = 1.4 * record_type;

Colour record_ink() {
    return Colour::hex(0x1B242B);
}

/// One line of the record, already broken; `rule`: a line to write on.
struct Line {
    std::string text;
    double x = record_edge;
    bool bold = false, rule = false;
};

struct Flow {
    std::vector<Line> lines;

    void words(const std::string& text, double x = record_edge, bool bold = false) {
        const Page::Type type{record_type, bold ? picture::Weight::semibold : picture::Weight::regular,
                              record_ink()};
        for (const std::string& line : Page::lines_of(text, record_width - record_edge - x, type))
            lines.push_back({line, x, bold, false});
    }
    void heading(const std::string& text) {
        lines.push_back({});
        words(text, record_edge, true);
    }
    void fill(const std::string& text) {
        lines.push_back({});  // room for a hand
        lines.push_back({text, record_edge, false, true});
    }
};

std::string of_check(const Check& check) {
    return std::string("[") + word(check.verdict) + "] " + check.title + " (" + check.id +
           "): " + check.message;
}

Flow flow_of(const DeviceRecord& r) {
    Flow f;
    f.words("Case " + r.case_code + ", " + word(r.side) + ", revision " + r.revision +
            (r.revision_date.empty() ? std::string() : " of " + r.revision_date) +
            (r.laboratory.empty() ? std::string() : "; laboratory " + r.laboratory) +
            (r.prescriber.empty() ? std::string() : "; prescriber " + r.prescriber));
    f.words(std::string("Archwright ") + version + "; material of the design: " + r.material_name);
    f.words("Fingerprint of the design: " + r.fingerprint);
    f.words(r.approval_words);
    f.words(no_declaration, record_edge, true);
    f.heading("Made of, and made (SHA-256)");
    f.words("cast " + r.cast_file + ": " + r.cast_sha256);
    f.words("job: " + r.job_sha256);
    for (const DeliveredFile& file : r.outputs)
        f.words(file.name + " (" + std::to_string(file.bytes) + " bytes): " + file.sha256);
    f.heading("Signed for");
    if (r.signed_off.empty()) f.words("Nothing was signed for.");
    for (const DeviceRecord::Signed& one : r.signed_off)
        f.words(one.sign_off.check + " by " + one.sign_off.by +
                (one.sign_off.second.empty() ? std::string() : " and " + one.sign_off.second) + ": " +
                one.sign_off.reason + (one.valid ? "" : " (void: the design was changed afterwards)"));
    f.heading("Checks");
    for (const Check& check : r.checks) f.words(of_check(check));
    f.heading("To be filled in by the maker");
    for (const ToFill& one : making) f.fill(one.words);
    f.heading("Where it comes back: code and cause");
    std::string codes;
    for (const RemakeCode& one : remake_codes())
        codes += (codes.empty() ? "" : "; ") + one.code + " " + one.words;
    f.words(codes);
    for (const char* what : {"Code", "Cause, and what was changed"}) f.fill(what);
    f.heading("What a statement on a custom-made device usually needs, for the maker to complete");
    f.words(no_declaration);
    for (const ToFill& one : statement) f.fill(one.words);
    return f;
}

void draw_record_page(Page& page, const DeviceRecord& r, const std::vector<Line>& lines, std::size_t number,
                      std::size_t of) {
    page.frame({record_width - record_edge - 12.0, record_edge - 3.0, 12.0, 12.0}, record_ink(), 0.6);
    page.write(r.side == Side::left ? "L" : "R", {record_width - record_edge - 6.0, record_edge + 5.8},
               {8.5, picture::Weight::semibold, record_ink()}, picture::Align::centre);
    page.write("Device record", {record_edge, record_edge + 2.0},
               {5.4, picture::Weight::semibold, record_ink()});
    page.write(r.case_code + " " + word(r.side) + " " + r.revision + ", page " + std::to_string(number) +
                   " of " + std::to_string(of),
               {record_edge, record_edge + 7.4}, {3.4, picture::Weight::regular, record_ink()});
    double y = record_edge + 13.0;
    for (const Line& line : lines) {
        y += line_gap;
        const Page::Type type{record_type, line.bold ? picture::Weight::semibold : picture::Weight::regular,
                              record_ink()};
        if (!line.text.empty()) page.write(line.text, {line.x, y}, type);
        if (line.rule)
            page.line({record_edge + 82.0, y + 0.6}, {record_width - record_edge, y + 0.6}, record_ink(),
                      0.2);
    }
    const double at = record_height - 9.0;
    page.line({record_edge, at}, {record_edge + record_bar_mm, at}, record_ink(), 0.35);
    for (int k = 0; k <= 10; ++k)
        page.line({record_edge + 10.0 * k, at}, {record_edge + 10.0 * k, at - (k % 5 == 0 ? 3.0 : 1.8)},
                  record_ink(), 0.3);
    page.write("100 mm where the page is printed at its own size", {record_edge + record_bar_mm + 3.0, at},
               {2.5, picture::Weight::regular, record_ink()});
}

RecordJson blanks(std::span<const ToFill> fields) {
    RecordJson out = RecordJson::object();
    for (const ToFill& one : fields) out[one.key] = "";
    return out;
}

}  // namespace

const char* const no_declaration =
    "This record is no declaration of conformity: it tells what the program was given and what it found. "
    "What a "
    "device must meet, and who declares it, is the maker's to know and to sign.";

DeviceRecord record_of(const design::Job& job, const std::string& job_text, const build::Device& device,
                       std::vector<DeliveredFile> outputs) {
    const design::FootDesign& foot = *job.foot(device.side);
    DeviceRecord r;
    r.case_code = device.case_code;
    r.revision = device.revision;
    r.revision_date = job.revisions.back().date;
    r.laboratory = job.laboratory;
    r.prescriber = job.order.prescriber;
    r.side = device.side;
    r.fingerprint = design::fingerprint(job, device.side);
    r.cast_file = device.received->cast->name;
    r.cast_sha256 = device.received->cast->sha256;
    r.job_sha256 = sha256(job_text);
    r.material_key = device.shelled->material.key;
    r.material_name = device.shelled->material.name;
    r.outputs = std::move(outputs);
    r.checks = device.checks;
    r.samples = compare::samples_of(device);
    for (const design::SignOff& one : foot.sign_offs)
        r.signed_off.push_back({one, design::is_of(job, device.side, one.fingerprint)});
    const design::ApprovalState approval = design::approval_state(job, device.side);
    if (approval.holds) r.approval = approval.last;
    r.approval_words = approval.words;
    for (const design::Setting& one : approval.changed) r.changed.push_back(one.name);
    return r;
}

RecordJson record_json(const DeviceRecord& r) {
    RecordJson outputs = RecordJson::array(), checks = RecordJson::array(), sign_offs = RecordJson::array(),
               codes = RecordJson::object();
    for (const DeliveredFile& file : r.outputs)
        outputs.push_back({{"file", file.name}, {"bytes", file.bytes}, {"sha256", file.sha256}});
    for (const Check& check : r.checks) {
        RecordJson one{{"id", check.id},
                       {"title", check.title},
                       {"verdict", word(check.verdict)},
                       {"message", check.message}};
        if (check.figure) one["figure"] = *check.figure;
        if (check.limit) one["limit"] = *check.limit;
        if (!check.unit.empty()) one["unit"] = check.unit;
        checks.push_back(std::move(one));
    }
    for (const DeviceRecord::Signed& one : r.signed_off)
        sign_offs.push_back({{"check", one.sign_off.check},
                             {"by", one.sign_off.by},
                             {"second", one.sign_off.second},
                             {"reason", one.sign_off.reason},
                             {"holds", one.valid}});
    for (const RemakeCode& one : remake_codes()) codes[one.code] = one.words;
    RecordJson approval = nullptr;
    if (r.approval)
        approval = {{"revision", r.approval->revision}, {"by", r.approval->by}, {"date", r.approval->date}};
    return {{"record", 1},
            {"program", {{"name", "Archwright"}, {"version", version}}},
            {"case", r.case_code},
            {"side", word(r.side)},
            {"revision", r.revision},
            {"revision_date", r.revision_date},
            {"laboratory", r.laboratory},
            {"prescriber", r.prescriber},
            {"fingerprint", r.fingerprint},
            {"cast", {{"file", r.cast_file}, {"sha256", r.cast_sha256}}},
            {"job_sha256", r.job_sha256},
            {"material", {{"key", r.material_key}, {"name", r.material_name}}},
            {"outputs", outputs},
            {"approval", approval},
            {"approval_words", r.approval_words},
            {"changed_since_approval", r.changed},
            {"sign_offs", sign_offs},
            {"checks", checks},
            {"making", blanks(making)},
            {"remake", {{"code", ""}, {"cause", ""}, {"codes", codes}}},
            {"statement", blanks(statement)},
            {"samples", samples_json(r.samples)},
            {"note", no_declaration}};
}

Outcome<std::string> record_pdf(const DeviceRecord& record) {
    const Flow flow = flow_of(record);
    const auto on_page =
        static_cast<std::size_t>((record_height - record_edge - 13.0 - foot_of_page) / line_gap);
    std::vector<std::vector<Line>> pages(1);
    for (std::size_t k = 0; k < flow.lines.size(); ++k) {
        const Line& line = flow.lines[k];
        // a heading stays with what follows it, a line to write on with its room
        const bool alone = pages.back().size() + 3 >= on_page && line.text.empty();
        if (pages.back().size() >= on_page || (alone && !pages.back().empty())) pages.emplace_back();
        if (pages.back().empty() && line.text.empty() && !line.rule) continue;
        pages.back().push_back(line);
    }
    std::vector<comparing::Draw> draws;
    for (std::size_t k = 0; k < pages.size(); ++k)
        draws.emplace_back([&record, &pages, k](Page& page) {
            draw_record_page(page, record, pages[k], k + 1, pages.size());
        });
    return comparing::pages_pdf(
        draws, record_width, record_height,
        record.case_code + " " + word(record.side) + " " + record.revision + ", device record");
}

}  // namespace archwright::exporters::papers
