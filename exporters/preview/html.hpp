// What a page is made of: text that can do no harm, bytes as text, a form filled in.
#pragma once

#include <cstddef>
#include <map>
#include <span>
#include <string>
#include <string_view>

#include "engine/base/outcome.hpp"

namespace archwright::exporters::preview {

/// Text as HTML shows it, in elements and in quoted attributes alike: & < > " ' become references, control
/// characters and what is no UTF-8 the replacement character.
std::string escaped(std::string_view text);

/// The same in an element of its own, so that letters running the other way cannot turn what stands beside
/// it.
std::string apart(std::string_view text);

/// RFC 4648, with padding.
std::string base64(std::span<const std::byte> bytes);

/// A source expression of a Content-Security-Policy for exactly this text: 'sha256-...' (CSP level 2).
std::string source_hash(const std::string& text);

/// A form with every {{name}} of it replaced, in one pass: what was put in is never looked at again. Fault
/// (internal): a name without its text, or a text whose name the form does not have.
Outcome<std::string> filled(const std::string& form, const std::map<std::string, std::string>& texts);

}  // namespace archwright::exporters::preview
