#pragma once

#include <doctest/doctest.h>

#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "core/error.hpp"
#include "geometry/wire.hpp"

/// Wires by hand, and the check that something is refused as bad geometry.
namespace feldspar::testing {

inline geometry::Wire wire(std::string name, std::vector<geometry::Vec3> path, double radius) {
  geometry::Wire result;
  result.name = std::move(name);
  result.path = std::move(path);
  result.radius = radius;
  return result;
}

/// Expects Error{geometry} whose message contains every one of `words`.
inline void check_refused(const std::function<void()>& call, const std::vector<std::string>& words) {
  try {
    call();
    FAIL_CHECK("accepted");
  } catch (const core::Error& error) {
    CHECK(error.kind() == core::ErrorKind::geometry);
    for (const std::string& word : words) {
      CAPTURE(word);
      CAPTURE(error.message());
      CHECK(error.message().find(word) != std::string::npos);
    }
  }
}

}  // namespace feldspar::testing
