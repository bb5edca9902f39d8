#include "instantiate.hpp"

namespace feldspar::app {

model::Model instantiate(const model::Family& family, const CommandLine& line,
                         const std::vector<model::Setting>& extra) {
  std::vector<model::Setting> settings = line.settings;
  settings.insert(settings.end(), extra.begin(), extra.end());
  model::Model model = family.instantiate(settings);
  if (line.region) model.region = *line.region;
  return model;
}

}  // namespace feldspar::app
