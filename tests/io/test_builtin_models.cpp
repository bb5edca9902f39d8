#include <doctest/doctest.h>

#include <cmath>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include "circuit/line_types.hpp"
#include "io/document.hpp"
#include "io/model_file.hpp"

using namespace feldspar;

namespace {

/// Laws that hold for every model, whatever its parameters.
void check_model(const model::Model& model) {
  REQUIRE_FALSE(model.structure.wires.empty());
  REQUIRE(model.structure.ports.size() == 1);
  CHECK_FALSE(model.title.empty());
  CHECK(model.ground.name == "average");
  for (const geometry::Wire& wire : model.structure.wires) {
    CAPTURE(wire.name);
    CHECK(wire.radius > 0.0);
    CHECK(geometry::length(wire) > 10.0 * wire.radius);
    for (const geometry::Vec3& point : wire.path) {
      CHECK(point.allFinite());
      CHECK(std::abs(point.z()) >= 0.002 - 1e-12);  // a wire on bare soil; nothing ends in the surface
      CHECK(point.norm() < 200.0);
    }
    for (std::size_t i = 1; i < wire.path.size(); ++i) CHECK((wire.path[i] - wire.path[i - 1]).norm() > 0.01);
  }
  const geometry::Span span = model.structure.ports[0].spans.at(0);
  CHECK(span.to > span.from);
  CHECK(span.to <= geometry::length(model.structure.wires.at(static_cast<std::size_t>(span.wire))));
  CHECK(model.feed.power == doctest::Approx(100.0));
  // every rig ends in 10 m of RG-58
  REQUIRE_FALSE(model.feed.parts.empty());
  const auto& line = std::get<circuit::Line>(model.feed.parts.back());
  CHECK(line.type == "RG-58");
  CHECK(line.length == 10.0);
}

}  // namespace

TEST_CASE("built-in models: the sixteen names") {
  const std::vector<std::string> expected = {"dipole",
                                             "end-fed-half-wave",
                                             "flagpole-wire",
                                             "inverted-l",
                                             "inverted-v",
                                             "low-horizontal",
                                             "ridge-wire",
                                             "sloping-wire",
                                             "triangle-loop",
                                             "vertical-raised-radials",
                                             "whip-ground-radials",
                                             "whip-short",
                                             "whip-stake-alone",
                                             "whip-stake-buried-radials",
                                             "whip-stake-radials",
                                             "whip-transformer"};
  CHECK(io::builtin_names() == expected);
}

