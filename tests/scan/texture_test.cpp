// Pictures: read, refused, and pasted on casts.
#include <png.h>
#include <turbojpeg.h>

#include <catch2/catch.hpp>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "engine/scan/raster.hpp"
#include "engine/scan/read.hpp"
#include "tests/scan/read_specimens.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

namespace {

using Bytes = std::vector<std::byte>;

/// Left half red, right half blue, the upper row green.
std::vector<std::uint8_t> picture(std::size_t width, std::size_t height) {
    std::vector<std::uint8_t> rgb;
    for (std::size_t y = 0; y < height; ++y)
        for (std::size_t x = 0; x < width; ++x) {
            const bool left = 2 * x < width;
            const std::array<std::uint8_t, 3> c = 4 * y < height ? std::array<std::uint8_t, 3>{0, 255, 0}
                                                  : left         ? std::array<std::uint8_t, 3>{255, 0, 0}
                                                                 : std::array<std::uint8_t, 3>{0, 0, 255};
            rgb.insert(rgb.end(), c.begin(), c.end());
        }
    return rgb;
}

Bytes png(std::size_t width, std::size_t height, std::uint32_t format, const std::vector<std::uint8_t>& data,
          const void* map = nullptr, std::uint32_t entries = 0) {
    png_image image;
    std::memset(&image, 0, sizeof image);
    image.version = PNG_IMAGE_VERSION;
    image.width = static_cast<png_uint_32>(width);
    image.height = static_cast<png_uint_32>(height);
    image.format = format;
    image.colormap_entries = entries;
    png_alloc_size_t size = 0;
    REQUIRE(png_image_write_to_memory(&image, nullptr, &size, 0, data.data(), 0, map) != 0);
    Bytes bytes(size);
    REQUIRE(png_image_write_to_memory(&image, bytes.data(), &size, 0, data.data(), 0, map) != 0);
    bytes.resize(size);
    return bytes;
}

Bytes jpeg(int width, int height, const std::vector<std::uint8_t>& data, int pixel_format, int quality = 95) {
    void* writer = tjInitCompress();
    unsigned char* out = nullptr;
    unsigned long size = 0;
    const int done =
        tjCompress2(writer, data.data(), width, 0, height, pixel_format, &out, &size, TJSAMP_444, quality, 0);
    REQUIRE(done == 0);
    const auto* first = reinterpret_cast<const std::byte*>(out);
    Bytes bytes(first, first + size);
    tjFree(out);
    tjDestroy(writer);
    return bytes;
}

std::string refusal(const Bytes& bytes) {
    const auto raster = scan::read_raster_bytes(bytes, "sole.png");
    if (raster.ok()) return "";
    CHECK(raster.fault().kind == FaultKind::input);
    CHECK(raster.fault().message.find("sole.png") == 0);
    return raster.fault().message;
}

void write(const std::filesystem::path& path, const Bytes& bytes) {
    std::ofstream(path, std::ios::binary)
        .write(reinterpret_cast<const char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
}
void write(const std::filesystem::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

bool has_note(const scan::Reading& reading, const std::string& words) {
    for (const std::string& note : reading.notes)
        if (note.find(words) != std::string::npos) return true;
    return false;
}

/// The JPEG with a note of how the camera was held: EXIF 2.32, IFD0 with one entry, Orientation (0x0112), a
/// short.
Bytes with_orientation(const Bytes& plain, int orientation, bool big_endian) {
    const auto low = static_cast<unsigned char>(orientation & 0xFF);
    const std::vector<unsigned char> segment =
        big_endian ? std::vector<unsigned char>{0xFF, 0xE1, 0, 34, 'E', 'x', 'i', 'f', 0, 0,    'M', 'M',
                                                0,    42,   0, 0,  0,   8,   0,   1,   1, 0x12, 0,   3,
                                                0,    0,    0, 1,  0,   low, 0,   0,   0, 0,    0,   0}
                   : std::vector<unsigned char>{0xFF, 0xE1, 0, 34, 'E', 'x', 'i', 'f', 0,    0, 'I', 'I',
                                                42,   0,    8, 0,  0,   0,   1,   0,   0x12, 1, 3,   0,
                                                1,    0,    0, 0,  low, 0,   0,   0,   0,    0, 0,   0};
    Bytes bytes(plain.begin(), plain.begin() + 2);
    for (const unsigned char c : segment) bytes.push_back(static_cast<std::byte>(c));
    bytes.insert(bytes.end(), plain.begin() + 2, plain.end());
    return bytes;
}

/// Two triangles over the picture's whole: u to the right, v up.
constexpr const char* square_obj =
    "mtllib square.mtl\nv 0 0 0\nv 10 0 0\nv 10 10 0\nv 0 10 0\n"
    "vt 0.1 0.1\nvt 0.9 0.1\nvt 0.9 0.5\nvt 0.1 0.5\nusemtl skin\nf 1/1 2/2 3/3 4/4\n";
constexpr const char* square_mtl = "newmtl skin\nKd 1 1 1\nmap_Kd -s 1 1 1 C:\\scans\\sole.png\n";

void check_square(const scan::Reading& reading) {
    REQUIRE(reading.mesh.colours.size() == 4);
    for (const std::size_t left : {0u, 3u}) {  // mostly of the red half
        CHECK(reading.mesh.colours[left][0] > 200);
        CHECK(reading.mesh.colours[left][2] < 60);
    }
    for (const std::size_t right : {1u, 2u}) {
        CHECK(reading.mesh.colours[right][2] > 200);
        CHECK(reading.mesh.colours[right][0] < 60);
    }
}

}  // namespace

TEST_CASE("PNG and JPEG are read to the pixel, whatever their depth and kind") {
    const auto rgb = picture(64, 32);
    for (const Bytes& bytes : {png(64, 32, PNG_FORMAT_RGB, rgb), jpeg(64, 32, rgb, TJPF_RGB)}) {
        const auto raster = scan::read_raster_bytes(bytes, "sole");
        if (!raster.ok()) FAIL(raster.fault().message);
        CHECK(raster->width == 64);
        CHECK(raster->height == 32);
        CHECK(raster->pixel(2, 28)[0] > 245);
        CHECK(raster->pixel(60, 28)[2] > 245);
        CHECK(raster->pixel(30, 2)[1] > 245);
        CHECK(raster->at(60.5, 28.5)[2] > 245);
        CHECK(raster->at(-1e9, 1e300)[0] > 245);  // beyond the border: the lower left pixel
    }
    // 16 bits of linear light, a palette, grey, transparency
    std::vector<std::uint16_t> deep(4 * 4, 65535);
    std::vector<std::uint8_t> bytes16(reinterpret_cast<std::uint8_t*>(deep.data()),
                                      reinterpret_cast<std::uint8_t*>(deep.data() + deep.size()));
    const auto white = scan::read_raster_bytes(png(4, 4, PNG_FORMAT_LINEAR_Y, bytes16), "deep");
    REQUIRE(white.ok());
    CHECK(white->pixel(1, 1)[0] == 255);
    const std::array<std::uint8_t, 6> map{10, 20, 30, 200, 100, 50};
    const auto indexed =
        scan::read_raster_bytes(png(2, 1, PNG_FORMAT_RGB_COLORMAP, {0, 1}, map.data(), 2), "palette");
    REQUIRE(indexed.ok());
    CHECK(indexed->pixel(1, 0) == TriangleMesh::Colour{200, 100, 50});
    const auto clear = scan::read_raster_bytes(png(1, 1, PNG_FORMAT_RGBA, {9, 9, 9, 0}), "clear");
    REQUIRE(clear.ok());
    CHECK(clear->pixel(0, 0) == TriangleMesh::Colour{255, 255, 255});
    CHECK(clear->at(0.5, 0.5) == TriangleMesh::Colour{255, 255, 255});
}

TEST_CASE("Hostile pictures get a message") {
    const auto rgb = picture(64, 32);
    const Bytes good_png = png(64, 32, PNG_FORMAT_RGB, rgb), good_jpeg = jpeg(64, 32, rgb, TJPF_RGB);
    CHECK(refusal({}).find("empty") != std::string::npos);
    CHECK(refusal(Bytes(100, std::byte{7})).find("neither") != std::string::npos);
    for (const Bytes& good : {good_png, good_jpeg})
        for (std::size_t length = 4; length + 13 < good.size(); length += 7) {  // before the end's own mark
            INFO("cut at " << length << " of " << good.size());
            CHECK_FALSE(
                refusal(Bytes(good.begin(), good.begin() + static_cast<std::ptrdiff_t>(length))).empty());
        }
    // a PNG and a JPEG that state 65535 x 65535 and hold nothing of it
    Bytes wide = good_png;
    for (const std::size_t at : {16u, 20u}) {
        wide[at] = wide[at + 1] = std::byte{0};
        wide[at + 2] = wide[at + 3] = std::byte{255};
    }
    CHECK_FALSE(refusal(wide).empty());
    Bytes tall = good_jpeg;
    for (std::size_t i = 0; i + 8 < tall.size(); ++i)
        if (tall[i] == std::byte{0xFF} && tall[i + 1] == std::byte{0xC0}) {
            for (std::size_t k = 5; k < 9; ++k) tall[i + k] = std::byte{0xFF};
            break;
        }
    CHECK(refusal(tall).find("pixels") != std::string::npos);
    CHECK(refusal(jpeg(8, 8, std::vector<std::uint8_t>(8 * 8 * 4, 90), TJPF_CMYK)).find("CMYK") !=
          std::string::npos);
    // any byte changed: read or refused, never a crash
    for (const Bytes& good : {good_png, good_jpeg})
        for (std::size_t i = 0; i < good.size(); i += 3) {
            Bytes changed = good;
            changed[i] ^= std::byte{0x5A};
            const auto raster = scan::read_raster_bytes(changed, "changed");
            if (raster.ok()) CHECK(raster->pixels.size() == raster->width * raster->height);
        }
}

TEST_CASE("OBJ and PLY take the colours of the picture beside them") {
    const tests::TemporaryFolder folder;
    write(folder.path() / "square.obj", square_obj);
    auto bare = scan::read_cast(folder.path() / "square.obj");
    REQUIRE(bare.ok());
    CHECK(bare->mesh.colours.empty());
    CHECK(has_note(*bare, "square.mtl"));
    write(folder.path() / "square.mtl", square_mtl);
    auto no_picture = scan::read_cast(folder.path() / "square.obj");
    REQUIRE(no_picture.ok());
    CHECK(no_picture->mesh.colours.empty());
    CHECK(has_note(*no_picture, "sole.png"));
    write(folder.path() / "sole.png", png(64, 32, PNG_FORMAT_RGB, picture(64, 32)));
    const auto coloured = scan::read_cast(folder.path() / "square.obj");
    REQUIRE(coloured.ok());
    check_square(*coloured);

    write(folder.path() / "faces.ply",
          "ply\nformat ascii 1.0\ncomment TextureFile sole.png\nelement vertex 4\nproperty float x\n"
          "property float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\n"
          "property list uchar float texcoord\nend_header\n0 0 0\n10 0 0\n10 10 0\n0 10 0\n"
          "4 0 1 2 3 8 0.1 0.1 0.9 0.1 0.9 0.5 0.1 0.5\n");
    const auto faces = scan::read_cast(folder.path() / "faces.ply");
    if (!faces.ok()) FAIL(faces.fault().message);
    check_square(*faces);
    write(folder.path() / "vertices.ply",
          "ply\nformat ascii 1.0\ncomment TextureFile sole.png\nelement vertex 4\nproperty float x\n"
          "property float y\nproperty float z\nproperty float s\nproperty float t\nelement face 1\n"
          "property list uchar int vertex_indices\nend_header\n0 0 0 0.1 0.1\n10 0 0 0.9 0.1\n"
          "10 10 0 0.9 0.5\n0 10 0 0.1 0.5\n4 0 1 2 3\n");
    const auto vertices = scan::read_cast(folder.path() / "vertices.ply");
    if (!vertices.ok()) FAIL(vertices.fault().message);
    check_square(*vertices);
}

TEST_CASE("3MF takes the colours of its groups and of the picture in its package") {
    const auto square = [](const std::string& first, const std::string& second) {
        return "<vertices><vertex x=\"0\" y=\"0\" z=\"0\"/><vertex x=\"10\" y=\"0\" z=\"0\"/>"
               "<vertex x=\"10\" y=\"10\" z=\"0\"/><vertex x=\"0\" y=\"10\" z=\"0\"/></vertices><triangles>"
               "<triangle v1=\"0\" v2=\"1\" v3=\"2\" " +
               first + "/><triangle v1=\"0\" v2=\"2\" v3=\"3\" " + second + "/></triangles>";
    };
    const auto object = [&](const std::string& whole, const std::string& first, const std::string& second) {
        return "<object id=\"1\" " + whole + "><mesh>" + square(first, second) + "</mesh></object>";
    };
    const auto read = [](const std::vector<tests::ZipPart>& parts) {
        const std::string file = tests::zip(parts);
        auto reading = scan::read_cast_bytes(std::as_bytes(std::span(file)), "square.3mf");
        if (!reading.ok()) FAIL(reading.fault().message);
        return *reading;
    };
    const std::string item = "<item objectid=\"1\"/>",
                      mirrored = "<item objectid=\"1\" transform=\"-1 0 0 0 1 0 0 0 1 0 0 0\"/>";
    const std::string colours =
        "<m:colorgroup id=\"7\"><m:color color=\"#FF0000\"/><m:color color=\"#0000FFFF\"/></m:colorgroup>";
    for (const std::string& build : {item, mirrored}) {
        const auto reading =
            read({{"3D/3dmodel.model",
                   tests::model_xml(colours + object("", "pid=\"7\" p1=\"0\" p2=\"1\" p3=\"1\"",
                                                     "pid=\"7\" p1=\"0\" p2=\"1\" p3=\"0\""),
                                    build)}});
        check_square(reading);
    }
    // the object's own, where a triangle names none: base materials
    const std::string bases =
        "<basematerials id=\"3\"><base name=\"a\" displaycolor=\"#010203\"/>"
        "<base name=\"b\" displaycolor=\"#0a0B0c\"/></basematerials>";
    const auto whole = read(
        {{"3D/3dmodel.model", tests::model_xml(bases + object("pid=\"3\" pindex=\"1\"", "", ""), item)}});
    REQUIRE(whole.mesh.colours.size() == 4);
    CHECK(whole.mesh.colours[2] == TriangleMesh::Colour{10, 11, 12});

    const std::string textured =
        "<m:texture2d id=\"4\" path=\"/3D/Texture/sole.png\" contenttype=\"image/png\"/>"
        "<m:texture2dgroup id=\"5\" texid=\"4\"><m:tex2coord u=\"0.1\" v=\"0.1\"/><m:tex2coord u=\"0.9\" "
        "v=\"0.1\"/><m:tex2coord u=\"0.9\" v=\"0.5\"/><m:tex2coord u=\"0.1\" v=\"0.5\"/></m:texture2dgroup>" +
        object("", "pid=\"5\" p1=\"0\" p2=\"1\" p3=\"2\"", "pid=\"5\" p1=\"0\" p2=\"2\" p3=\"3\"");
    const Bytes sole = png(64, 32, PNG_FORMAT_RGB, picture(64, 32));
    const std::string packed(reinterpret_cast<const char*>(sole.data()), sole.size());
    check_square(
        read({{"3D/3dmodel.model", tests::model_xml(textured, item)}, {"3D/Texture/sole.png", packed}}));

    // what paints wrongly refuses no cast, and says so
    for (const std::string& wrong :
         {object("", "pid=\"9\" p1=\"0\"", "pid=\"9\" p1=\"0\""),
          colours + object("", "pid=\"7\" p1=\"2\"", ""),
          colours + object("pid=\"-7\" pindex=\"x\"", "pid=\"7\"", "p1=\"4294967296\""), textured}) {
        const auto bare = read({{"3D/3dmodel.model", tests::model_xml(wrong, item)}});
        CHECK(bare.mesh.triangles.size() == 2);
        CHECK(bare.mesh.colours.empty());
        if (wrong.find("group") != std::string::npos) CHECK(has_note(bare, "none that could be laid"));
    }
    CHECK(has_note(read({{"3D/3dmodel.model", tests::model_xml(textured, item)}}), "3D/Texture/sole.png"));
    CHECK(
        has_note(read({{"3D/3dmodel.model", tests::model_xml(textured, item)}, {"3D/Texture/sole.png", "x"}}),
                 "neither PNG nor JPEG"));
}

TEST_CASE("A cast's picture is looked for beside it alone, and nonsense about it refuses no cast") {
    const tests::TemporaryFolder folder;
    std::filesystem::create_directories(folder.path() / "in");
    write(folder.path() / "sole.png", png(64, 32, PNG_FORMAT_RGB, picture(64, 32)));
    write(folder.path() / "in" / "square.mtl", "newmtl skin\nmap_Kd ../sole.png\n");
    write(folder.path() / "in" / "square.obj", square_obj);
    const auto outside = scan::read_cast(folder.path() / "in" / "square.obj");
    REQUIRE(outside.ok());
    CHECK(outside->mesh.colours.empty());
    write(folder.path() / "in" / "odd.obj",
          "mtllib ..\nmtllib\nusemtl\nv 0 0 0\nv 1 0 0\nv 0 1 0\nvt nan x\nvt\nvt 1e300 2\n"
          "f 1/1 2/999999999999 3/-7\nf 1/2/3 2/3 3\n");
    const auto odd = scan::read_cast(folder.path() / "in" / "odd.obj");
    REQUIRE(odd.ok());
    CHECK(odd->mesh.triangles.size() == 2);
}

TEST_CASE("A photograph is turned as the camera noted, and pixels counted in a viewer are its pixels") {
    constexpr int width = 48, height = 32;
    // one red corner (stored first row, first column), one blue (first row, last column)
    std::vector<std::uint8_t> rgb(3 * width * height, 255);
    const auto paint = [&](int x0, std::size_t channel) {
        for (int y = 0; y < 8; ++y)
            for (int x = x0; x < x0 + 8; ++x)
                for (std::size_t k = 0; k < 3; ++k)
                    rgb[static_cast<std::size_t>(3 * (y * width + x)) + k] = k == channel ? 255 : 0;
    };
    paint(0, 0);
    paint(width - 8, 2);
    struct Noted {
        int value;
        bool red_right, red_below, blue_right, blue_below;
    };
    // where the table of EXIF 2.32 (4.6.4, Orientation) puts the 0th row and the 0th column
    const std::vector<Noted> table = {
        {1, false, false, true, false},  // top, left
        {2, true, false, false, false},  // top, right
        {3, true, true, false, true},    // bottom, right
        {4, false, true, true, true},    // bottom, left
        {5, false, false, false, true},  // left, top
        {6, true, false, true, true},    // right, top
        {7, true, true, true, false},    // right, bottom
        {8, false, true, false, false},  // left, bottom
    };
    const tests::TemporaryFolder folder;
    const auto plain = jpeg(width, height, rgb, TJPF_RGB);
    for (const Noted& noted : table)
        for (const bool big_endian : {true, false}) {
            CAPTURE(noted.value, big_endian);
            const auto path = folder.path() / "sole.jpg";
            write(path, with_orientation(plain, noted.value, big_endian));
            const auto seen = scan::read_photograph(path);
            REQUIRE(seen.ok());
            CHECK(seen->width == static_cast<std::size_t>(noted.value < 5 ? width : height));
            CHECK(seen->height == static_cast<std::size_t>(noted.value < 5 ? height : width));
            const auto corner = [&](bool right, bool below) {
                return seen->pixel(right ? seen->width - 3 : 2, below ? seen->height - 3 : 2);
            };
            const auto red = corner(noted.red_right, noted.red_below),
                       blue = corner(noted.blue_right, noted.blue_below);
            CHECK((red[0] > 200 && red[2] < 60));
            CHECK((blue[2] > 200 && blue[0] < 60));
            const auto stored = scan::read_raster(path);
            REQUIRE(stored.ok());
            CHECK(stored->width == width);
        }
    // nothing noted, nonsense noted, a note cut short: as stored
    auto cut = with_orientation(plain, 6, true);
    cut[5 + 20] = std::byte{0xFF};
    for (const Bytes& bytes :
         {plain, with_orientation(plain, 0, true), with_orientation(plain, 9, false), cut}) {
        write(folder.path() / "sole.jpg", bytes);
        const auto seen = scan::read_photograph(folder.path() / "sole.jpg");
        REQUIRE(seen.ok());
        CHECK(seen->width == width);
    }
}
