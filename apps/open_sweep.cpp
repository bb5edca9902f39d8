#include "open_sweep.hpp"

#include <fmt/format.h>

#include <array>
#include <cstdio>
#include <fstream>
#include <string_view>

#include "storage/sweep_file.hpp"

namespace feldspar::app {
namespace {

constexpr std::size_t kShownFailures = 5;

}  // namespace

bool is_sweep_file(const std::string& path) {
  constexpr std::string_view kSignature = "\x89HDF\r\n\x1a\n";
  std::array<char, kSignature.size()> start{};
  std::ifstream file(path, std::ios::binary);
  return file.read(start.data(), static_cast<std::streamsize>(start.size())) &&
         std::string_view(start.data(), start.size()) == kSignature;
}

report::SweepView open_sweep(const std::string& path) {
  storage::SweepFile file(path);
  if (const std::size_t damaged = file.verify(); damaged > 0)
    fmt::print(stderr,
               "feldspar: warning: {} cases of {} are damaged and count as missing; feldspar sweep runs them "
               "again\n",
               damaged, path);
  report::SweepView view;
  view.title = file.provenance().title;
  view.about = file.provenance().about;
  view.program = file.provenance().program;
  view.share = file.provenance().share;
  view.layout = file.layout();
  for (std::size_t i = 0; i < view.layout.count(); ++i) view.status.push_back(file.status(i));
  for (const results::Quantity& quantity : view.layout.quantities)
    view.columns[quantity.name] = file.values(quantity.name);
  for (std::size_t i = 0; i < view.status.size() && view.failures.size() < kShownFailures; ++i)
    if (view.status[i] == results::CaseStatus::failed) view.failures.push_back({i, file.read(i).message});
  return view;
}

}  // namespace feldspar::app
