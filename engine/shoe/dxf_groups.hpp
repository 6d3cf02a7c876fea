// The pairs of lines a DXF file consists of.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace archwright::shoe {

/// One group: a code that says what the value is, and the value, without blanks around it.
struct DxfGroup {
    int code = 0;
    std::string_view value;
    std::size_t line = 0;  ///< of the code

    bool is(int wanted_code, std::string_view wanted) const { return code == wanted_code && value == wanted; }
};

/// Walks over the groups of a text. Nothing is copied.
class DxfGroups {
  public:
    explicit DxfGroups(std::string_view text) : rest_(text) {}

    /// The next group; nothing at the end, or when the file breaks off or holds no code: then trouble() says
    /// what and where.
    std::optional<DxfGroup> next();
    /// Gives the group back: the next next() returns it once more.
    void back(const DxfGroup& group) { kept_ = group; }

    const std::string& trouble() const { return trouble_; }
    std::size_t line() const { return line_; }

  private:
    std::optional<std::string_view> take_line();

    std::string_view rest_;
    std::size_t line_ = 0;
    std::optional<DxfGroup> kept_;
    std::string trouble_;
};

}  // namespace archwright::shoe
