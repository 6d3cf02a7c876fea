#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace archwright {

/// SHA-256 of some bytes as 64 lower-case hexadecimal digits (FIPS 180-4; computed by OpenSSL).
std::string sha256(std::span<const std::byte> bytes);
std::string sha256(const std::string& text);

}  // namespace archwright
