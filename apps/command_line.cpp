#include "command_line.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <memory>
#include <thread>

#include "decision/bands.hpp"
#include "model/expression.hpp"
#include "model/kind.hpp"
#include "model/nearest.hpp"

namespace feldspar::app {
namespace {

/// The words as they were typed.
struct Typed {
  std::string model;
  std::vector<std::string> settings;
  std::string frequency;
  std::string format;
  std::string plane;
  std::string output;
  std::string threads;
  std::string region;
  std::string bands;
  std::string accuracy;
  bool every_frequency = false;
  bool lying_heights = false;
  bool touch = false;
  bool wide = false;
  bool explain = false;
  std::vector<std::string> inputs;
  std::vector<std::string> at;
  std::string share;
  std::string along;
  std::string best;
  std::string limit;
  bool dry_run = false;
  bool extend = false;
  std::string distance;
  std::string layer;
  std::string elevations;
  std::string step;
  bool ascii = false;
  std::vector<std::string> versus;
  bool soil_band = false;
  std::string svg_folder;
};

[[noreturn]] void fail(const std::string& message, const std::string& place = "") {
  throw core::Error(core::ErrorKind::usage, message, core::Place{place, 0, 0, {}});
}

void add_model(CLI::App& command, Typed& typed, bool required) {
  auto* option = command.add_option(
      required ? "MODEL" : "NAME", typed.model,
      required ? "a model file, or the name of a built-in model" : "a built-in model or study");
  option->type_name("");
  if (required) option->required();
}

void add_common(CLI::App& command, Typed& typed) {
  command
      .add_option(
          "--set", typed.settings,
          "name=value: a parameter, or a key such as ground.soil or\nwires.NAME.present; may be repeated")
      ->allow_extra_args(false)
      ->type_name("NAME=VALUE");
  command.add_option("--accuracy", typed.accuracy, "draft, normal (when left out) or fine")
      ->type_name("WORD");
}

void add_every_frequency(CLI::App& command, Typed& typed) {
  command.add_flag("--every-frequency", typed.every_frequency,
                   "solve at each frequency asked for; otherwise those between\na few solves are "
                   "interpolated where that is sure");
}

void add_explain(CLI::App& command, Typed& typed) {
  command.add_flag("--explain", typed.explain,
                   "why: solved again with one part made ideal at a time (text\nand json)");
}

void add_touch_option(CLI::App& command, Typed& typed) {
  command.add_flag("--touch", typed.touch,
                   "also with the radio's end of the coax open, at the\noperator, and earthed: is the "
                   "coax part of the antenna?");
}

void add_output(CLI::App& command, Typed& typed) {
  command.add_option("--output", typed.output, "instead of standard output; whole or not at all")
      ->type_name("FILE");
}

void add_format(CLI::App& command, Typed& typed, const char* formats) {
  command.add_option("--format", typed.format, formats)->type_name("WORD");
}

void add_threads(CLI::App& command, Typed& typed) {
  command.add_option("--threads", typed.threads, "how many at a time (all processors when left out)")
      ->type_name("N");
}

void add_sweep(CLI::App& app, Typed& typed) {
  CLI::App* sweep = app.add_subcommand("sweep", "a study: many cases of a model into one HDF5 file");
  sweep->add_option("STUDY", typed.model, "a study file, or the name of a built-in study")
      ->type_name("")
      ->required();
  sweep->add_option("--output", typed.output, "the HDF5 file; one that is there already is gone on with")
      ->type_name("FILE");
  sweep->add_flag("--dry-run", typed.dry_run, "only say how many cases, and about how long and large");
  sweep->add_flag("--extend", typed.extend, "axes of the study have got more values than the file has");
  sweep
      ->add_option("--share", typed.share,
                   "k/n: the k-th of n parts of about equal cost, for another\nmachine; gather joins them")
      ->type_name("K/N");
  add_threads(*sweep, typed);

  CLI::App* gather = app.add_subcommand("gather", "joins the files of a study's shares");
  gather->add_option("FILE", typed.inputs, "the files of all shares")->type_name("")->required();
  gather->add_option("--output", typed.output, "the HDF5 file of all")->type_name("FILE")->required();

  CLI::App* show = app.add_subcommand("show", "reads a sweep's file: one axis, the best cases, CSV");
  show->add_option("FILE", typed.model, "an HDF5 file of feldspar sweep")->type_name("")->required();
  show->add_option("--along", typed.along, "from value to value of this axis, with the dB of each step")
      ->type_name("AXIS");
  show->add_option("--best", typed.best,
                   "the best cases, as in \"lowest worst swr_at_radio\": lowest or\nhighest; worst (when "
                   "left out), mean "
                   "or best; a quantity")
      ->type_name("WISH");
  show->add_option("--limit", typed.limit, "how many of the best (10 when left out)")->type_name("N");
  show->add_option(
          "--at", typed.at,
          "AXIS=value: only there, or at the value nearest to it; also\nfrequency=7.1MHz; may be repeated")
      ->allow_extra_args(false)
      ->type_name("AXIS=VALUE");
  show->add_option("--bands", typed.bands, "only these, as in 40m,20m")->type_name("LIST");
  add_format(*show, typed, "text (when left out), or csv: every frequency of every\ncase, a line each");
  add_output(*show, typed);
}

void add_frequency(CLI::App& command, Typed& typed) {
  command
      .add_option(
          "--frequency", typed.frequency,
          "one or several, as in 7.1MHz,14.2MHz, and evenly\nspaced ranges: 7MHz..7.3MHz/31 is 31 of them")
      ->type_name("LIST")
      ->required();
}

void add_ascii(CLI::App& command, Typed& typed) {
  command.add_flag("--ascii", typed.ascii, "pictures of plain ASCII characters");
}

void add_pattern(CLI::App& app, Typed& typed) {
  CLI::App* pattern = app.add_subcommand("pattern", "where the signal goes: gain by elevation and bearing");
  add_model(*pattern, typed, true);
  add_frequency(*pattern, typed);
  pattern
      ->add_option("--distance", typed.distance,
                   "as in 300km: the gain at the elevation from which one hop\nby the ionosphere gets there")
      ->type_name("LENGTH");
  pattern
      ->add_option("--layer", typed.layer,
                   "virtual height at which the ionosphere reflects (300km\nwhen left out)")
      ->type_name("LENGTH");
  pattern->add_option("--elevations", typed.elevations, "also the gain there, as in 10deg,28.1deg")
      ->type_name("LIST");
  pattern
      ->add_option("--step", typed.step,
                   "between directions of the whole sphere (json and csv); a\npart of 90deg (5deg when left "
                   "out)")
      ->type_name("ANGLE");
  add_common(*pattern, typed);
  add_every_frequency(*pattern, typed);
  add_ascii(*pattern, typed);
  add_format(*pattern, typed, "text (when left out), json or csv");
  add_output(*pattern, typed);
  add_threads(*pattern, typed);
}

void add_comparison(CLI::App& command, Typed& typed, const char* models, const char* soil_band) {
  command.add_option("MODEL", typed.inputs, models)->type_name("")->required();
  command
      .add_option("--versus", typed.versus,
                  "name=value: compare with the first model so changed; may be\nrepeated")
      ->allow_extra_args(false)
      ->type_name("NAME=VALUE");
  command.add_flag("--soil-band", typed.soil_band, soil_band);
}

void add_report(CLI::App& app, Typed& typed) {
  CLI::App* report = app.add_subcommand("report", "a page to look at, for phone, laptop and paper");
  add_comparison(
      *report, typed,
      "model files or names of built-in models, several are\ncompared; or the .h5 file of one sweep",
      "shade how far the SWR moves over soils from dry sand to\nwet");
  report->add_option("--svg", typed.svg_folder, "also every still plot as a file in this folder")
      ->type_name("FOLDER");
  add_common(*report, typed);
  report->add_option("--bands", typed.bands, "only these, as in 40m,20m")->type_name("LIST");
  report->add_option("--region", typed.region, "ITU region 1, 2 or 3 (the model's own when left out)")
      ->type_name("N");
  add_every_frequency(*report, typed);
  report
      ->add_option("--output", typed.output,
                   "the page's file; the first model's name with .html when\nleft out")
      ->type_name("FILE");
  add_threads(*report, typed);
}

std::unique_ptr<CLI::App> make_parser(Typed& typed) {
  auto app = std::make_unique<CLI::App>(
      "Thin-wire antennas over real ground, from a model file to SWR on every band.", "feldspar");
  app->set_version_flag("--version", "feldspar " FELDSPAR_VERSION);
  app->require_subcommand(1);
  app->get_formatter()->label("SUBCOMMAND", "COMMAND");
  app->get_formatter()->label("Subcommands", "Commands");
  app->get_formatter()->label("REQUIRED", "");
  app->get_formatter()->column_width(24);
  app->footer(
      "feldspar COMMAND --help says more of a command. Exit status: 0 done, 1 the\n"
      "computation failed, 2 the command line or a file is wrong.");

  CLI::App* bands = app->add_subcommand("bands", "the operating table: every amateur band at a glance");
  add_comparison(*bands, typed, "a model file, or the name of a built-in model; several are\ncompared",
                 "also from where to where it all moves over soils from dry\nsand to wet");
  add_common(*bands, typed);
  bands->add_option("--bands", typed.bands, "only these, as in 40m,20m")->type_name("LIST");
  bands->add_option("--region", typed.region, "ITU region 1, 2 or 3 (the model's own when left out)")
      ->type_name("N");
  bands->add_flag("--lying-heights", typed.lying_heights,
                  "also with the lying wires on bare soil, mown grass\nand long grass");
  add_every_frequency(*bands, typed);
  add_explain(*bands, typed);
  add_touch_option(*bands, typed);
  bands->add_flag("--wide", typed.wide, "everything, in tables wider than 80 columns");
  add_format(*bands, typed, "text (when left out), json or csv");
  add_output(*bands, typed);
  add_threads(*bands, typed);

  CLI::App* solve = app->add_subcommand("solve", "everything at given frequencies");
  add_model(*solve, typed, true);
  add_frequency(*solve, typed);
  add_common(*solve, typed);
  add_every_frequency(*solve, typed);
  add_explain(*solve, typed);
  add_touch_option(*solve, typed);
  add_format(*solve, typed, "text (when left out), json, csv or touchstone");
  solve
      ->add_option("--plane", typed.plane,
                   "whose impedance a Touchstone file holds: port, where the\nfeed meets the wires, or radio "
                   "(when left out "
                   "and there\nis a feed)")
      ->type_name("WORD");
  add_output(*solve, typed);
  add_threads(*solve, typed);

  add_pattern(*app, typed);
  add_report(*app, typed);

  CLI::App* check = app->add_subcommand("check", "is the model valid? lengths, heights, what is joined");
  add_model(*check, typed, true);
  check
      ->add_option("--frequency", typed.frequency,
                   "one or several, as in 7.1MHz,14.2MHz: also the velocity factor\nand dB per metre of "
                   "wires near soil")
      ->type_name("LIST");
  add_common(*check, typed);
  add_format(*check, typed, "text (when left out) or json");
  add_output(*check, typed);

  add_sweep(*app, typed);

  CLI::App* models = app->add_subcommand("models", "the built-in models and studies; with a NAME, one");
  add_model(*models, typed, false);
  add_format(*models, typed, "text (when left out) or json");
  models->add_option("--output", typed.output, "with a NAME: a copy of the file to edit")->type_name("FILE");
  return app;
}

/// Words that the parser would only count as "not expected": commands and options that do not exist.
void check_words(const CLI::App& app, const std::vector<std::string>& arguments) {
  if (arguments.empty()) {
    fail(
        "a command is missing: bands, solve, pattern, report, check, sweep, gather, show or models "
        "(feldspar --help says more)");
  }
  const std::string& first = arguments.front();
  std::vector<std::string> commands;
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    commands.push_back(command->get_name());
  }
  const CLI::App* scope = &app;
  if (first.empty() || first.front() != '-') {
    if (std::find(commands.begin(), commands.end(), first) == commands.end()) {
      fail(fmt::format("there is no command '{}'{} (commands: {})", first, model::suggestion(first, commands),
                       model::enumerate(commands)));
    }
    scope = app.get_subcommand(first);
  }
  std::vector<std::string> options;
  for (const CLI::Option* option : scope->get_options()) {
    for (const std::string& name : option->get_lnames()) options.push_back("--" + name);
  }
  for (std::size_t i = scope == &app ? 0 : 1; i < arguments.size(); ++i) {
    const std::string& word = arguments[i];
    if (word == "--") return;
    const std::string name = word.substr(0, word.find('='));
    const bool is_long = name.starts_with("--");
    const bool is_short = !is_long && name.size() > 1 && name.front() == '-' &&
                          !std::isdigit(static_cast<unsigned char>(name[1]));
    if (name == "-h" || (!is_long && !is_short)) continue;
    if (std::find(options.begin(), options.end(), name) == options.end()) {
      fail(fmt::format("{} has no option '{}'{} (options: {})",
                       scope == &app ? "feldspar" : "feldspar " + first, name,
                       model::suggestion(name, options), model::enumerate(options)));
    }
    const bool takes_value =
        scope->get_option(name)->get_expected_max() > 0 && scope->get_option(name)->get_type_size() > 0;
    if (takes_value && word.find('=') == std::string::npos) ++i;  // its value may begin with a sign
  }
}

int parse_integer(const std::string& text, const char* option, int least, int most) {
  int value = 0;
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc{} || stop != end || value < least || value > most) {
    fail(fmt::format("expected a whole number from {} to {}, found '{}'", least, most, text), option);
  }
  return value;
}

