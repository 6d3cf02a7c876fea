#include "tests/support/step_planes.hpp"

#include <catch2/catch.hpp>

#include "engine/base/text.hpp"

namespace archwright::tests {

namespace {

std::string entity(const std::string& text, const std::string& number) {
    const std::size_t at = text.find("\n" + number + " =");
    REQUIRE(at != std::string::npos);
    return text.substr(at + 1, text.find(';', at) - at);
}

std::string reference(const std::string& words, std::size_t which) {
    std::size_t at = words.find('=');
    for (std::size_t k = 0; k <= which; ++k) at = words.find('#', at + 1);
    return words.substr(at, words.find_first_not_of("0123456789", at + 1) - at);
}

Vec3 direction_of(std::string direction) {
    CHECK(direction.find("DIRECTION") != std::string::npos);
    std::erase_if(direction, [](char c) { return c == ' ' || c == '\n' || c == '\r'; });
    Vec3 normal;
    std::size_t at = direction.find(",(") + 2;
    for (int k = 0; k < 3; ++k) {
        const std::size_t end = direction.find_first_of(",)", at);
        std::string number = direction.substr(at, end - at);
        if (number.back() == '.') number += '0';
        if (const std::size_t e = number.find(".E"); e != std::string::npos) number.insert(e + 1, "0");
        const auto value = parse_number(number);
        INFO(direction << " " << number);
        REQUIRE(value.has_value());
        normal[k] = *value;
        at = end + 1;
    }
    return normal.normalized();
}

}  // namespace

std::vector<Vec3> plane_normals(const std::string& text) {
    std::vector<Vec3> normals;
    for (std::size_t plane = text.find("= PLANE("); plane != std::string::npos;
         plane = text.find("= PLANE(", plane + 1)) {
        const std::size_t line = text.rfind('\n', plane) + 1;
        const std::string placement =
            entity(text, reference(text.substr(line, text.find(';', line) - line), 0));
        normals.push_back(direction_of(entity(text, reference(placement, 1))));
    }
    return normals;
}

}  // namespace archwright::tests
