// The page itself: nothing of it can be asked from elsewhere, no text of a job becomes anything but text, its
// surfaces are the device's, and the same design gives the same bytes.
#include <catch2/catch.hpp>
#include <cstring>
#include <regex>

#include "engine/base/parallel.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/foot/frame.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/picture/of_device.hpp"
#include "exporters/preview/html.hpp"
#include "exporters/preview/preview.hpp"
#include "tests/support/build_in_memory.hpp"
#include "tests/support/random_cases.hpp"

#include <nlohmann/json.hpp>

using namespace archwright;
using exporters::preview::preview_page;

namespace {

struct OneCase {
    design::Job job;
    build::Device device;
};

/// A left foot of the generator's, with a job that says what no job should.
const OneCase& hostile_case() {
    static const OneCase made = [] {
        OneCase one;
        for (std::uint64_t seed = tests::seed();; ++seed) {
            const auto random = tests::random_job(seed, 40000);
            if (!random.ok() || random->side != Side::left) continue;
            const auto cast = tests::cast_in_memory(random->cast.mesh, "cast.ply");
            auto device = tests::build_in_memory(cast, random->foot, Side::left);
            if (!device.ok()) continue;
            one.job.left = random->foot;
            one.device = std::move(*device);
            break;
        }
        one.job.case_code = one.device.case_code = "</script><script>alert(1)</script>";
        one.device.revision = one.job.revisions.back().letter;
        one.job.revisions.back().note = "<img src=x onerror=\"alert(2)\">";
        one.job.order.asked = "{{script}} </style> & \"quoted\" 'so' \xE2\x80\xAE turned \xFF\xC0 end";
        one.job.left->sign_offs.push_back({"wall.rim", "<b>T1</b>", "because </textarea>", "", "x"});
        return one;
    }();
    return made;
}

const std::string& hostile_page() {
    static const std::string html = [] {
        Progress progress;
        const auto page = preview_page(hostile_case().job, hostile_case().device, progress);
        REQUIRE(page.ok());
        return page->html;
    }();
    return html;
}

std::size_t count(const std::string& text, const std::string& what) {
    std::size_t n = 0;
    for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; ++at) ++n;
    return n;
}

std::string bytes_of(const std::string& text) {
    static const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    unsigned group = 0;
    int have = 0;
    for (const char c : text) {
        if (c == '=') break;
        group = group << 6U | static_cast<unsigned>(digits.find(c));
        have += 6;
        if (have < 8) continue;
        have -= 8;
        out += static_cast<char>(group >> have & 255U);
    }
    return out;
}

nlohmann::json data_of(const std::string& html) {
    const std::string open = "<script type=\"application/json\" id=\"data\">";
    const std::size_t from = html.find(open) + open.size();
    return nlohmann::json::parse(html.substr(from, html.find("</script>", from) - from));
}

}  // namespace

TEST_CASE("no text of a job becomes anything but text") {
    const std::string& html = hostile_page();
    CHECK(count(html, "<script") == 2);
    CHECK(count(html, "</script>") == 2);
    CHECK(count(html, "<style>") == 1);
    CHECK(count(html, "</style>") == 1);
    CHECK(count(html, "</textarea>") == 1);
    CHECK(html.find("<img") == std::string::npos);
    CHECK(html.find("<b>T1") == std::string::npos);
    CHECK(html.find("<bdi>{{script}} &lt;/style&gt; &amp; &quot;quoted&quot; &#39;so&#39;") !=
          std::string::npos);
    CHECK(html.find("&lt;img src=x onerror=&quot;alert(2)&quot;&gt;") != std::string::npos);
    CHECK(data_of(html)["case"] == "</script><script>alert(1)</script>");
    CHECK(count(html, "(void: the design was changed afterwards)") == 1);
}

TEST_CASE("the page can ask for nothing and runs no script but its own") {
    const std::string& html = hostile_page();
    CHECK(html.find(
              "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src &#39;none&#39;; script-src "
              "&#39;sha256-") != std::string::npos);
    CHECK(html.find("unsafe") == std::string::npos);
    // no address anywhere but in the data, which base64 could spell
    std::string words = html;
    const std::size_t from = words.find("id=\"data\">"), to = words.find("</script>", from);
    words.erase(from, to - from);
    // ... nor in the policy's hashes, and what the job says is text (the test before this one)
    const std::size_t policy = words.find("content=\""), note = words.find("&lt;img");
    words.erase(note, words.find("</", note) - note);
    words.erase(policy, words.find('>', policy) - policy);
    CHECK_FALSE(
        std::regex_search(words, std::regex(R"(\b(https?|ftp|wss?|file):|//[a-z0-9]|@import|url\()")));
    CHECK_FALSE(std::regex_search(
        words, std::regex(R"(\b(fetch|XMLHttpRequest|WebSocket|sendBeacon|EventSource|import)\s*\()")));
    CHECK_FALSE(
        std::regex_search(words, std::regex(R"(<(link|iframe|object|embed|img|audio|video|base)\b)")));
    CHECK_FALSE(std::regex_search(words, std::regex(R"(\son[a-z]+=|\sstyle=|javascript:)")));
}