TEST_CASE("built-in models: the embedded text is the file's") {
  std::set<std::string> files;
  for (const auto& entry : std::filesystem::directory_iterator(FELDSPAR_SOURCE_DIR "/models"))
    if (entry.path().extension() == ".toml") files.insert(entry.path().stem().string());
  const auto names = io::builtin_names();
  CHECK(files == std::set<std::string>(names.begin(), names.end()));
  for (const std::string& name : names) {
    CAPTURE(name);
    std::ifstream stream(FELDSPAR_SOURCE_DIR "/models/" + name + ".toml", std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    CHECK(io::builtin_text(name) == text.str());
  }
}

TEST_CASE("built-in models: each loads at its defaults and at every limit of every parameter") {
  for (const io::BuiltinDescription& builtin : io::describe_builtins()) {
    CAPTURE(builtin.name);
    CHECK_FALSE(builtin.about.empty());
    CHECK_FALSE(builtin.parameters.empty());
    const model::Family family = io::load_family(builtin.name);
    const model::Model standard = family.instantiate();
    CHECK(standard.name == builtin.name);
    check_model(standard);
    CHECK(standard.structure.wires.size() <= 10);
    for (const model::ParameterDescription& parameter : builtin.parameters) {
      CAPTURE(parameter.name);
      CHECK_FALSE(parameter.about.empty());
      REQUIRE_FALSE(parameter.minimum_text.empty());
      REQUIRE_FALSE(parameter.maximum_text.empty());
      for (const std::string& limit : {parameter.minimum_text, parameter.maximum_text}) {
        CAPTURE(limit);
        try {
          check_model(family.instantiate({{parameter.name, limit}}));
        } catch (const core::Error& error) {
          FAIL_CHECK(error.what());
        }
      }
    }
  }
}

TEST_CASE("built-in models: wires that carry the return current meet the fed wire") {
  struct Row {
    const char* model;
    const char* fed;
    const char* other;
  };
  for (const Row& row :
       {Row{"whip-ground-radials", "whip", "radial (1)"}, Row{"whip-short", "whip", "radial (1)"},
        Row{"vertical-raised-radials", "vertical", "radial (4)"}, Row{"inverted-l", "radiator", "radial (2)"},
        Row{"sloping-wire", "slope", "lead"}, Row{"flagpole-wire", "wire", "counterpoise"},
        Row{"end-fed-half-wave", "wire", "braid"}, Row{"whip-stake-alone", "whip", "stake"},
        Row{"whip-stake-radials", "whip", "stake"}, Row{"whip-stake-radials", "whip", "radial (4)"},
        Row{"whip-stake-buried-radials", "whip", "stake"}, Row{"triangle-loop", "sides", "base"}}) {
    CAPTURE(row.model);
    const auto wires = io::load_family(row.model).instantiate().structure.wires;
    const auto path = [&](const std::string& name) {
      for (const geometry::Wire& wire : wires)
        if (wire.name == name) return wire.path;
      FAIL("no such wire");
      return std::vector<geometry::Vec3>{};
    };
    const auto ends_at = [&](const std::string& name) { return path(name).back(); };
    if (std::string(row.model) == "triangle-loop") {  // a closed figure
      CHECK(ends_at("base") == path("sides").front());
      CHECK(ends_at("sides") == path("base").front());
    } else {
      CHECK(path(row.fed).front() == path(row.other).front());
    }
  }
}

TEST_CASE("built-in models: a whip without radials still becomes a model") {
  const model::Model model = io::load_family("whip-ground-radials").instantiate({{"radial_count", "0"}});
  CHECK(model.structure.wires.size() == 1);
  CHECK(model.structure.ports.size() == 1);
}

TEST_CASE("built-in models: the rigs that stand on the ground can have a stake and any number of radials") {
  struct Row {
    const char* model;
    double top;   // where the stake begins, m
    int radials;  // by default
    bool staked;  // by default
  };
  for (const Row& row :
       {Row{"whip-ground-radials", 0.02, 4, false}, Row{"whip-short", 0.02, 4, false},
        Row{"inverted-l", 0.02, 2, false}, Row{"sloping-wire", 0.02, 1, false},
        Row{"whip-stake-radials", 0.02, 4, true}, Row{"whip-stake-buried-radials", 0.1, 8, true}}) {
    CAPTURE(row.model);
    const model::Family family = io::load_family(row.model);
    const auto stake_of = [](const model::Model& model) -> const geometry::Wire* {
      for (const geometry::Wire& wire : model.structure.wires)
        if (wire.name == "stake") return &wire;
      return nullptr;
    };
    const auto count = [](const model::Model& model) {
      int radials = 0;
      for (const geometry::Wire& wire : model.structure.wires)
        radials += wire.name.rfind("radial", 0) == 0 || wire.name.rfind("counterpoise", 0) == 0;
      return radials;
    };
    const model::Model standard = family.instantiate();
    CHECK((stake_of(standard) != nullptr) == row.staked);
    CHECK(count(standard) == row.radials);
    const model::Model staked = family.instantiate({{"stake_length", "0.5 m"}, {"radial_count", "3"}});
    const geometry::Wire* stake = stake_of(staked);
    REQUIRE(stake != nullptr);
    CHECK(stake->path.front().z() == doctest::Approx(row.top));
    CHECK(stake->path.back().z() == doctest::Approx(-0.5));
    CHECK(stake->radius == doctest::Approx(4e-3));
    CHECK(count(staked) == 3);
    const model::Model bare = family.instantiate({{"stake_length", "0 m"}, {"radial_count", "0"}});
    CHECK(stake_of(bare) == nullptr);
    CHECK(count(bare) == 0);
    CHECK(stake_of(family.instantiate({{"stake_length", "0.5 m"}, {"radial_count", "0"}})) != nullptr);
  }
}

TEST_CASE("built-in models: buried radials hang on the stake, or without one on a wire that leads down") {
  const model::Family family = io::load_family("whip-stake-buried-radials");
  struct Row {
    const char* stake;
    double lowest;
    const char* holder;
  };
  for (const Row& row :
       {Row{"0.35 m", -0.35, "stake"}, Row{"0.06 m", -0.10, "stake"}, Row{"0 m", -0.05, "lead"}}) {
    CAPTURE(row.stake);
    const auto wires = family.instantiate({{"stake_length", row.stake}}).structure.wires;
    bool held = false;
    for (const geometry::Wire& wire : wires) {
      CHECK((wire.name != "stake" || std::string(row.holder) == "stake"));
      if (wire.name != row.holder) continue;
      held = true;
      CHECK(wire.path.front() == wires.front().path.front());  // the whip's foot
      CHECK(wire.path.back().z() == doctest::Approx(row.lowest));
      CHECK(wire.path[1] == wires.back().path.front());  // the radials' inner ends
    }
    CHECK(held);
  }
}

TEST_CASE(
    "built-in models: the coax of the end-fed wire is part of the antenna, and its choke can be moved") {
  const model::Family family = io::load_family("end-fed-half-wave");
  const auto choke_middle = [&](const std::string& distance) {
    const model::Model model = family.instantiate({{"choke_distance", distance}});
    const geometry::Span span =
        model.structure.inserts.at(static_cast<std::size_t>(model.outside.value().chokes.at(0))).spans.at(0);
    return 0.5 * (span.from + span.to);
  };
  CHECK(choke_middle("3 m") == doctest::Approx(3.0));
  CHECK(choke_middle("6 m") == doctest::Approx(6.0));
  const model::Model model = family.instantiate();
  CHECK(model.outside.value().end == model::LineEnd::operated);
  for (const auto& height :
       {"0.3 m", "1.2 m", "2.5 m"}) {  // 9.9 m of braid on a line of 10 m, wherever it is fed
    const model::Model moved = family.instantiate({{"feed_height", height}});
    CHECK(geometry::length(moved.structure.wires.at(1)) == doctest::Approx(9.9));
  }
  for (const char* end : {"open", "earthed", "operator"}) {
    CAPTURE(end);
    const model::Model touched = family.instantiate({{"feed.parts.coax.outside.end", end}});
    CHECK(touched.outside.value().end_wires.size() == (std::string(end) == "open" ? 0 : 1));
  }
  CHECK(family.instantiate({{"feed.parts.choke.impedance", "perfect"}}).outside.value().wires.size() == 2);
}

TEST_CASE("built-in models: 120 radials, and the three lying heights") {
  const model::Family family = io::load_family("whip-ground-radials");
  CHECK(family.instantiate({{"radial_count", "120"}}).structure.wires.size() == 121);
  struct Row {
    const char* name;
    double height;
  };
  for (const Row& row : {Row{"bare_soil", 0.002}, Row{"mown_grass", 0.020}, Row{"long_grass", 0.050}}) {
    const auto wires = family.instantiate({{"radial_height", row.name}}).structure.wires;
    CHECK(wires[0].path[0].z() == doctest::Approx(row.height));
    CHECK(wires[1].path[1].z() == doctest::Approx(row.height));
  }
}

TEST_CASE("built-in models: derived lengths follow the design frequency") {
  const auto value = [](const model::Model& model, const std::string& name) {
    for (const model::ParameterValue& parameter : model.parameters)
      if (parameter.name == name) return parameter.value;
    return 0.0;
  };
  const model::Model vertical =
      io::load_family("vertical-raised-radials").instantiate({{"design_frequency", "21 MHz"}});
  CHECK(value(vertical, "vertical_length") == doctest::Approx(0.25 * 299792458.0 / 21e6));
  // The triangle's sides add up to the circumference (elementary geometry).
  const model::Model loop = io::load_family("triangle-loop").instantiate();
  double total = 0.0;
  for (const geometry::Wire& wire : loop.structure.wires) total += geometry::length(wire);
  CHECK(total == doctest::Approx(value(loop, "circumference")).epsilon(1e-12));
}
