// The archive that turns described structs into JSON (see description.hpp).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/design/description.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// Which members are written.
enum class Writing {
    complete,  ///< everything but empty texts and absent options: a job says what it rests on
    deciding,  ///< only what differs from its default: for fingerprints, which must outlive new parameters
};

template <class S>
Json to_json(const S& value, Writing writing);

class Writer {
  public:
    explicit Writer(Writing writing) : writing_(writing) {}

    void number(std::string_view key, double& v, const Range&, const About&) { put(key, Json::of(v)); }
    void number(std::string_view key, std::optional<double>& v, const Range&, const About&) {
        if (v) put(key, Json::of(*v));
    }
    void whole(std::string_view key, int& v, const Range&, const About&) {
        put(key, Json::of(static_cast<double>(v)));
    }
    void flag(std::string_view key, bool& v, const About&) { put(key, Json::of(v)); }
    void flag(std::string_view key, std::optional<bool>& v, const About&) {
        if (v) put(key, Json::of(*v));
    }
    template <class E>
    void choice(std::string_view key, E& v, const About&) {
        put(key, Json::of(key_of(v)));
    }
    void text(std::string_view key, std::string& v, TextKind, Presence presence, const About&) {
        if (!v.empty() || presence == Presence::required) put(key, Json::of(v));
    }
    template <int N>
    void point(std::string_view key, Eigen::Matrix<double, N, 1>& v, double, const About&) {
        put(key, coordinates(v));
    }
    void point(std::string_view key, std::optional<Vec3>& v, double, const About&) {
        if (v) put(key, coordinates(*v));
    }
    template <int N>
    void points(std::string_view key, std::vector<Eigen::Matrix<double, N, 1>>& v, const Count&, double,
                const About&) {
        Json list = Json::list();
        for (const auto& p : v) list.items.push_back(coordinates(p));
        put(key, std::move(list));
    }
    template <class S>
    void object(std::string_view key, S& v, const About&) {
        put(key, to_json(v, writing_));
    }
    template <class S>
    void optional_object(std::string_view key, std::optional<S>& v, const About&) {
        if (v) put(key, to_json(*v, writing_));
    }
    template <class S>
    void list(std::string_view key, std::vector<S>& v, const Count&, const About&) {
        Json list = Json::list();
        for (const S& entry : v) list.items.push_back(to_json(entry, writing_));
        put(key, std::move(list));
    }
    void landmarks(std::string_view key, foot::Landmarks& v, const About&) {
        Json object = Json::object();
        for (const auto& [id, landmark] : v) object.add(foot::key(id), to_json(landmark, writing_));
        put(key, std::move(object));
    }

    Json take() { return std::move(object_); }

  private:
    void put(std::string_view key, Json value) { object_.add(std::string(key), std::move(value)); }
    template <class V>
    static Json coordinates(const V& v) {
        Json list = Json::list();
        for (int i = 0; i < v.size(); ++i) list.items.push_back(Json::of(v[i]));
        return list;
    }

    Writing writing_;
    Json object_ = Json::object();
};

/// The described struct as a JSON object.
template <class S>
Json to_json(const S& value, Writing writing) {
    Writer writer(writing);
    describe(writer, const_cast<S&>(value));  // the writer only reads; one description serves both directions
    Json json = writer.take();
    if (writing == Writing::complete) return json;
    S standard{};
    Writer defaults(writing);
    describe(defaults, standard);
    const Json plain = defaults.take();
    std::erase_if(json.members, [&](const auto& member) {
        const Json* same = plain.find(member.first);
        return same && *same == member.second;
    });
    return json;
}

}  // namespace archwright::design
