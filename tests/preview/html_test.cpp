// Text on a page does no harm, bytes become text as the standards' own examples say.
#include "exporters/preview/html.hpp"

#include <catch2/catch.hpp>
#include <random>

#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::exporters::preview;

namespace {

std::string base64_of(const std::string& text) {
    return base64(std::as_bytes(std::span(text)));
}

}  // namespace

TEST_CASE("base64 as RFC 4648, section 10, has it") {
    CHECK(base64_of("").empty());
    CHECK(base64_of("f") == "Zg==");
    CHECK(base64_of("fo") == "Zm8=");
    CHECK(base64_of("foo") == "Zm9v");
    CHECK(base64_of("foob") == "Zm9vYg==");
    CHECK(base64_of("fooba") == "Zm9vYmE=");
    CHECK(base64_of("foobar") == "Zm9vYmFy");
}

TEST_CASE("the hash of a script is that of the policy's own specification") {
    // Content Security Policy Level 3 (W3C), section 8.2: the hash of "doSomething();"
    CHECK(source_hash("doSomething();") == "'sha256-RFWPLDbv2BY+rCkDzsE+0fr8ylGr2R2faWMhq4lfEQc='");
}

TEST_CASE("text on a page: no element, no attribute, no broken character comes of it") {
    CHECK(escaped("</script><b a='x' b=\"y\">&amp;") ==
          "&lt;/script&gt;&lt;b a=&#39;x&#39; b=&quot;y&quot;&gt;&amp;amp;");
    CHECK(escaped("Fu\xC3\x9F \xE2\x82\xAC \xF0\x9F\x91\xA3") == "Fu\xC3\x9F \xE2\x82\xAC \xF0\x9F\x91\xA3");
    const std::string lost = "\xEF\xBF\xBD";
    CHECK(escaped(std::string("a\0b\x7F\x1B", 5)) == "a" + lost + "b" + lost + lost);
    CHECK(escaped("\xC0\xAF") == lost + lost);                        // a longer form than needed
    CHECK(escaped("\xED\xA0\x80") == lost + lost + lost);             // half of a pair
    CHECK(escaped("\xF4\x90\x80\x80") == lost + lost + lost + lost);  // past the last
    CHECK(escaped("\xE2\x82") == lost + lost);                        // cut off
    CHECK(apart("<x>") == "<bdi>&lt;x&gt;</bdi>");
}

TEST_CASE("random bytes as text: never one of the five characters, never cut") {
    std::mt19937_64 random(tests::seed());
    for (int k = tests::cases(20000, 2000, "escaped texts"); k > 0; --k) {
        std::string text;
        for (std::size_t n = random() % 24; n > 0; --n)
            text += "<>&\"'a\xC3\xA9\xE2\x82\xAC\xF0\x9F\x91\xA3\x80\xFF"[random() % 17];
        const std::string out = escaped(text);
        CHECK(out.find_first_of("<>\"'") == std::string::npos);
        // read back as HTML, whole characters are what they were
        if (text.find_first_of("\x80\xC3\xE2\xF0\xFF\xA9\x82\xAC\x9F\x91\xA3") == std::string::npos) {
            std::string back = out;
            for (const auto& [reference, character] :
                 {std::pair{"&lt;", "<"}, std::pair{"&gt;", ">"}, std::pair{"&quot;", "\""},
                  std::pair{"&#39;", "'"}, std::pair{"&amp;", "&"}})
                for (std::size_t at = 0; (at = back.find(reference, at)) != std::string::npos; ++at)
                    back.replace(at, std::string(reference).size(), character);
            CHECK(back == text);
        }
    }
}

TEST_CASE("a form is filled once: what is put in is not looked at again") {
    const auto out = filled("<p>{{a}}</p>{{b}}", {{"a", "{{b}}"}, {"b", "x"}});
    REQUIRE(out.ok());
    CHECK(*out == "<p>{{b}}</p>x");
    CHECK_FALSE(filled("{{a}}", {}).ok());
    CHECK_FALSE(filled("{{a", {{"a", "x"}}).ok());
    CHECK_FALSE(filled("nothing", {{"a", "x"}}).ok());
}
