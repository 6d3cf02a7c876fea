// The archive that fills described structs from JSON and says what is wrong with it (see description.hpp).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/design/description.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// What was wrong, in order, up to a bound that a person still reads.
class Problems {
  public:
    void add(std::string problem);
    bool empty() const { return count_ == 0; }
    /// Whether further ones are only counted: their text is never shown.
    bool enough() const;
    /// One problem a line; says how many more there were.
    std::string text() const;

  private:
    std::vector<std::string> kept_;
    std::size_t count_ = 0;
};

/// Reads members of one JSON object into a struct. Absent keys leave the member as it is, so that a partial
/// object (one value typed by a person, a preset) can be laid over a whole one.
class Reader {
  public:
    struct Rules {
        bool partial = false;        ///< absent required keys are no problem
        bool allow_outside = false;  ///< paths may leave the job's folder
    };

    Reader(const Json& json, std::string path, const Rules& rules, Problems& problems)
        : json_(json), path_(std::move(path)), rules_(rules), problems_(problems) {}

    void number(std::string_view key, double& v, const Range& range, const About&);
    void number(std::string_view key, std::optional<double>& v, const Range& range, const About&);
    void whole(std::string_view key, int& v, const Range& range, const About&);
    void flag(std::string_view key, bool& v, const About&);
    void flag(std::string_view key, std::optional<bool>& v, const About&);
    void text(std::string_view key, std::string& v, TextKind kind, Presence presence, const About&);
    void point(std::string_view key, Vec3& v, double bound, const About&);
    void point(std::string_view key, std::optional<Vec3>& v, double bound, const About&);
    void landmarks(std::string_view key, foot::Landmarks& v, const About&);

    template <class E>
    void choice(std::string_view key, E& v, const About&) {
        std::vector<std::string> keys;
        for (const Word<E>& word : words<E>) keys.emplace_back(word.key);
        if (const auto chosen = choose(key, keys)) v = words<E>[*chosen].value;
    }

    template <int N>
    void points(std::string_view key, std::vector<Eigen::Matrix<double, N, 1>>& v, const Count& count,
                double bound, const About&) {
        const Json* list = take_list(key, count);
        if (!list) return;
        v.assign(list->items.size(), Eigen::Matrix<double, N, 1>::Zero());
        for (std::size_t i = 0; i < v.size(); ++i)
            coordinates(list->items[i], entry(key, i), v[i].data(), N, bound);
    }

    template <class S>
    void object(std::string_view key, S& v, const About&) {
        static const Json nothing = Json::object();
        const bool absent = !json_.find(key);
        const Json* child = take_object(key);
        if (absent && !rules_.partial) child = &nothing;  // names what it lacks
        if (child) read(*child, full(key), v);
    }

    template <class S>
    void optional_object(std::string_view key, std::optional<S>& v, const About&) {
        const Json* child = take_object(key);
        if (!child) return;
        if (!v) v.emplace();
        read(*child, full(key), *v);
    }

    template <class S>
    void list(std::string_view key, std::vector<S>& v, const Count& count, const About&) {
        const Json* list = take_list(key, count);
        if (!list) return;
        v.assign(list->items.size(), S{});
        for (std::size_t i = 0; i < v.size(); ++i) {
            if (list->items[i].kind == Json::Kind::object)
                read_whole(list->items[i], entry(key, i), v[i]);
            else
                wrong_kind(entry(key, i), list->items[i], "a group of keys in { }");
        }
    }

    /// Names every key that no line of the description asked for.
    void refuse_unknown();

  private:
    template <class S>
    void read(const Json& json, const std::string& path, S& v) {
        Reader reader(json, path, rules_, problems_);
        describe(reader, v);
        reader.refuse_unknown();
    }
    /// Entries of lists are always whole, even in a partial object.
    template <class S>
    void read_whole(const Json& json, const std::string& path, S& v) {
        Rules rules = rules_;
        rules.partial = false;
        Reader reader(json, path, rules, problems_);
        describe(reader, v);
        reader.refuse_unknown();
    }

    std::string full(std::string_view key) const;
    std::string entry(std::string_view key, std::size_t index) const;
    const Json* take(std::string_view key);
    const Json* take_object(std::string_view key);
    const Json* take_list(std::string_view key, const Count& count);
    std::optional<std::size_t> choose(std::string_view key, const std::vector<std::string>& keys);
    bool number_in(const Json& json, const std::string& path, const Range& range, double& v);
    bool coordinates(const Json& json, const std::string& path, double* v, int n, double bound);
    void wrong_kind(const std::string& path, const Json& found, const std::string& wanted);

    const Json& json_;
    std::string path_;
    Rules rules_;
    Problems& problems_;
    std::vector<std::string> known_;
};

/// Reads `json` (an object) over `v`; the names of problems begin with `path`.
template <class S>
void read_json(const Json& json, const std::string& path, S& v, const Reader::Rules& rules,
               Problems& problems) {
    Reader reader(json, path, rules, problems);
    describe(reader, v);
    reader.refuse_unknown();
}

}  // namespace archwright::design