std::size_t parse_choice(const std::string& text, const char* option,
                         const std::vector<std::string>& choices) {
  const auto at = std::find(choices.begin(), choices.end(), text);
  if (at == choices.end()) {
    fail(fmt::format("expected {}, found '{}'{}", model::enumerate(choices), text,
                     model::suggestion(text, choices)),
         option);
  }
  return static_cast<std::size_t>(at - choices.begin());
}

/// A quantity of a kind in SI units.
double parse_quantity(const std::string& text, const model::Kind& kind, const char* option,
                      const char* example) {
  try {
    return model::as_kind(model::evaluate(text, {}), kind);
  } catch (const model::ExpressionError& error) {
    fail(fmt::format("{} (in '{}'; write it like {})", error.message, text, example), option);
  }
}

core::Frequency parse_frequency(const std::string& text) {
  const double f = parse_quantity(text, model::kind::kFrequency, "--frequency", "7.1MHz");
  if (!(f > 0.0)) fail(fmt::format("a frequency must be above 0, found '{}'", text), "--frequency");
  return core::Frequency{f};
}

constexpr int kMostFrequencies = 20000;

/// "7MHz..7.3MHz/31": 31 frequencies, both ends among them.
void add_range(const std::string& text, std::size_t dots, std::vector<core::Frequency>& frequencies) {
  constexpr const char* kExample =
      "write a range like 7MHz..7.3MHz/31, which is 31 frequencies from one to the other";
  const std::size_t slash = text.rfind('/');
  if (slash == std::string::npos || slash < dots)
    fail(fmt::format("the number of points is missing in '{}'; {}", text, kExample), "--frequency");
  const std::string points = text.substr(slash + 1);
  int count = 0;
  const auto [stop, error] = std::from_chars(points.data(), points.data() + points.size(), count);
  if (error != std::errc{} || stop != points.data() + points.size() || count < 2 || count > kMostFrequencies)
    fail(fmt::format("expected from 2 to {} points, found '{}' in '{}'; {}", kMostFrequencies, points, text,
                     kExample),
         "--frequency");
  if (dots == 0 || slash == dots + 2)
    fail(fmt::format("an end of the range is missing in '{}'; {}", text, kExample), "--frequency");
  const double from = parse_frequency(text.substr(0, dots)).si;
  const double to = parse_frequency(text.substr(dots + 2, slash - dots - 2)).si;
  if (!(from < to)) fail(fmt::format("a range must rise, found '{}'; {}", text, kExample), "--frequency");
  for (int i = 0; i < count; ++i)
    frequencies.emplace_back(i + 1 == count ? to : from + (to - from) * i / (count - 1));
}

