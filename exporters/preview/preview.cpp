#include "exporters/preview/preview.hpp"

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/material.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/of_device.hpp"
#include "exporters/preview/figures.hpp"
#include "exporters/preview/html.hpp"
#include "exporters/preview/packed.hpp"

namespace archwright::exporters::preview {

const char* const what_it_is =
    "This is a preview of a design, to be looked at before it is made; it is not the device. Figures and "
    "colours are of the design's own surfaces. Whether it is right for the foot is for the prescriber to "
    "judge.";

namespace {

using PageJson = nlohmann::ordered_json;

// which part of the shell a triangle is of: the page draws, colours and names them apart
enum Group : std::uint8_t { foot_side, underside, edges };

std::vector<std::uint8_t> groups_of(const surface::ShellMesh& mesh) {
    std::vector<std::uint8_t> group(mesh.mesh.triangles.size(), edges);
    for (std::size_t t = 0; t < group.size() && t < mesh.underside_end; ++t)
        group[t] = t < mesh.foot_side_end ? foot_side : underside;
    return group;
}

std::string cell(const std::string& text) {
    return "<td>" + apart(text) + "</td>";
}

std::string table_of(const std::vector<FigureRow>& rows) {
    std::string html = "<table><thead><tr><th></th><th>asked</th><th>measured</th></tr></thead><tbody>\n";
    for (const FigureRow& row : rows)
        html += "<tr><th>" + apart(row.name) + "</th>" + cell(row.asked) + cell(row.measured) + "</tr>\n";
    return html + "</tbody></table>";
}

std::string list_of(const std::vector<Check>& checks) {
    std::string html = "<ul class=\"seen\">\n";
    for (const Check& check : checks)
        html += std::string("<li class=\"") + word(check.verdict) + "\"><b>" +
                (check.verdict == Verdict::stop ? "Stop: " : "") + apart(check.title) + ".</b> " +
                apart(check.message) + "</li>\n";
    return html + "</ul>";
}

/// What the person who answers has to see: always open.
std::string seen_of(const std::vector<Check>& checks) {
    return checks.empty() ? std::string() : list_of(checks);
}

/// What the laboratory's checks ask to look at: folded away, with their number.
std::string looks_of(const std::vector<Check>& checks) {
    if (checks.empty()) return "<p>No check asks for a second look.</p>";
    return "<details><summary>" + std::to_string(checks.size()) +
           (checks.size() == 1 ? " check asks" : " checks ask") + " for a second look</summary>\n" +
           list_of(checks) + "</details>";
}

std::string list_of(const std::vector<SignedFor>& all) {
    if (all.empty()) return "<p>Nothing was signed for.</p>";
    std::string html = "<ul>\n";
    for (const SignedFor& one : all)
        html += "<li><b>" + apart(one.title) + "</b>, signed by " + apart(one.sign_off.by) +
                (one.sign_off.second.empty() ? std::string() : " and " + apart(one.sign_off.second)) + ": " +
                apart(one.sign_off.reason) +
                (one.holds ? std::string() : " (void: the design was changed afterwards)") + "</li>\n";
    return html + "</ul>";
}

/// What the order asks, in the prescriber's own words.
std::string order_of(const design::Job& job) {
    std::string html;
    const auto row = [&](const char* name, const std::string& text) {
        if (!text.empty()) html += std::string("<dt>") + name + "</dt><dd>" + apart(text) + "</dd>\n";
    };
    row("Asked", job.order.asked);
    row("Complaint", job.order.complaint);
    row("Prescriber", job.order.prescriber);
    row("Laboratory", job.laboratory);
    row("Note of the revision", job.revisions.back().note);
    return html.empty() ? html : "<h2>Order</h2>\n<dl>\n" + html + "</dl>";
}

std::string state_of(const design::Job& job, Side side, bool may_be_accepted) {
    if (const design::Approval* holds = design::valid_approval(job, side))
        return "<p class=\"state pass\">Approved by " + apart(holds->by) +
               (holds->date.empty() ? std::string() : ", " + apart(holds->date)) + ".</p>";
    if (!may_be_accepted)
        return "<p class=\"state stop\">A check stopped this design: it cannot be accepted as it is. "
               "Questions "
               "can be answered all the same.</p>";
    return "<p class=\"state\">Waiting for an answer.</p>";
}

/// The files of assets/preview joined, in this order.
Outcome<std::string> assets_joined(std::initializer_list<const char*> names) {
    std::string all;
    for (const char* name : names) {
        const auto file = FileBytes::read(design::assets_folder() / "preview" / name);
        if (!file) return file.fault();
        all += std::string(file->text());
    }
    return all;
}

/// JSON within a script element: nothing in it may look like the element's end.
std::string within_script(const PageJson& json) {
    std::string out;
    for (const char c : json.dump(-1, ' ', false, PageJson::error_handler_t::replace))
        if (c == '<')
            out += "\\u003c";
        else
            out += c;
    return out;
}

}  // namespace

Outcome<PreviewPage> preview_page(const design::Job& job, const build::Device& device, Progress& progress) {
    const Side side = device.side;
    const design::FootDesign& foot = *job.foot(side);
    const auto form = assets_joined({"page.html"}), look = assets_joined({"look.css"}),
               script = assets_joined({"view.js", "section.js", "answer.js", "page.js"});
    for (const auto* file : {&form, &look, &script})
        if (!*file) return file->fault();

    const picture::PictureInput input = picture::input_of(device, foot);
    const picture::Subject subject(input);
    const surface::ShellMesh& made = device.made();
    std::vector<double> distances = subject.deviations();
    distances.resize(made.mesh.points.size(), std::numeric_limits<double>::quiet_NaN());
    const auto shell =
        packed_body(made.mesh, groups_of(made), {{"wall", subject.walls()}, {"distance", distances}},
                    most_of_shell, side, progress);
    if (!shell) return shell.fault();
    const auto cast = packed_body(device.received->standing.mesh, {}, {}, most_of_cast, side, progress);
    if (!cast) return cast.fault();
    PageJson parts = PageJson::array();
    for (const build::Part& part : device.shelled->parts) {
        auto body = packed_body(part.mesh.mesh, {}, {}, most_of_part, side, progress);
        if (!body) return body.fault();
        parts.push_back(std::move(body->json));
    }

    PreviewPage page;
    page.triangles = shell->triangles;
    page.of_triangles = shell->of_triangles;
    page.off_mm = shell->off_mm;
    page.may_be_accepted = device.open_stops().empty();
    const std::string fingerprint = design::fingerprint(job, side);
    const PageJson data{{"case", device.case_code},
                        {"side", word(side)},
                        {"revision", device.revision},
                        {"fingerprint", fingerprint},
                        {"may_be_accepted", page.may_be_accepted},
                        {"shell", shell->json},
                        {"cast", cast->json},
                        {"parts", parts},
                        {"scales",
                         {{"wall", packed_scale(picture::wall_scale(subject))},
                          {"distance", packed_scale(picture::deviation_scale(subject))}}}};
    const std::string date = job.revisions.back().date;
    const std::string policy = "default-src 'none'; script-src " + source_hash(*script) + "; style-src " +
                               source_hash(*look) + "; base-uri 'none'; form-action 'none'";
    const auto drawn = [](const PackedBody& body) {
        return std::to_string(body.triangles) + " of " + std::to_string(body.of_triangles) +
               " triangles, within " + rounded(body.off_mm, 2) + " mm";
    };
    auto html =
        filled(*form, {{"policy", escaped(policy)},
                       {"title", escaped("Preview: " + device.case_code + ", " + word(side) + ", revision " +
                                         device.revision)},
                       {"look", *look},
                       {"script", *script},
                       {"data", within_script(data)},
                       {"case", apart(device.case_code)},
                       {"letter", side == Side::left ? "L" : "R"},
                       {"side", word(side)},
                       {"revision", apart(device.revision + (date.empty() ? std::string() : " of " + date))},
                       {"state", state_of(job, side, page.may_be_accepted)},
                       {"what_it_is", escaped(what_it_is)},
                       {"order", order_of(job)},
                       {"seen", seen_of(to_be_seen(device))},
                       {"looks", looks_of(other_looks(device))},
                       {"figures", table_of(figure_rows(device, foot))},
                       {"signed", list_of(signed_for(job, device))},
                       {"fingerprint", escaped(fingerprint)},
                       {"program", escaped(std::string("Archwright ") + version)},
                       {"drawn", escaped("shell " + drawn(*shell) + "; cast " + drawn(*cast))}});
    if (!html) return html.fault();
    page.html = std::move(*html);
    return page;
}

}  // namespace archwright::exporters::preview
