#include "core/error.hpp"

#include <fmt/format.h>

#include <utility>

namespace feldspar::core {

namespace {

std::string join(const Place& place, const std::string& message) {
  const std::string where = describe(place);
  return where.empty() ? message : where + ": " + message;
}

}  // namespace

std::string describe(const Place& place) {
  std::string text = place.file;
  if (place.line > 0) text += fmt::format(":{}", place.line);
  if (place.line > 0 && place.column > 0) text += fmt::format(":{}", place.column);
  if (!place.key.empty()) text += (text.empty() ? "" : ": ") + place.key;
  return text;
}

Error::Error(ErrorKind kind, const std::string& message, Place place)
    : std::runtime_error(join(place, message)), kind_(kind), place_(std::move(place)), message_(message) {}

}  // namespace feldspar::core
