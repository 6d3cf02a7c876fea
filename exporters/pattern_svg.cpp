#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "exporters/pattern_files.hpp"

namespace archwright::exporters {

namespace {

constexpr int svg_decimals = 3;

std::string mm(double value) {
    return rounded(value, svg_decimals);
}

std::string escaped(const std::string& text) {
    std::string out;
    for (const char c : text) {
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else
            out += c;
    }
    return out;
}

std::string path(const PatternSheet::Stroke& stroke) {
    std::string d;
    for (std::size_t i = 0; i < stroke.points.size(); ++i)
        d += (i == 0 ? "M" : i == 1 ? "L" : " ") + mm(stroke.points[i].x()) + "," + mm(stroke.points[i].y());
    return d + (stroke.closed ? "Z" : "");
}

std::string drawn(const PatternSheet::Stroke& stroke) {
    std::string text =
        "    <path class=\"" + escaped(stroke.what) + "\" stroke-width=\"" + mm(stroke.width_mm) + "\"";
    if (!stroke.dashes.empty()) {
        text += " stroke-dasharray=\"";
        for (std::size_t i = 0; i < stroke.dashes.size(); ++i) text += (i ? " " : "") + mm(stroke.dashes[i]);
        text += "\"";
    }
    return text + " d=\"" + path(stroke) + "\"/>\n";
}

Fault svg_differs(const std::string& what) {
    return Fault{FaultKind::output, "write", "SVG: read back, " + what + ".", {}};
}

}  // namespace

std::string pattern_svg(const PatternSheet& sheet) {
    const std::string w = mm(sheet.width_mm), h = mm(sheet.height_mm);
    std::string text =
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"" + w +
        "mm\" height=\"" + h + "mm\" viewBox=\"0 0 " + w + " " + h + "\">\n  <title>" + escaped(sheet.title) +
        "</title>\n";
    const auto group = [&](const char* id, PatternSheet::Layer layer) {
        text +=
            std::string("  <g id=\"") + id + "\" fill=\"none\" stroke=\"black\" stroke-linejoin=\"round\">\n";
        for (const PatternSheet::Stroke& stroke : sheet.strokes)
            if (stroke.layer == layer && !stroke.points.empty()) text += drawn(stroke);
        if (layer == PatternSheet::Layer::mark)
            for (const PatternSheet::Words& words : sheet.words)
                text += "    <text x=\"" + mm(words.at.x()) + "\" y=\"" + mm(words.at.y()) +
                        "\" font-family=\"Inter, DejaVu Sans, sans-serif\" font-size=\"" + mm(words.size_mm) +
                        "\"" + (words.weight == picture::Weight::semibold ? " font-weight=\"600\"" : "") +
                        " textLength=\"" + mm(words.width_mm) +
                        "\" lengthAdjust=\"spacingAndGlyphs\" fill=\"black\" stroke=\"none\" "
                        "xml:space=\"preserve\">" +
                        escaped(words.text) + "</text>\n";
        text += "  </g>\n";
    };
    group("CUT", PatternSheet::Layer::cut);
    group("MARK", PatternSheet::Layer::mark);
    return text + "</svg>\n";
}

Outcome<Done> verify_pattern_svg(std::string_view bytes, const PatternSheet& sheet) {
    const std::string_view size_label = "<svg xmlns=\"http://www.w3.org/2000/svg\" ";
    const std::string size = "width=\"" + mm(sheet.width_mm) + "mm\" height=\"" + mm(sheet.height_mm) +
                             "mm\" viewBox=\"0 0 " + mm(sheet.width_mm) + " " + mm(sheet.height_mm) + "\"";
    const std::size_t svg = bytes.find(size_label);
    if (svg == std::string_view::npos || !bytes.substr(svg + size_label.size()).starts_with(size))
        return svg_differs("its size is not the sheet's");
    const std::size_t cut = bytes.find("<g id=\"CUT\"");
    const std::size_t begin = bytes.find(" d=\"M", cut);
    const std::size_t end = bytes.find("Z\"", begin);
    if (cut == std::string_view::npos || begin == std::string_view::npos || end == std::string_view::npos ||
        !bytes.ends_with("</svg>\n"))
        return svg_differs("it has no closed outline");
    std::string_view rest = bytes.substr(begin + 5, end - begin - 5);
    for (const Vec2& p : sheet.cut().points)
        for (const double wanted : {p.x(), p.y()}) {
            if (!rest.empty() && (rest.front() == 'L' || rest.front() == ' ' || rest.front() == ','))
                rest.remove_prefix(1);
            const std::size_t stop = std::min(rest.find_first_of("L ,"), rest.size());
            const auto number = parse_number(rest.substr(0, stop));
            if (!number || std::abs(*number - wanted) > tolerance::pattern_file_mm)
                return svg_differs("a point of the outline is another");
            rest.remove_prefix(stop);
        }
    if (!rest.empty()) return svg_differs("the outline has other points");
    return Done{};
}

}  // namespace archwright::exporters