/// Splits at commas outside brackets: "7.1MHz,max(14 MHz, 14.2 MHz),21MHz..21.45MHz/10".
std::vector<core::Frequency> parse_frequencies(const std::string& text) {
  std::vector<core::Frequency> frequencies;
  int depth = 0;
  std::string part;
  for (const char c : text + ',') {
    depth += c == '(' ? 1 : c == ')' ? -1 : 0;
    if (c == ',' && depth <= 0) {
      if (const std::size_t dots = part.find(".."); dots != std::string::npos)
        add_range(part, dots, frequencies);
      else
        frequencies.push_back(parse_frequency(part));
      if (frequencies.size() > kMostFrequencies)
        fail(fmt::format("expected at most {} frequencies, found more", kMostFrequencies), "--frequency");
      part.clear();
    } else {
      part += c;
    }
  }
  if (!part.empty()) fail(fmt::format("a bracket is not closed in '{}'", text), "--frequency");
  return frequencies;
}

/// What a Touchstone file can hold. @param output name of its file; may be empty
void interpret_touchstone(const Typed& typed, CommandLine& line) {
  if (!typed.plane.empty()) {
    if (line.format != Format::touchstone)
      fail("goes with --format touchstone; the other formats tell both planes", "--plane");
    line.plane = static_cast<report::Plane>(parse_choice(typed.plane, "--plane", {"port", "radio"}));
  }
  if (line.format != Format::touchstone) return;
  std::sort(line.frequencies.begin(), line.frequencies.end(),
            [](const core::Frequency& a, const core::Frequency& b) { return a.si < b.si; });
  const auto twice =
      std::adjacent_find(line.frequencies.begin(), line.frequencies.end(),
                         [](const core::Frequency& a, const core::Frequency& b) { return a.si == b.si; });
  if (twice != line.frequencies.end())
    fail(fmt::format("a Touchstone file holds each frequency once; {:.10g} MHz is asked for twice",
                     twice->si / 1e6),
         "--frequency");
  (void)circuit::touchstone_ports(line.output);  // complains about .s3p
}

