#include "engine/shoe/svg.hpp"

#include <expat.h>

#include <algorithm>
#include <memory>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/shoe/svg_words.hpp"

namespace archwright::shoe {

namespace {

constexpr std::size_t deepest = 200;  ///< groups within groups

std::string_view local(std::string_view name) {
    const std::size_t colon = name.rfind(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

class Attributes {
  public:
    explicit Attributes(const char** all) : all_(all) {}
    std::optional<std::string_view> find(std::string_view name) const {
        for (const char** a = all_; a[0] != nullptr; a += 2)
            if (name == a[0]) return std::string_view(a[1]);
        return std::nullopt;
    }

  private:
    const char** all_;
};

// One walk over the file: groups open and close, shapes are added in mm.
class Page {
  public:
    Page(const std::string& name, XML_Parser parser) : parser_(parser), pieces_(name) {}

    static void XMLCALL opened(void* page, const char* name, const char** attributes) {
        static_cast<Page*>(page)->open(local(name), Attributes(attributes));
    }
    static void XMLCALL closed(void* page, const char*) { static_cast<Page*>(page)->close(); }
    static void XMLCALL declared(void* page, const char*, int, const char*, int, const char*, const char*,
                                 const char*, const char*) {
        static_cast<Page*>(page)->stop("it declares entities of its own. Save it as plain SVG.");
    }

    const std::string& trouble() const { return trouble_; }
    bool begun() const { return begun_; }
    std::string unit() const { return unit_; }
    Pieces take() { return std::move(pieces_); }

  private:
    void stop(const std::string& what) {
        if (trouble_.empty()) trouble_ = "line " + std::to_string(line()) + ": " + what;
        XML_StopParser(parser_, XML_FALSE);
    }
    std::size_t line() const { return static_cast<std::size_t>(XML_GetCurrentLineNumber(parser_)); }

    void close() {
        if (skipped_ > 0)
            --skipped_;
        else if (!stack_.empty())
            stack_.pop_back();
    }

    void open(std::string_view name, const Attributes& attributes) {
        if (!trouble_.empty()) return;
        if (skipped_ > 0) {
            ++skipped_;
            return;
        }
        if (!begun_) {
            begun_ = true;
            if (name != "svg") return stop("it is XML, but no SVG. Save the drawing as SVG or DXF.");
            if (!page(attributes)) return;
        } else if (name == "svg") {
            return stop("it holds a drawing within the drawing (<svg> inside <svg>). Save it as plain SVG.");
        } else if (name == "use" && !hidden(attributes)) {
            return stop("it uses a copy of something (<use>). Turn copies (clones) into paths of their own.");
        }
        const bool group = name == "svg" || name == "g" || name == "a";
        const bool shape = name == "path" || name == "polygon" || name == "polyline" || name == "line" ||
                           name == "rect" || name == "circle" || name == "ellipse";
        if ((!group && !shape) || hidden(attributes)) {
            skipped_ = 1;
            return;
        }
        if (stack_.size() == deepest)
            return stop("groups within groups, more than " + std::to_string(deepest) +
                        " deep. Save it as plain SVG.");
        Eigen::Affine2d to_mm = stack_.empty() ? page_ : stack_.back();
        if (attributes.find("style").value_or("").find("transform") != std::string_view::npos)
            return stop("it is moved by its style. Apply transforms before saving.");
        if (const auto text = attributes.find("transform")) {
            const auto transform = transform_of(*text);
            if (!transform) return stop("its transform is not understood. Apply transforms before saving.");
            to_mm = to_mm * *transform;
        }
        stack_.push_back(to_mm);
        if (shape) draw(name, attributes, to_mm);
    }

    static bool hidden(const Attributes& attributes) {
        if (attributes.find("display").value_or("") == "none") return true;
        if (attributes.find("visibility").value_or("") == "hidden") return true;
        std::string style(attributes.find("style").value_or(""));
        std::erase_if(style, [](char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; });
        return style.find("display:none") != std::string::npos ||
               style.find("visibility:hidden") != std::string::npos;
    }

    // How large the page is, and what of it a unit of the drawing is.
    bool page(const Attributes& attributes) {
        const auto unitless = [&](const std::string& what) {
            stop(what +
                 " Save the drawing with a page size in mm (width=\"...mm\" height=\"...mm\" and a viewBox), "
                 "so that its true size is known.");
            return false;
        };
        std::optional<double> size[2];
        const char* names[2] = {"width", "height"};
        for (int k = 0; k < 2; ++k) {
            const auto text = attributes.find(names[k]);
            if (!text) continue;
            size[k] = page_length_mm(*text);
            if (!size[k] || !(*size[k] > 0.0))
                return unitless(std::string(names[k]) + "=\"" + std::string(text->substr(0, 20)) +
                                "\" has no physical unit.");
        }
        if (!size[0] && !size[1]) return unitless("The page has neither width nor height.");
        const auto box_text = attributes.find("viewBox");
        if (!box_text) return unitless("The page has no viewBox.");
        SvgWords words(*box_text);
        double box[4] = {};
        for (double& b : box) {
            const auto value = words.number();
            if (!value) return unitless("The page's viewBox is not understood.");
            b = *value;
        }
        if (!(box[2] > 0.0) || !(box[3] > 0.0) || !words.ended())
            return unitless("The page's viewBox is not understood.");
        double scale[2] = {size[0] ? *size[0] / box[2] : *size[1] / box[3],
                           size[1] ? *size[1] / box[3] : *size[0] / box[2]};
        const std::string fit(attributes.find("preserveAspectRatio").value_or(""));
        if (fit.find("none") == std::string::npos) {
            const bool slice = fit.find("slice") != std::string::npos;
            scale[0] = scale[1] = slice ? std::max(scale[0], scale[1]) : std::min(scale[0], scale[1]);
        }
        page_.linear() = Vec2(scale[0], -scale[1]).asDiagonal();  // SVG's y runs down
        page_.translation() = page_.linear() * Vec2(-box[0], -box[1]);
        unit_ = scale[0] == scale[1] ? rounded(scale[0], 4) + " mm"
                                     : rounded(scale[0], 4) + " by " + rounded(scale[1], 4) + " mm";
        return true;
    }

    void draw(std::string_view name, const Attributes& attributes, const Eigen::Affine2d& to_mm) {
        bool understood = true;
        const auto number = [&](const char* key) {
            const auto text = attributes.find(key);
            if (!text) return 0.0;
            SvgWords words(*text);
            const auto value = words.number();
            const std::string_view unit = words.word();
            if (!value || (!unit.empty() && unit != "px") || !words.ended()) understood = false;
            return value.value_or(0.0);
        };
        const std::string what = "<" + std::string(name) + ">: ";
        if (name == "path") {
            const std::string trouble = add_path(attributes.find("d").value_or(""), to_mm, line(), pieces_);
            if (!trouble.empty()) stop(what + trouble + ". Save the drawing again.");
            return;
        }
        if (name == "polygon" || name == "polyline") {
            SvgWords words(attributes.find("points").value_or(""));
            if (words.ended()) return;
            if (!pieces_.begin(line())) return;
            while (!words.ended()) {
                const auto x = words.number(), y = words.number();
                if (!x || !y) return stop(what + "its points are not understood. Save the drawing again.");
                if (!pieces_.add(to_mm * Vec2(*x, *y))) return;
            }
            if (name == "polygon") pieces_.close();
            return;
        }
        if (name == "line") {
            const Vec2 from(number("x1"), number("y1")), to(number("x2"), number("y2"));
            if (understood && pieces_.begin(line()) && pieces_.add(to_mm * from)) pieces_.add(to_mm * to);
        } else if (name == "rect") {
            rectangle(Vec2(number("x"), number("y")), Vec2(number("width"), number("height")),
                      attributes.find("rx") ? number("rx") : number("ry"),
                      attributes.find("ry") ? number("ry") : number("rx"), to_mm);
        } else {
            const Vec2 centre(number("cx"), number("cy"));
            const double rx = number(name == "circle" ? "r" : "rx");
            const double ry = number(name == "circle" ? "r" : "ry");
            if (understood && rx > 0.0 && ry > 0.0 && pieces_.begin(line())) {
                add_ellipse(to_mm * centre, to_mm.linear() * Vec2(rx, 0.0), to_mm.linear() * Vec2(0.0, ry),
                            0.0, 2.0 * std::numbers::pi, pieces_);
                pieces_.close();
            }
        }
        if (!understood)
            stop(what + "a size of it is not a plain number. Turn shapes into paths before saving.");
    }

    void rectangle(const Vec2& corner, const Vec2& size, double rx, double ry, const Eigen::Affine2d& to_mm) {
        if (!(size.x() > 0.0) || !(size.y() > 0.0) || !pieces_.begin(line())) return;
        rx = std::clamp(rx, 0.0, 0.5 * size.x());
        ry = std::clamp(ry, 0.0, 0.5 * size.y());
        const Vec2 middle = corner + 0.5 * size;
        const Vec2 inner = 0.5 * size - Vec2(rx, ry);
        for (int k = 0; k < 4; ++k) {  // a quarter of an ellipse at every corner
            const Vec2 centre = middle + Vec2(k == 0 || k == 3 ? inner.x() : -inner.x(),
                                              k == 0 || k == 1 ? inner.y() : -inner.y());
            const double from = 0.5 * std::numbers::pi * k;
            pieces_.add(to_mm * (centre + Vec2(rx * std::cos(from), ry * std::sin(from))));
            if (rx > 0.0 && ry > 0.0)
                add_ellipse(to_mm * centre, to_mm.linear() * Vec2(rx, 0.0), to_mm.linear() * Vec2(0.0, ry),
                            from, 0.5 * std::numbers::pi, pieces_);
        }
        pieces_.close();
    }

    XML_Parser parser_;
    Pieces pieces_;
    std::string trouble_, unit_;
    Eigen::Affine2d page_ = Eigen::Affine2d::Identity();
    std::vector<Eigen::Affine2d> stack_;  // one an open group or shape
    std::size_t skipped_ = 0;             // open tags inside what is left out
    bool begun_ = false;
};

}  // namespace

Outcome<Drawing> read_svg(std::string_view text, const std::string& name) {
    const auto wrong = [&](const std::string& what) {
        return Fault{FaultKind::input, "shoe", name + ": " + what, {}};
    };
    const std::unique_ptr<std::remove_pointer_t<XML_Parser>, decltype(&XML_ParserFree)> parser(
        XML_ParserCreate(nullptr), &XML_ParserFree);
    if (!parser) return Fault{FaultKind::internal, "shoe", name + ": no memory for the XML reader.", {}};
    Page page(name, parser.get());
    XML_SetUserData(parser.get(), &page);
    XML_SetElementHandler(parser.get(), &Page::opened, &Page::closed);
    XML_SetEntityDeclHandler(parser.get(), &Page::declared);
    const XML_Status status = XML_Parse(parser.get(), text.data(), static_cast<int>(text.size()), XML_TRUE);
    if (!page.trouble().empty()) return wrong(page.trouble());
    if (status != XML_STATUS_OK)
        return wrong("line " + std::to_string(XML_GetCurrentLineNumber(parser.get())) +
                     ": the XML breaks off or is wrong (" + XML_ErrorString(XML_GetErrorCode(parser.get())) +
                     "). Save the drawing again.");
    Drawing drawing;
    drawing.format = "SVG";
    drawing.unit = page.unit();
    auto outline = page.take().one_outline(drawing.notes);
    if (!outline) return outline.fault();
    drawing.outline = std::move(*outline);
    return drawing;
}

}  // namespace archwright::shoe
