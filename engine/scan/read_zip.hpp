// The part of the ZIP format that 3MF needs (APPNOTE 6.3: stored and deflated entries, Zip64), unpacked as a
// stream so that memory does not follow sizes the file states.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

struct ZipEntry {
    std::string name;  ///< without a leading slash
    std::uint64_t packed = 0;
    std::uint64_t unpacked = 0;  ///< as stated; not above what the packed bytes can hold
    std::size_t data = 0;        ///< offset of the packed bytes
    std::uint32_t checksum = 0;
    bool deflated = false;
};

/// The entries of a ZIP. Faults on encryption, unknown packing, offsets outside the file, sizes that packed
/// bytes cannot hold, and more unpacked bytes than the limits allow, all before anything is unpacked.
Outcome<std::vector<ZipEntry>> read_zip_directory(const Source& source);

/// Entry by name as part names are compared in packages: ASCII letters of either case alike.
const ZipEntry* find_entry(const std::vector<ZipEntry>& entries, std::string_view name);

/// Unpacks one entry piece by piece.
class Unpacker {
  public:
    Unpacker(const Source& source, const ZipEntry& entry);
    ~Unpacker();
    Unpacker(const Unpacker&) = delete;
    Unpacker& operator=(const Unpacker&) = delete;

    /// Fills up to `room` bytes; 0 at the end. At the end size and checksum are compared with what is stated.
    Outcome<std::size_t> read(char* out, std::size_t room);

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace archwright::scan
