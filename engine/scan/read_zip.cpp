#include "engine/scan/read_zip.hpp"
#include "engine/base/text.hpp"

#include <zlib.h>

#include <algorithm>
#include <limits>

namespace archwright::scan {

namespace {

constexpr std::uint32_t entry_mark = 0x04034b50;
constexpr std::uint32_t directory_mark = 0x02014b50;
constexpr std::uint32_t end_mark = 0x06054b50;
constexpr std::uint32_t end64_mark = 0x06064b50;
constexpr std::uint32_t locator64_mark = 0x07064b50;
constexpr std::size_t end_size = 22;
constexpr std::size_t longest_remark = 65535;
constexpr std::uint64_t deflate_ratio = 1032;  ///< deflate cannot pack tighter (zlib's documentation)

/// Little-endian numbers at an offset; 0 outside the bytes, which callers exclude first.
struct Bytes {
    std::string_view text;
    std::uint64_t number(std::uint64_t offset, std::size_t width) const {
        std::uint64_t value = 0;
        if (offset > text.size() || text.size() - offset < width) return 0;
        for (std::size_t i = 0; i < width; ++i)
            value |= static_cast<std::uint64_t>(static_cast<unsigned char>(text[offset + i])) << (8 * i);
        return value;
    }
    bool has(std::uint64_t offset, std::uint64_t size) const {
        return offset <= text.size() && size <= text.size() - offset;
    }
};

}  // namespace

Outcome<std::vector<ZipEntry>> read_zip_directory(const Source& source) {
    const Bytes bytes{source.text};
    const std::size_t size = source.text.size();
    const auto damaged = [&](const std::string& what) {
        return source.fault(what + ": the 3MF is damaged or cut off." + export_again);
    };
    // the end record stands last, before a remark of free length
    std::size_t end = size;
    if (size >= end_size) {
        const std::size_t lowest = size - std::min(size, end_size + longest_remark);
        for (std::size_t at = size - end_size;; --at) {
            if (bytes.number(at, 4) == end_mark) {
                end = at;
                break;
            }
            if (at == lowest) break;
        }
    }
    if (end == size) return damaged("its table of contents is missing");
    std::uint64_t count = bytes.number(end + 10, 2);
    std::uint64_t directory_size = bytes.number(end + 12, 4);
    std::uint64_t directory = bytes.number(end + 16, 4);
    if (end >= 20 && bytes.number(end - 20, 4) == locator64_mark) {
        const std::uint64_t end64 = bytes.number(end - 12, 8);
        if (!bytes.has(end64, 56) || bytes.number(end64, 4) != end64_mark)
            return damaged("its table of contents is misplaced");
        count = bytes.number(end64 + 32, 8);
        directory_size = bytes.number(end64 + 40, 8);
        directory = bytes.number(end64 + 48, 8);
    }
    if (!bytes.has(directory, directory_size)) return damaged("its table of contents lies outside the file");

    std::vector<ZipEntry> entries;
    std::uint64_t total = 0;
    std::uint64_t at = directory;
    const std::uint64_t directory_end = directory + directory_size;
    for (std::uint64_t i = 0; i < count; ++i) {
        if (directory_end - at < 46 || bytes.number(at, 4) != directory_mark)
            return damaged("its table of contents ends too early");
        ZipEntry entry;
        const std::uint64_t flags = bytes.number(at + 8, 2);
        const std::uint64_t method = bytes.number(at + 10, 2);
        entry.checksum = static_cast<std::uint32_t>(bytes.number(at + 16, 4));
        entry.packed = bytes.number(at + 20, 4);
        entry.unpacked = bytes.number(at + 24, 4);
        const std::uint64_t name_size = bytes.number(at + 28, 2);
        const std::uint64_t extra_size = bytes.number(at + 30, 2);
        const std::uint64_t remark_size = bytes.number(at + 32, 2);
        std::uint64_t header = bytes.number(at + 42, 4);
        if (directory_end - at - 46 < name_size + extra_size + remark_size)
            return damaged("its table of contents ends too early");
        entry.name = source.text.substr(at + 46, name_size);
        if (!entry.name.empty() && entry.name.front() == '/') entry.name.erase(0, 1);

        // Zip64: the fields that overflowed, in this order
        for (std::uint64_t extra = at + 46 + name_size, extra_end = extra + extra_size;
             extra_end - extra >= 4;) {
            const std::uint64_t kind = bytes.number(extra, 2);
            const std::uint64_t length = bytes.number(extra + 2, 2);
            extra += 4;
            if (length > extra_end - extra) break;
            if (kind == 1) {
                std::uint64_t field = extra;
                for (std::uint64_t* value : {&entry.unpacked, &entry.packed, &header})
                    if (*value == std::numeric_limits<std::uint32_t>::max() && field + 8 <= extra + length) {
                        *value = bytes.number(field, 8);
                        field += 8;
                    }
            }
            extra += length;
        }
        at += 46 + name_size + extra_size + remark_size;
        if (!entry.name.empty() && entry.name.back() == '/') continue;  // a folder

        const std::string part = "its part \"" + shown(entry.name) + "\" ";
        if ((flags & 1) != 0) return source.fault(part + "is encrypted. Save the 3MF without a password.");
        if (method != 0 && method != 8)
            return source.fault(part + "is packed in a way 3MF does not allow." + std::string(export_again));
        entry.deflated = method == 8;
        if (!bytes.has(header, 30) || bytes.number(header, 4) != entry_mark)
            return damaged(part + "is not where the table of contents says");
        const std::uint64_t data = header + 30 + bytes.number(header + 26, 2) + bytes.number(header + 28, 2);
        if (!bytes.has(data, entry.packed)) return damaged(part + "reaches beyond the end of the file");
        entry.data = data;
        const bool possible = entry.deflated ? entry.unpacked / deflate_ratio <= entry.packed + 1
                                             : entry.unpacked == entry.packed;
        if (!possible) return damaged(part + "states a size its bytes cannot hold");
        total += entry.unpacked;
        if (total > source.limits.bytes)
            return source.fault("unpacked it takes more than the allowed " +
                                std::to_string(source.limits.bytes) +
                                " bytes. Reduce the scan in the scanner's program, or raise the limit.");
        entries.push_back(std::move(entry));
    }
    return entries;
}

const ZipEntry* find_entry(const std::vector<ZipEntry>& entries, std::string_view name) {
    if (!name.empty() && name.front() == '/') name.remove_prefix(1);
    const std::string wanted = lower(name);
    for (const ZipEntry& entry : entries)
        if (lower(entry.name) == wanted) return &entry;
    return nullptr;
}

struct Unpacker::State {
    const Source& source;
    const ZipEntry& entry;
    z_stream stream{};
    bool ready = false;
    bool ended = false;
    std::uint64_t taken = 0;
    std::uint64_t given = 0;
    uLong checksum = 0;

