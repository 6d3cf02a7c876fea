#include "exporters/preview/html.hpp"

#include <set>

#include "engine/base/hash.hpp"

namespace archwright::exporters::preview {

namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// Bytes of the character that begins at `at`; 0 where it is no UTF-8 (RFC 3629: no surrogates, no longer
/// forms than needed, nothing past U+10FFFF).
std::size_t character_length(std::string_view text, std::size_t at) {
    const auto byte = [&](std::size_t k) {
        return at + k < text.size() ? static_cast<unsigned char>(text[at + k]) : 0U;
    };
    const auto follows = [&](std::size_t k, unsigned low = 0x80U, unsigned high = 0xBFU) {
        return byte(k) >= low && byte(k) <= high;
    };
    const unsigned first = byte(0);
    if (first < 0x80U) return 1;
    if (first >= 0xC2U && first <= 0xDFU) return follows(1) ? 2 : 0;
    if (first >= 0xE0U && first <= 0xEFU)
        return follows(1, first == 0xE0U ? 0xA0U : 0x80U, first == 0xEDU ? 0x9FU : 0xBFU) && follows(2) ? 3
                                                                                                        : 0;
    if (first >= 0xF0U && first <= 0xF4U)
        return follows(1, first == 0xF0U ? 0x90U : 0x80U, first == 0xF4U ? 0x8FU : 0xBFU) && follows(2) &&
                       follows(3)
                   ? 4
                   : 0;
    return 0;
}

}  // namespace

std::string escaped(std::string_view text) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = character_length(text, at);
        const char c = text[at];
        const auto byte = static_cast<unsigned char>(c);
        if (length == 0 || (length == 1 && ((byte < 0x20U && c != '\n' && c != '\t') || byte == 0x7FU)))
            out += replacement;
        else if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else if (c == '\'')
            out += "&#39;";
        else
            out += text.substr(at, length);
        at += std::max<std::size_t>(length, 1);
    }
    return out;
}

std::string apart(std::string_view text) {
    return "<bdi>" + escaped(text) + "</bdi>";
}

std::string base64(std::span<const std::byte> bytes) {
    static constexpr char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const std::size_t have = std::min<std::size_t>(3, bytes.size() - i);
        unsigned group = 0;
        for (std::size_t k = 0; k < 3; ++k)
            group = group << 8U | (k < have ? std::to_integer<unsigned>(bytes[i + k]) : 0U);
        for (std::size_t k = 0; k < 4; ++k) out += k <= have ? digits[group >> (18U - 6U * k) & 63U] : '=';
    }
    return out;
}

std::string source_hash(const std::string& text) {
    const std::string hex = sha256(text);
    const auto digit = [](char c) { return static_cast<unsigned>(c <= '9' ? c - '0' : c - 'a' + 10); };
    std::vector<std::byte> bytes;
    for (std::size_t i = 0; i + 1 < hex.size(); i += 2)
        bytes.push_back(static_cast<std::byte>(digit(hex[i]) << 4U | digit(hex[i + 1])));
    return "'sha256-" + base64(bytes) + "'";
}

Outcome<std::string> filled(const std::string& form, const std::map<std::string, std::string>& texts) {
    const auto fault = [](const std::string& what) {
        return Fault{FaultKind::internal, "preview", "The form of the page " + what + ".", {}};
    };
    std::string out;
    std::set<std::string> used;
    for (std::size_t at = 0;;) {
        const std::size_t begin = form.find("{{", at);
        out.append(form, at, begin == std::string::npos ? begin : begin - at);
        if (begin == std::string::npos) break;
        const std::size_t end = form.find("}}", begin);
        const std::string name =
            end == std::string::npos ? std::string() : form.substr(begin + 2, end - begin - 2);
        const auto text = texts.find(name);
        if (text == texts.end()) return fault("asks for {{" + name.substr(0, 40) + "}}, which there is not");
        out += text->second;
        used.insert(name);
        at = end + 2;
    }
    for (const auto& [name, text] : texts)
        if (used.count(name) == 0) return fault("has no {{" + name + "}}");
    return out;
}

}  // namespace archwright::exporters::preview
