#include <fmt/format.h>

#include <cmath>

#include "model/sections_detail.hpp"

namespace feldspar::model::detail {

namespace {

constexpr double kLargestReactance = 1e9;  // ohm

void refuse_wires(const Reader& top) {
  for (const char* key : {"wires", "inserts", "port", "ports"})
    if (const Node* node = top.find(key))
      fail(*node,
           fmt::format("[antenna] stands in place of wires and has its own port; leave out {} or [antenna]",
                       key));
}

}  // namespace

std::complex<double> read_impedance(const Node& node, const Scope& scope) {
  const Array* list = node.array();
  if (!list || list->size() != 2)
    fail(node,
         fmt::format("expected resistance and reactance such as [\"13.6 ohm\", \"-1000 ohm\"], found {}",
                     list ? fmt::format("a list of {}", list->size()) : describe_type(node)));
  const double resistance = not_negative((*list)[0], kind::kResistance, scope);
  const double reactance = quantity((*list)[1], kind::kResistance, scope);
  if (resistance > kLargestReactance || std::abs(reactance) > kLargestReactance)
    fail(node, fmt::format("expected an impedance of at most {:g} ohm", kLargestReactance));
  return {resistance, reactance};
}

std::optional<circuit::KnownAntenna> read_antenna(const Reader& top, const Scope& scope, const Files& files) {
  const Node* node = top.find("antenna");
  if (!node) return std::nullopt;
  const Reader reader(*node, kAntenna);
  refuse_wires(top);
  circuit::KnownAntenna antenna;
  const Node* impedance = reader.find("impedance");
  const Node* touchstone = reader.find("touchstone");
  if (impedance && touchstone) fail(*touchstone, "give either impedance or touchstone, not both");
  if (touchstone)
    antenna.table = read_network(*touchstone, 1, files);
  else
    antenna.impedance = read_impedance(
        reader.need("impedance", "[\"13.6 ohm\", \"-1000 ohm\"] (or touchstone = \"mine.s1p\")"), scope);
  if (impedance && !(antenna.impedance.real() > 0.0))
    fail(*impedance, "expected a resistance above 0 ohm, since an antenna takes power");
  return antenna;
}

}  // namespace feldspar::model::detail
