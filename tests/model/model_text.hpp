#pragma once

#include <string>
#include <vector>

#include "io/model_file.hpp"

/// Short model texts for the tests of this folder.
namespace feldspar::test {

/// A complete model of twelve lines; tests add to it or replace parts of it.
inline const std::string kWire = R"([[wires]]
name     = "slope"
path     = [["0 m", "0 m", "0.3 m"], ["4 m", "0 m", "3.3 m"]]
diameter = "1 mm"
)";
inline const std::string kPort = R"([port]
wire     = "slope"
position = "start"
)";

inline model::Model make(const std::string& text, const std::vector<model::Setting>& settings = {}) {
  return io::parse_family(text, "mine.toml", "mine").instantiate(settings);
}

/// The error's parts, or kind -1 when there was none.
struct Complaint {
  int kind = -1;
  core::Place place;
  std::string message;
};

template <class Work>
Complaint complaint_of(const Work& work) {
  try {
    work();
  } catch (const core::Error& error) {
    return {static_cast<int>(error.kind()), error.place(), error.message()};
  }
  return {};
}

}  // namespace feldspar::test