constexpr std::array<std::string_view, 4> kFormatWords = {"text", "json", "csv", "touchstone"};

/// "2/8"
void interpret_share(const std::string& text, CommandLine& line) {
  const std::size_t slash = text.find('/');
  if (slash == std::string::npos)
    fail(fmt::format("expected k/n as in 2/8, the second of eight parts; found '{}'", text), "--share");
  line.shares = parse_integer(text.substr(slash + 1), "--share", 1, 100000);
  line.share = parse_integer(text.substr(0, slash), "--share", 1, line.shares);
}

void interpret_sweep(const std::string& command, const Typed& typed, CommandLine& line) {
  line.inputs = typed.inputs;
  line.dry_run = typed.dry_run;
  line.extend = typed.extend;
  if (!typed.share.empty()) interpret_share(typed.share, line);
  if (command == "sweep" && !line.dry_run && line.output.empty())
    fail("needs the name of the file for the results, as in --output radials.h5", "--output");
  line.along = typed.along;
  line.best = typed.best;
  if (!line.along.empty() && !line.best.empty())
    fail("goes without --best; ask for one at a time", "--along");
  if (line.dry_run && (line.extend || line.shares > 1))
    fail("goes without --extend and --share; it looks at the whole study", "--dry-run");
  if (!typed.limit.empty() && line.best.empty()) fail("goes with --best", "--limit");
  if (line.format == Format::csv && (!line.along.empty() || !line.best.empty()))
    fail("csv tells all cases as they are; choose with --at and --bands", "--format");
  for (const std::string& setting : typed.at) {
    line.settings.push_back(model::parse_setting(setting));
    line.settings.back().place.file = "--at " + setting;
  }
  if (!typed.limit.empty()) line.limit = parse_integer(typed.limit, "--limit", 1, 1000000);
}

