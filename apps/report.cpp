#include "report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "open_sweep.hpp"
#include "output.hpp"
#include "report/page.hpp"
#include "rigs.hpp"

namespace feldspar::app {
namespace {

namespace fs = std::filesystem;

constexpr int kCurvePoints = 700;  // over the sweep; a page of 1280 pixels shows no more

/// A sweep was solved before: nothing of it can be set now.
void refuse_options_with_sweep(const CommandLine& line) {
  const auto refuse = [](bool given, const char* option) {
    if (given)
      throw core::Error(core::ErrorKind::usage, "a page of a sweep shows what its file holds; leave this out",
                        core::Place{option, 0, 0, {}});
  };
  refuse(line.soil_band, "--soil-band");
  refuse(!line.versus.empty(), "--versus");
  refuse(!line.settings.empty(), "--set");
  refuse(!line.bands.empty(), "--bands");
  refuse(line.region.has_value(), "--region");
  refuse(line.every_frequency, "--every-frequency");
  refuse(line.accuracy != solver::Accuracy::normal, "--accuracy");
  if (line.inputs.size() > 1)
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("a sweep has a page of its own; {} is more", line.inputs.size() - 1),
                      core::Place{line.inputs.front(), 0, 0, {}});
}

std::string page_name(const CommandLine& line) {
  if (!line.output.empty()) return line.output;
  return fs::path(line.inputs.front()).stem().string() + ".html";
}

/// @return the files' names, a line each
std::string write_pictures(const CommandLine& line, const std::vector<report::Picture>& pictures) {
  std::string written;
  if (line.svg_folder.empty()) return written;
  for (const report::Picture& picture : pictures) {
    const std::string file = (fs::path(line.svg_folder) / (picture.name + ".svg")).string();
    write_file(file, picture.svg);
    written += file + '\n';
  }
  return written;
}

}  // namespace

std::string run_report(const CommandLine& line) {
  const std::string page = page_name(line);
  check_writable(page);
  if (!line.svg_folder.empty() && !fs::is_directory(line.svg_folder))
    throw core::Error(core::ErrorKind::usage, "there is no folder of that name",
                      core::Place{"--svg " + line.svg_folder, 0, 0, {}});
  const report::PageOptions options{FELDSPAR_VERSION, line.typed};
  const auto sweep = std::find_if(line.inputs.begin(), line.inputs.end(), is_sweep_file);
  if (sweep != line.inputs.end()) {
    refuse_options_with_sweep(line);
    const report::SweepView view = open_sweep(*sweep);
    write_file(page, report::sweep_page_html(view, options));
    return page + '\n' + write_pictures(line, report::sweep_pictures(view));
  }
  const std::vector<report::Rig> rigs = rigs_of(line, kCurvePoints);
  write_file(page, report::page_html(rigs, options));
  return page + '\n' + write_pictures(line, report::pictures(rigs));
}

}  // namespace feldspar::app