    Fault damaged() const {
        return source.fault("its part \"" + shown(entry.name) + "\" cannot be unpacked: the 3MF is damaged." +
                            export_again);
    }
};

Unpacker::Unpacker(const Source& source, const ZipEntry& entry)
    : state_(std::make_unique<State>(State{source, entry})) {
    if (entry.deflated) state_->ready = inflateInit2(&state_->stream, -MAX_WBITS) == Z_OK;
    state_->checksum = crc32(0, nullptr, 0);
}

Unpacker::~Unpacker() {
    if (state_->ready) inflateEnd(&state_->stream);
}

Outcome<std::size_t> Unpacker::read(char* out, std::size_t room) {
    State& s = *state_;
    if (s.ended || room == 0) return std::size_t{0};
    room = std::min<std::size_t>(room, std::numeric_limits<uInt>::max());
    std::size_t got = 0;
    if (!s.entry.deflated) {
        got = static_cast<std::size_t>(std::min<std::uint64_t>(room, s.entry.packed - s.taken));
        std::copy_n(s.source.text.data() + s.entry.data + s.taken, got, out);
        s.taken += got;
        s.ended = s.taken == s.entry.packed;
    } else {
        if (!s.ready) return s.damaged();
        s.stream.next_out = reinterpret_cast<Bytef*>(out);
        s.stream.avail_out = static_cast<uInt>(room);
        while (s.stream.avail_out > 0 && !s.ended) {
            const auto piece = static_cast<uInt>(
                std::min<std::uint64_t>(s.entry.packed - s.taken, std::numeric_limits<uInt>::max()));
            s.stream.next_in =
                reinterpret_cast<Bytef*>(const_cast<char*>(s.source.text.data() + s.entry.data + s.taken));
            s.stream.avail_in = piece;
            const int answer = inflate(&s.stream, Z_NO_FLUSH);
            s.taken += piece - s.stream.avail_in;
            if (answer == Z_STREAM_END) {
                s.ended = true;
            } else if (answer != Z_OK) {
                return s.damaged();  // Z_BUF_ERROR too: the packed bytes are used up
            }
        }
        got = room - s.stream.avail_out;
    }
    s.given += got;
    s.checksum = crc32(s.checksum, reinterpret_cast<const Bytef*>(out), static_cast<uInt>(got));
    if (s.given > s.entry.unpacked) return s.damaged();
    if (s.ended && (s.given != s.entry.unpacked || s.checksum != s.entry.checksum)) return s.damaged();
    return got;
}

}  // namespace archwright::scan
