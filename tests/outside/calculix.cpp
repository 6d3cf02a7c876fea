#include "tests/outside/calculix.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>

#include "engine/base/text.hpp"
#include "tests/outside/programs.hpp"

namespace archwright::tests {

namespace {

/// It reads no field of more than 20 characters; a thousandth of what anyone measures is enough.
std::string field(double value) {
    return rounded(value, 6);
}
/// Undersides no higher than this may come down to the ground; stiffness of the contact, N/mm3.
constexpr double near_ground_mm = 12.0, contact_n_mm3 = 1000.0;

std::string node_line(int number, const Vec3& at) {
    return std::to_string(number) + "," + field(at.x()) + "," + field(at.y()) + "," + field(at.z()) + "\n";
}

std::array<Triangle, 4> quarters_of(const std::array<int, 6>& p) {
    return {Triangle{p[0], p[3], p[5]}, Triangle{p[3], p[1], p[4]}, Triangle{p[5], p[4], p[2]},
            Triangle{p[3], p[4], p[5]}};
}

/// The middle between the two sides, and the wall across it.
std::pair<Vec3, double> middle_at(const surface::Shell& shell, const Vec2& uv) {
    const surface::SurfacePoint foot = shell.foot_side.first(uv), under = shell.underside.first(uv);
    const Vec3 normal = (foot.normal() + under.normal()).normalized();
    return {0.5 * (foot.s + under.s), (foot.s - under.s).dot(normal)};
}

}  // namespace

QuadraticMesh quadratic(const flex::Middle& middle) {
    QuadraticMesh mesh{middle.uv, {}};
    std::map<std::pair<int, int>, int> between;
    for (const Triangle& t : middle.model.triangles) {
        std::array<int, 6> nodes{t[0], t[1], t[2], 0, 0, 0};
        for (int side = 0; side < 3; ++side) {
            const auto [a, b] = std::minmax(t[side], t[(side + 1) % 3]);
            const auto [at, fresh] = between.try_emplace({a, b}, static_cast<int>(mesh.uv.size()));
            if (fresh) mesh.uv.push_back(0.5 * (middle.uv[a] + middle.uv[b]));
            nodes[3 + side] = at->second;
        }
        mesh.triangles.push_back(nodes);
    }
    return mesh;
}

flex::Model quartered(const surface::Shell& shell, const QuadraticMesh& mesh, const flex::Lamina& lamina) {
    flex::Model model;
    model.lamina = lamina;
    for (const Vec2& uv : mesh.uv) {
        const auto [at, wall] = middle_at(shell, uv);
        model.points.push_back(at);
        model.wall_mm.push_back(wall);
    }
    for (const auto& nodes : mesh.triangles)
        for (const Triangle& part : quarters_of(nodes)) model.triangles.push_back(part);
    return model;
}

void CalculixDeck::shells(const surface::Shell& shell, const QuadraticMesh& mesh) {
    std::ostringstream walls;
    for (const Vec2& uv : mesh.uv) {
        const auto [at, wall] = middle_at(shell, uv);
        nodes_ << node_line(++count_, at);
        walls << count_ << "," << field(wall) << "\n";
    }
    elements_ << "*ELEMENT,TYPE=S6,ELSET=EALL\n";
    for (const auto& nodes : mesh.triangles) {
        elements_ << ++triangles_;
        for (const int node : nodes) elements_ << "," << node + 1;
        elements_ << "\n";
    }
    // without the parameter on the section's card the table of walls is passed over in silence
    after_ << "*SHELL SECTION,ELSET=EALL,MATERIAL=M,NODAL THICKNESS\n3.\n*NODAL THICKNESS\n" << walls.str();
}

void CalculixDeck::wedges(const surface::Shell& shell, const QuadraticMesh& mesh, const Mat3& turn,
                          const Vec3& shift) {
    // three layers of the same numbers: underside, halfway, foot side; the middles of sides have no halfway
    const int layer = static_cast<int>(mesh.uv.size());
    std::vector<char> corner(mesh.uv.size(), 0);
    for (const auto& nodes : mesh.triangles)
        for (int i = 0; i < 3; ++i) corner[nodes[i]] = 1;
    for (int n = 0; n < layer; ++n) {
        const Vec3 under = turn * shell.underside.point(mesh.uv[n]) + shift;
        const Vec3 foot = turn * shell.foot_side.point(mesh.uv[n]) + shift;
        nodes_ << node_line(n + 1, under) << node_line(2 * layer + n + 1, foot);
        if (corner[n]) nodes_ << node_line(layer + n + 1, 0.5 * (under + foot));
    }
    first_corner_ = layer + 1;
    count_ = 3 * layer;
    elements_ << "*ELEMENT,TYPE=C3D15,ELSET=EALL\n";
    for (const auto& nodes : mesh.triangles) {
        elements_ << ++triangles_;
        const auto add = [&](int up, int from, int to) {
            for (int i = from; i < to; ++i) elements_ << "," << up * layer + nodes[i] + 1;
        };
        add(0, 0, 3);
        add(2, 0, 3);
        add(0, 3, 6);
        add(2, 3, 6);
        add(1, 0, 3);
        elements_ << "\n";
        const double height = (turn * shell.underside.point(mesh.uv[nodes[0]]) + shift).z();
        if (height < near_ground_mm) near_ground_.push_back(triangles_);
    }
    after_ << "*SOLID SECTION,ELSET=EALL,MATERIAL=M\n";
}

void CalculixDeck::material(double modulus_mpa, double poisson) {
    elements_ << "*MATERIAL,NAME=M\n*ELASTIC\n" << exact(modulus_mpa) << "," << exact(poisson) << "\n";
}

void CalculixDeck::ground() {
    constexpr double far_mm = 400.0, deep_mm = 20.0;
    const int first = count_ + 1, element = static_cast<int>(triangles_) + 1;
    int number = count_;
    for (const double z : {-deep_mm, 0.0})
        for (const Vec2& at :
             {Vec2(-far_mm, -far_mm), Vec2(far_mm, -far_mm), Vec2(far_mm, far_mm), Vec2(-far_mm, far_mm)})
            nodes_ << node_line(++number, Vec3(at.x(), at.y(), z));
    after_ << "*ELEMENT,TYPE=C3D8,ELSET=GROUND\n" << element;
    for (int n = first; n <= number; ++n) {
        after_ << "," << n;
        hold(n, 1, 3);
    }
    after_ << "\n*MATERIAL,NAME=RIGID\n*ELASTIC\n200000.,0.3\n*SOLID SECTION,ELSET=GROUND,MATERIAL=RIGID\n"
           << "*SURFACE,NAME=TOP,TYPE=ELEMENT\n"
           << element << ",S2\n*SURFACE,NAME=UNDERSIDE,TYPE=ELEMENT\n";
    for (const std::size_t wedge : near_ground_) after_ << wedge << ",S1\n";
    after_ << "*SURFACE INTERACTION,NAME=TOUCH\n*SURFACE BEHAVIOR,PRESSURE-OVERCLOSURE=LINEAR\n"
           << exact(contact_n_mm3)
           << "\n*CONTACT PAIR,INTERACTION=TOUCH,TYPE=SURFACE TO SURFACE\nUNDERSIDE,TOP\n";
    count_ = number;
}

void CalculixDeck::hold(int node, int first, int last) {
    held_.push_back(std::to_string(node) + "," + std::to_string(first) + "," + std::to_string(last));
}

void CalculixDeck::press(const std::map<int, double>& down_n, bool contact, bool far) {
    step_ << "*BOUNDARY\n";
    for (const std::string& line : held_) step_ << line << "\n";
    step_ << "*NSET,NSET=OUT\n";
    for (const auto& [node, force] : down_n) step_ << node << ",\n";
    const std::string nonlinear = std::string("*STEP,NLGEOM") + (far ? "" : "=NO") + ",INC=400\n";
    step_ << (contact ? nonlinear + "*STATIC\n0.5,1.,1e-4,0.5\n"
              : far   ? nonlinear + "*STATIC\n0.25,1.,1e-3,0.25\n"
                      : "*STEP\n*STATIC\n")
          << "*CLOAD\n";
    for (const auto& [node, force] : down_n) {
        step_ << node << ",3," << field(-force) << "\n";
        loaded_.push_back(node);
    }
    step_ << "*NODE PRINT,NSET=OUT,FREQUENCY=100000\nU\n*END STEP\n";
}

std::string CalculixDeck::text() const {
    return "*NODE,NSET=NALL\n" + nodes_.str() + elements_.str() + after_.str() + step_.str();
}

std::map<int, double> CalculixDeck::run(const std::filesystem::path& folder, const std::string& name,
                                        std::string& said) const {
    std::ofstream(folder / (name + ".inp")) << "*NODE,NSET=NALL\n"
                                            << nodes_.str() << elements_.str() << after_.str() << step_.str();
    said = output_of("OMP_NUM_THREADS=2 ccx -i " + name, folder);
    std::map<int, double> down;  // the last state it prints
    std::ifstream table(folder / (name + ".dat"));
    for (std::string line; std::getline(table, line);) {
        std::istringstream words(line);
        std::string number, x, y, z;
        if (!(words >> number >> x >> y >> z)) continue;
        const auto node = parse_number(number), moved = parse_number(z);
        if (node && moved &&
            std::find(loaded_.begin(), loaded_.end(), static_cast<int>(*node)) != loaded_.end())
            down[static_cast<int>(*node)] = -*moved;
    }
    return down;
}

std::map<int, double> down_forces(const CalculixDeck& deck, const std::vector<double>& shares, double load) {
    std::map<int, double> down;
    for (std::size_t p = 0; p < shares.size(); ++p)
        if (shares[p] != 0.0) down[deck.corner(static_cast<int>(p))] = load * shares[p];
    return down;
}

CalculixDeck pressed_deck(const flex::BenchSubject& subject, const flex::BenchBody& body,
                          const flex::BenchLoad& load, const flex::BenchPose& pose, double press_n) {
    const flex::Middle& middle = body.middle;
    CalculixDeck deck;
    deck.wedges(*subject.shell, quadratic(middle), pose.turn, pose.shift);
    deck.material(subject.lamina.e1_mpa, subject.lamina.nu12);
    // located along the ground; nothing but rounding pulls there
    std::size_t front = 0;
    for (std::size_t p = 0; p < middle.model.points.size(); ++p)
        if (middle.model.points[p].x() > middle.model.points[front].x()) front = p;
    deck.hold(deck.corner(static_cast<int>(body.located)), 1, 2);
    deck.hold(deck.corner(static_cast<int>(front)), 2, 2);
    deck.ground();
    deck.press(down_forces(deck, load.shares, press_n), true);
    return deck;
}

WedgesRead read_wedges(std::istream& deck) {
    WedgesRead read;
    std::map<int, Vec3> nodes;
    std::vector<std::array<int, 15>> wedges;
    std::map<int, double> down;
    std::vector<std::array<int, 3>> held;
    std::string card;
    for (std::string line; std::getline(deck, line);) {
        if (line.starts_with("*")) {
            card = line;
            continue;
        }
        std::vector<double> numbers;
        std::istringstream words(line);
        for (std::string word; std::getline(words, word, ',');)
            if (const auto number = parse_number(word)) numbers.push_back(*number);
        if (card.starts_with("*NODE,")) {
            nodes[static_cast<int>(numbers.at(0))] = Vec3(numbers.at(1), numbers.at(2), numbers.at(3));
        } else if (card.starts_with("*ELEMENT,TYPE=C3D15")) {
            std::array<int, 15> wedge{};
            for (int i = 0; i < 15; ++i) wedge[i] = static_cast<int>(numbers.at(1 + i));
            wedges.push_back(wedge);
        } else if (card.starts_with("*BOUNDARY")) {
            held.push_back({static_cast<int>(numbers.at(0)), static_cast<int>(numbers.at(1)),
                            static_cast<int>(numbers.at(2))});
        } else if (card.starts_with("*CLOAD")) {
            down[static_cast<int>(numbers.at(0))] = -numbers.at(2);
        } else if (card.starts_with("*ELASTIC") && numbers.at(0) < 1e5) {
            read.model.lamina = flex::Lamina::isotropic(numbers.at(0), numbers.at(1));
        }
    }
    // corners first, then the middles of sides: each by its node on the underside
    std::map<int, int> point, foot_side;
    for (const int from : {0, 6})
        for (const auto& wedge : wedges)
            for (int i = 0; i < 3; ++i) {
                foot_side[wedge[from + i]] = wedge[from + 3 + i];
                point.try_emplace(wedge[from + i], static_cast<int>(point.size()));
            }
    flex::Model& fine = read.quarters;
    fine.lamina = read.model.lamina;
    std::vector<Vec3> across(point.size());
    fine.points.resize(point.size());
    read.quarters_under.resize(point.size());
    for (const auto& [node, p] : point) {
        const Vec3 &under = nodes.at(node), &foot = nodes.at(foot_side.at(node));
        fine.points[p] = 0.5 * (under + foot);
        across[p] = foot - under;
        read.quarters_under[p] = under;
    }
    int corners = 0;
    for (const auto& wedge : wedges) {
        std::array<int, 6> p{};
        for (int i = 0; i < 3; ++i) {
            p[i] = point.at(wedge[i]);
            p[3 + i] = point.at(wedge[6 + i]);
            corners = std::max(corners, p[i] + 1);
        }
        read.model.triangles.push_back({p[0], p[1], p[2]});
        for (const Triangle& part : quarters_of(p)) fine.triangles.push_back(part);
    }
    fine.wall_mm.assign(point.size(), 1.0);
    const std::vector<Vec3> normal = flex::normals(fine);
    for (std::size_t p = 0; p < point.size(); ++p) fine.wall_mm[p] = across[p].dot(normal[p]);
    read.model.points.assign(fine.points.begin(), fine.points.begin() + corners);
    read.model.wall_mm.assign(fine.wall_mm.begin(), fine.wall_mm.begin() + corners);
    read.under.assign(read.quarters_under.begin(), read.quarters_under.begin() + corners);
    std::map<int, int> halfway;  // of the corners
    for (const auto& wedge : wedges)
        for (int i = 0; i < 3; ++i) halfway[wedge[12 + i]] = point.at(wedge[i]);
    for (const auto& [node, force] : down) read.down_n[halfway.at(node)] = force;
    for (const auto& [node, first, last] : held)
        if (const auto at = halfway.find(node); at != halfway.end())
            for (int c = first; c <= last; ++c) read.held.emplace_back(at->second, c - 1);
    return read;
}

}  // namespace archwright::tests
