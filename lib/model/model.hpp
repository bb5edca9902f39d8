#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "circuit/feed.hpp"
#include "circuit/known_antenna.hpp"
#include "geometry/wire.hpp"
#include "media/ground.hpp"
#include "model/dimension.hpp"

/// A rig as plain numbers: what an engine needs to know, nothing computed.
namespace feldspar::model {

/// Value of a parameter in this instance, for output; `key` ends in its unit ("mast_height_m").
struct ParameterValue {
  std::string name;
  std::string key;
  double value = 0.0;   ///< in the unit of `key`: SI, angles in degrees
  Value quantity = {};  ///< the same in SI units, with its dimension
};

enum class Mode { voice, telegraphy, digital };

/// What stands between port and radio.
struct Feed {
  double power = 100.0;                  ///< W, enters the first part after the radio
  Mode mode = Mode::voice;               ///< for heating only
  double reference_resistance = 50.0;    ///< ohm, of every SWR
  std::vector<circuit::FeedPart> parts;  ///< from the antenna to the radio; may be empty
};

/// What hangs at the radio's end of a line's outside.
enum class LineEnd { open, earthed, operated };

/// What hangs there when the file does not say how long it is. Common practice, no source.
inline constexpr double kUsualStakeDepth = 1.0;      // m
inline constexpr double kUsualOperatorLength = 1.5;  // m: body and set

/// The outside of a line, laid as wires of the antenna. Indices into Model::structure.
struct LineOutside {
  int part = 0;  ///< the line, index in Feed::parts
  LineEnd end = LineEnd::open;
  std::string end_key;         ///< a setting of this name changes `end`: "feed.parts.2.outside.end"
  bool floating = false;       ///< a balun keeps it off the antenna's wires
  std::vector<int> wires;      ///< braid, from the antenna on; several where perfect chokes cut it
  std::vector<int> end_wires;  ///< stake or operator
  std::vector<int> chokes;     ///< inserts
  int perfect_chokes = 0;      ///< places where the braid is cut
};

/// One instance of a model file: every expression evaluated, every check of the text done.
struct Model {
  std::string name;  ///< built-in name or file name without folder
  std::string title;
  std::string about;
  std::vector<ParameterValue> parameters;  ///< in the file's order
  double x_bearing = 1.57079632679489662;  ///< rad, true bearing of +x
  int region = 1;                          ///< ITU region
  media::Ground ground;
  std::optional<media::FarSoil> far_soil;        ///< only over a real ground
  std::optional<circuit::KnownAntenna> antenna;  ///< in place of wires: then `structure` is empty
  geometry::Structure structure;
  Feed feed;
  std::optional<LineOutside> outside;
};

/// Whether an insert of the structure is a choke on the outside of the line.
[[nodiscard]] inline bool is_choke(const Model& model, int insert) {
  if (!model.outside) return false;
  const std::vector<int>& chokes = model.outside->chokes;
  return std::find(chokes.begin(), chokes.end(), insert) != chokes.end();
}

}  // namespace feldspar::model
