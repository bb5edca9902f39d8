#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "circuit/line_types.hpp"
#include "model/nearest.hpp"
#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr std::size_t kMostParts = 50;
constexpr double kLargestPower = 1e5;   // W
constexpr double kLargestLoss = 100.0;  // dB
constexpr double kLargestRatio = 1e4;
constexpr double kLongestLine = 1e5;  // m

// Assumed when the user does not say; common practice, no source for a particular part.
constexpr double kAssumedLoss = 0.5;           // dB, ratios up to 16:1
constexpr double kAssumedLossHighRatio = 1.0;  // dB
constexpr double kHighRatio = 16.0;

circuit::Transformer read_transformer(const Node& node, const Scope& scope) {
  const Reader reader(node, kTransformer);
  circuit::Transformer part;
  const Node& ratio = reader.need("impedance_ratio", "9");
  part.impedance_ratio = positive(ratio, kind::kNumber, scope);
  const double step = std::max(part.impedance_ratio, 1.0 / part.impedance_ratio);
  if (step > kLargestRatio)
    fail(ratio,
         fmt::format(
             "expected an impedance ratio (antenna side over radio side) from {:g} to {:g}, found {:g}",
             1.0 / kLargestRatio, kLargestRatio, part.impedance_ratio));
  if (const Node* loss = reader.find("loss")) {
    part.loss_db = not_negative(*loss, kind::kLevel, scope);
    if (part.loss_db > kLargestLoss)
      fail(*loss, fmt::format("expected a loss up to {:g} dB, found {:g} dB", kLargestLoss, part.loss_db));
  } else {
    part.loss_assumed = true;
    part.loss_db = step <= kHighRatio * (1.0 + 1e-9) ? kAssumedLoss : kAssumedLossHighRatio;
  }
  return part;
}

circuit::Line line_by_type(const Node& type) {
  const std::string& name = text(type, "RG-58");
  if (const auto known = circuit::line_type(name)) return *known;
  const std::vector<std::string> names = circuit::line_type_names();
  fail(type,
       fmt::format(
           "there is no line type named \"{}\"{} (known: {}; or give z0, velocity_factor and attenuation)",
           name, suggestion(name, names), enumerate(names)));
}

circuit::Line line_by_numbers(const Reader& reader, const Scope& scope) {
  circuit::Line line;
  line.z0 = positive(reader.need("z0", "\"50 ohm\" (or type = \"RG-58\")"), kind::kResistance, scope);
  const Node& velocity = reader.need("velocity_factor", "0.66");
  line.velocity_factor = positive(velocity, kind::kNumber, scope);
  if (line.velocity_factor > 1.0)
    fail(velocity,
         fmt::format("expected a velocity factor above 0 and up to 1, found {:g}", line.velocity_factor));
  const Node& attenuation = reader.need("attenuation", "\"4.9 dB/100 m\"");
  const double loss = not_negative(attenuation, kind::kAttenuation, scope);  // dB/m
  const Node* at = reader.find("attenuation_at");
  if (at)  // skin effect: the loss grows with the root of the frequency
    line.k1 = loss / std::sqrt(positive(*at, kind::kFrequency, scope) * 1e-6);
  else
    line.constant_loss = loss;
  return line;
}

circuit::Line read_line(const Node& node, const Scope& scope) {
  const Reader reader(node, kLine);
  const Node* type = reader.find("type");
  for (const char* key : {"z0", "velocity_factor", "attenuation", "attenuation_at"})
    if (const Node* number = reader.find(key); number && type)
      fail(*number,
           fmt::format("give either a line type or its numbers, not both; leave out type or {}", key));
  circuit::Line line = type ? line_by_type(*type) : line_by_numbers(reader, scope);
  const Node& length = reader.need("length", "\"10 m\"");
  line.length = not_negative(length, kind::kLineLength, scope);
  if (line.length > kLongestLine)
    fail(length, fmt::format("expected a line up to {}, found {}", format({kLongestLine, dimension::kLength}),
                             format({line.length, dimension::kLength})));
  return line;
}

circuit::FeedPart read_part(const Node& node, const Scope& scope) {
  const Table* table = node.table();
  const Node* kind = table ? find(*table, "kind") : nullptr;
  if (!kind) (void)Reader(node, kPart).need("kind", "\"transformer\" or \"line\"");
  const std::vector<std::string> known = {"transformer", "line"};
  const std::string& name = text(*kind, "line");
  for (const char* later : {"choke", "tuner", "stub", "two-port"})
    if (name == later)
      fail(*kind,
           fmt::format("feed parts of the kind \"{}\" cannot be computed yet; leave it out (known: {})", name,
                       enumerate(known)));
  if (choice(*kind, known) == 0) return read_transformer(node, scope);
  return read_line(node, scope);
}

}  // namespace

Feed read_feed(const Node* node, const Scope& scope, [[maybe_unused]] const Files& files) {
  Feed feed;
  if (!node) return feed;
  const Reader reader(*node, kFeed);
  if (const Node* power = reader.find("power")) {
    feed.power = positive(*power, kind::kPower, scope);
    if (feed.power > kLargestPower)
      fail(*power,
           fmt::format("expected a power up to {}, found {}", format({kLargestPower, dimension::kPower}),
                       format({feed.power, dimension::kPower})));
  }
  if (const Node* mode = reader.find("mode"))
    feed.mode = static_cast<Mode>(choice(*mode, {"voice", "telegraphy", "digital"}));
  if (const Node* reference = reader.find("reference_resistance"))
    feed.reference_resistance = positive(*reference, kind::kResistance, scope);
  for (const Node& part : tables(reader.find("parts"), "[[feed.parts]]", kMostParts))
    feed.parts.push_back(read_part(part, scope));
  return feed;
}

}  // namespace feldspar::model::detail