/// An angle in degrees.
double parse_degrees(const std::string& text, const char* option) {
  return parse_quantity(text, model::kind::kAngle, option, "30deg") * 180.0 / core::kPi;
}

double parse_distance(const std::string& text, const char* option, double least, double most) {
  const double metres = parse_quantity(text, model::kind::kDistance, option, "300km");
  if (!(metres >= least && metres <= most))
    fail(fmt::format("expected from {:g} to {:g} km, found '{}'", least / 1e3, most / 1e3, text), option);
  return metres;
}

void interpret_report(const Typed& typed, CommandLine& line) {
  constexpr std::size_t kMost = 8;  // colours that can be told apart
  line.versus = typed.versus;
  for (const std::string& versus : line.versus) (void)model::parse_setting(versus);
  line.soil_band = typed.soil_band;
  line.svg_folder = typed.svg_folder;
  if (line.command != "gather" && line.inputs.size() + line.versus.size() > kMost)
    fail(fmt::format("a comparison takes at most {} rigs, found {}", kMost,
                     line.inputs.size() + line.versus.size()),
         line.command);
}

void interpret_pattern(const Typed& typed, CommandLine& line) {
  line.ascii = typed.ascii;
  if (!typed.distance.empty()) line.distance = parse_distance(typed.distance, "--distance", 1e3, 20e6);
  if (!typed.layer.empty()) line.layer = parse_distance(typed.layer, "--layer", 50e3, 1000e3);
  for (std::size_t from = 0; from < typed.elevations.size();) {
    const std::size_t comma = std::min(typed.elevations.find(',', from), typed.elevations.size());
    const double degrees = parse_degrees(typed.elevations.substr(from, comma - from), "--elevations");
    if (!(degrees >= 0.0 && degrees <= 90.0 + 1e-9))
      fail(fmt::format("expected elevations from 0 to 90 deg, found {:g} deg", degrees), "--elevations");
    line.elevations_deg.push_back(std::min(degrees, 90.0));
    from = comma + 1;
  }
  if (typed.step.empty()) return;
  const double step = parse_degrees(typed.step, "--step");
  const double parts = std::round(90.0 / step);
  if (!(step >= 0.5 - 1e-9 && step <= 90.0 + 1e-9) || std::abs(parts * step - 90.0) > 1e-6)
    fail(fmt::format("expected a whole part of 90 deg from 0.5 deg on, as in 5deg or 2.5deg; found '{}'",
                     typed.step),
         "--step");
  if (line.format.value_or(Format::text) == Format::text)
    fail("goes with --format json or csv; text tells the two cuts", "--step");
  line.sphere_step_deg = 90.0 / parts;
}

