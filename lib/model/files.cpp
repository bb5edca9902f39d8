#include <fmt/format.h>

#include "model/files_detail.hpp"
#include "model/reader_detail.hpp"

namespace feldspar::model::detail {

circuit::NetworkData read_network(const Node& node, int ports, const Files& files) {
  const std::string example = ports == 1 ? "mine.s1p" : "mine.s2p";
  const std::string& path = text(node, example);
  if (path.empty() || path.find('\0') != std::string::npos)
    fail(node, fmt::format("expected the name of a Touchstone file such as \"{}\"", example));
  if (!files.text)
    fail(node, "this model was not read from a file, so it cannot name other files; load it from one");
  std::string content;
  try {
    const int named = circuit::touchstone_ports(path);
    if (named != 0 && named != ports)
      throw core::Error(core::ErrorKind::usage, fmt::format("expected a file of a {}-port (.s{}p)",
                                                            ports == 1 ? "one" : "two", ports));
    content = files.text(path);
  } catch (const core::Error& error) {
    const std::string& at = error.place().file;
    const std::string where = at.empty() || at == path ? "" : fmt::format(" (looked for at {})", at);
    fail(node, fmt::format("\"{}\" cannot be used{}: {}", path, where, error.message()));
  }
  circuit::NetworkData data = circuit::read_touchstone(content, path, ports);
  circuit::check_passive(data);
  return data;
}

}  // namespace feldspar::model::detail