TEST_CASE("the hashes of the policy are those of the script and of the style as they stand") {
    const std::string& html = hostile_page();
    const auto within = [&](const std::string& open, const std::string& close, std::size_t from = 0) {
        const std::size_t at = html.find(open, from) + open.size();
        return html.substr(at, html.find(close, at) - at);
    };
    using exporters::preview::escaped, exporters::preview::source_hash;
    const std::string script = within("<script>", "</script>"), style = within("<style>", "</style>");
    CHECK(html.find("script-src " + escaped(source_hash(script))) != std::string::npos);
    CHECK(html.find("style-src " + escaped(source_hash(style))) != std::string::npos);
}

TEST_CASE("the same bytes again, on any number of threads") {
    const OneCase& one = hostile_case();
    for (const int threads : {1, 8}) {
        set_thread_count(threads);
        Progress progress;
        const auto page = preview_page(one.job, one.device, progress);
        set_thread_count(0);
        REQUIRE(page.ok());
        CHECK(page->html == hostile_page());
    }
    CHECK(hostile_page().size() < 4000000);
}

TEST_CASE("the surfaces on the page are the device's, mirrored back, with its walls") {
    const OneCase& one = hostile_case();
    const nlohmann::json data = data_of(hostile_page());
    CHECK(data["fingerprint"] == design::fingerprint(one.job, Side::left));
    const surface::ShellMesh& made = one.device.made();
    const picture::PictureInput input = picture::input_of(one.device, *one.job.left);
    const picture::Subject subject(input);
    for (const char* name : {"shell", "cast"}) {
        const bool shell = std::string(name) == "shell";
        const TriangleMesh whole =
            foot::to_export(shell ? made.mesh : one.device.received->standing.mesh, Side::left);
        const nlohmann::json& body = data[name];
        const std::string places = bytes_of(body["places"]), corners = bytes_of(body["corners"]);
        const std::size_t points = body["points"], triangles = body["triangles"];
        REQUIRE(places.size() == 6 * points);
        REQUIRE(body["corner_bytes"] == 2);
        REQUIRE(corners.size() == 6 * triangles);
        CHECK(body["ends"].back() == triangles);
        CHECK(triangles <= 60000);
        const auto number = [](const std::string& bytes, std::size_t k) {
            return static_cast<unsigned char>(bytes[2 * k]) +
                   256 * static_cast<unsigned char>(bytes[2 * k + 1]);
        };
        TriangleMesh drawn;
        for (std::size_t i = 0; i < points; ++i) {
            Vec3 p = Vec3::Zero();
            for (std::size_t k = 0; k < 3; ++k)
                p[static_cast<int>(k)] = body["low_mm"][k].get<double>() +
                                         body["step_mm"].get<double>() * number(places, 3 * i + k);
            drawn.points.push_back(p);
        }
        for (std::size_t t = 0; t < triangles; ++t)
            drawn.triangles.push_back(
                {number(corners, 3 * t), number(corners, 3 * t + 1), number(corners, 3 * t + 2)});
        // every point drawn is a point of the surface, and its wall is the one measured there
        const Bvh tree(whole);
        const std::string walls = shell ? bytes_of(body["wall"]) : std::string();
        double farthest = 0.0, wall_off = 0.0;
        std::size_t at = 0;  // points keep their order: a walk finds each
        for (std::size_t i = 0; i < points; ++i) {
            farthest = std::max(farthest, tree.nearest(drawn.points[i], 1.0).value_or(Near{1.0}).distance);
            if (!shell) continue;
            while (at < whole.points.size() && (whole.points[at] - drawn.points[i]).norm() > 0.005) ++at;
            REQUIRE(at < whole.points.size());
            const auto wall = static_cast<std::int16_t>(number(walls, i));
            wall_off = std::max(wall_off, std::abs(wall / 100.0 - subject.walls()[at]));
        }
        CHECK(farthest < 0.005);
        CHECK(wall_off < 0.006);
        if (shell) {
            CHECK(drawn.volume() == Approx(whole.volume()).epsilon(0.01));  // outward, mirrored back
            CHECK(body["ends"].size() == 3);
        }
    }
}