CommandLine interpret(const std::string& command, const Typed& typed) {
  CommandLine line;
  line.command = command;
  line.model = command == "bands" && !typed.inputs.empty() ? typed.inputs.front() : typed.model;
  for (const std::string& setting : typed.settings) line.settings.push_back(model::parse_setting(setting));
  if (!typed.frequency.empty()) line.frequencies = parse_frequencies(typed.frequency);
  if (!typed.format.empty()) {
    std::vector<std::string> formats{"text"};
    if (command != "show") formats.emplace_back("json");
    if (command == "bands" || command == "solve" || command == "pattern" || command == "show")
      formats.emplace_back("csv");
    if (command == "solve") formats.emplace_back("touchstone");
    constexpr std::array<Format, 4> kFormats = {Format::text, Format::json, Format::csv, Format::touchstone};
    const std::string& chosen = formats[parse_choice(typed.format, "--format", formats)];
    const auto word = std::find(kFormatWords.begin(), kFormatWords.end(), chosen);
    line.format = kFormats[static_cast<std::size_t>(word - kFormatWords.begin())];
  }
  line.output = typed.output;
  interpret_touchstone(typed, line);
  constexpr int kMostThreads = 1024;
  line.threads = std::clamp(static_cast<int>(std::thread::hardware_concurrency()), 1, kMostThreads);
  if (!typed.threads.empty()) line.threads = parse_integer(typed.threads, "--threads", 1, kMostThreads);
  if (!typed.region.empty()) line.region = parse_integer(typed.region, "--region", 1, 3);
  line.bands = typed.bands;
  if (!line.bands.empty()) (void)decision::select_bands(line.bands, line.region.value_or(1));
  if (!typed.accuracy.empty()) {
    line.accuracy = static_cast<solver::Accuracy>(
        parse_choice(typed.accuracy, "--accuracy", {"draft", "normal", "fine"}));
  }
  interpret_sweep(command, typed, line);
  interpret_pattern(typed, line);
  interpret_report(typed, line);
  line.every_frequency = typed.every_frequency;
  line.lying_heights = typed.lying_heights;
  line.explain = typed.explain;
  if (line.explain && line.format && *line.format != Format::text && *line.format != Format::json)
    fail("goes with --format text or json", "--explain");
  line.touch = typed.touch;
  if (line.touch && line.lying_heights)
    fail("goes without --lying-heights; ask for one at a time", "--touch");
  if (line.touch && line.format == Format::touchstone)
    fail("goes with --format text, json or csv; a Touchstone file has no place for it", "--touch");
  line.wide = typed.wide;
  if (line.wide && line.format.value_or(Format::text) != Format::text)
    fail("goes with --format text; json and csv tell everything as they are", "--wide");
  if (line.lying_heights && line.format == Format::json) {
    fail("goes with --format text or csv; one table is one JSON document", "--lying-heights");
  }
  return line;
}

