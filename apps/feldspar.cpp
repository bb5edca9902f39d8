#include <fmt/format.h>

#include <cstdio>
#include <exception>
#include <string>
#include <vector>

#include "command_line.hpp"
#include "commands.hpp"
#include "core/error.hpp"
#include "core/memory.hpp"
#include "output.hpp"
#include "pattern.hpp"
#include "report.hpp"
#include "show.hpp"
#include "sweep.hpp"

namespace {

using namespace feldspar;

constexpr int kFailed = 1;  // the computation failed
constexpr int kWrong = 2;   // the command line or a file is wrong

int status_of(core::ErrorKind kind) {
  return kind == core::ErrorKind::numerics ? kFailed : kWrong;
}

/// Commands whose output is not the text of their answer.
bool writes_itself(const std::string& command) {
  return command == "sweep" || command == "gather" || command == "report";
}

app::Answer run(const app::CommandLine& line, bool colour) {
  if (line.command == "bands") return app::run_bands(line, colour);
  if (line.command == "solve") return app::run_solve(line, colour);
  if (line.command == "pattern") return app::run_pattern(line, colour);
  if (line.command == "report") return {app::run_report(line), {}};
  if (line.command == "sweep") return {app::run_sweep(line), {}};
  if (line.command == "gather") return {app::run_gather(line), {}};
  if (line.command == "show") return {app::run_show(line, colour), {}};
  if (line.command == "check") return app::run_check(line, colour);
  return app::run_models(line, colour);
}

void run_program(const std::vector<std::string>& arguments) {
  const app::CommandLine line = app::parse_command_line(arguments);
  if (!line.answer.empty()) return app::write_standard_output(line.answer);
  const bool into_file = !line.output.empty() && !writes_itself(line.command);
  if (into_file) app::check_writable(line.output);
  const app::Answer answer = run(line, line.output.empty() && app::wants_colour());
  for (const core::Warning& warning : answer.warnings)
    fmt::print(stderr, "feldspar: warning: {}\n", warning.text);
  if (into_file) {
    app::write_file(line.output, answer.text);
  } else {
    app::write_standard_output(answer.text);
  }
}

}  // namespace

int main(int argc, char** argv) {
  core::keep_freed_memory();
  try {
    run_program(std::vector<std::string>(argv + 1, argv + argc));
    return 0;
  } catch (const core::Error& error) {
    fmt::print(stderr, "feldspar: error: {}\n", error.what());
    return status_of(error.kind());
  } catch (const std::exception& error) {
    fmt::print(stderr, "feldspar: error: {} (this is a fault of the program)\n", error.what());
    return kFailed;
  }
}