std::string explain_missing(const std::string& command, const std::string& what) {
  if (what.find("--output") != std::string::npos) return "--output: needs the name of the file for all";
  return command == "sweep"
             ? "feldspar sweep needs a study: a file, or the name of a built-in one (feldspar models lists "
               "them)"
             : fmt::format("feldspar {} needs a file that feldspar sweep has written", command);
}

/// The parser's own complaints in our words.
[[noreturn]] void explain(const CLI::ParseError& error, const std::string& command,
                          const std::string& model) {
  if (dynamic_cast<const CLI::RequiredError*>(&error)) {
    if (command == "sweep" || command == "show" || command == "gather")
      fail(explain_missing(command, error.what()));
    if (model.empty()) {
      fail(fmt::format(
          "feldspar {} needs a model: a file, or the name of a built-in one (feldspar models lists them)",
          command));
    }
    fail("needs at least one, as in --frequency 7.1MHz,14.2MHz", "--frequency");
  }
  if (dynamic_cast<const CLI::ExtrasError*>(&error)) {
    fail(fmt::format("one {} at a time, please: {}",
                     command == "sweep"  ? "study"
                     : command == "show" ? "file"
                                         : "model",
                     error.what()));
  }
  fail(error.what());
}

}  // namespace

CommandLine parse_command_line(const std::vector<std::string>& arguments) {
  Typed typed;
  const std::unique_ptr<CLI::App> app = make_parser(typed);
  check_words(*app, arguments);
  std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
  try {
    app->parse(reversed);
  } catch (const CLI::CallForHelp&) {
    const auto commands = app->get_subcommands();
    CommandLine line;
    line.answer = commands.empty() ? app->help() : commands.front()->help("feldspar");
    return line;
  } catch (const CLI::CallForVersion&) {
    CommandLine line;
    line.answer = "feldspar " FELDSPAR_VERSION "\n";
    return line;
  } catch (const CLI::ParseError& error) {
    explain(error, arguments.front(), typed.model);
  }
  // An option given as "" would pass for one left out.
  for (const CLI::App* command : app->get_subcommands()) {
    for (const CLI::Option* option : command->get_options()) {
      for (const std::string& value : option->results()) {
        if (value.empty()) fail("needs a value", option->get_name());
      }
    }
  }
  CommandLine line = interpret(app->get_subcommands().front()->get_name(), typed);
  line.typed = fmt::format("feldspar {}", fmt::join(arguments, " "));
  return line;
}

}  // namespace feldspar::app
