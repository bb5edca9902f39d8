#include "study/run_bands.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <complex>
#include <functional>
#include <iterator>
#include <limits>
#include <memory>
#include <optional>

#include "circuit/feed.hpp"
#include "circuit/tuner.hpp"
#include "decision/advice.hpp"
#include "study/dips.hpp"

namespace feldspar::study {
namespace {

using Complex = std::complex<double>;
using PortFunction = std::function<Complex(double f)>;  ///< impedance at the port over Hz

circuit::FeedResult feed_at(const model::Feed& feed, double f, Complex port) {
  // An interpolated curve may dip below 0 ohm by rounding where the antenna has next to no resistance.
  const double resistance = std::max(port.real(), 1e-9 * std::abs(port));
  return circuit::run_feed(feed.parts, core::Frequency{f}, {resistance, port.imag()},
                           feed.reference_resistance);
}

/// Loss of a tuner beside the radio, usual parts and range; empty when it is not needed or does not reach.
std::optional<double> tuner_loss(const circuit::FeedResult& feed, double f, double reference_resistance) {
  if (decision::tuner_advice(feed.swr_at_radio) == decision::Tuner::none) return std::nullopt;
  const circuit::TunerSetting setting =
      circuit::match({}, core::Frequency{f}, feed.radio_impedance, reference_resistance);
  return setting.matched ? std::optional(setting.loss_db) : std::nullopt;
}

void check(const BandOptions& options) {
  if (options.bands.empty()) throw core::Error(core::ErrorKind::usage, "no band is asked for");
  for (const decision::Band& band : options.bands) {
    if (!(band.lower > 0.0) || !(band.lower < band.upper)) {
      throw core::Error(core::ErrorKind::usage, fmt::format("band {} has its edges out of order", band.name));
    }
  }
}

results::BandRow make_row(const decision::Band& band, std::vector<results::FrequencyResult> solved,
                          const model::Feed& feed, const PortFunction& curve) {
  results::BandRow row;
  row.name = std::string(band.name);
  row.lower = band.lower;
  row.upper = band.upper;
  const SwrCurve swr = [&](double f) { return feed_at(feed, f, curve(f)).swr_at_radio; };
  constexpr double kLeast = 200.0;  // looks per band, however narrow it is
  std::vector<double> grid =
      fine_grid(band.lower, band.upper, std::min(5e-4, std::log(band.upper / band.lower) / kLeast));
  grid.push_back(solved[1].frequency);
  std::sort(grid.begin(), grid.end());
  grid.erase(std::unique(grid.begin(), grid.end()), grid.end());
  const Extremes extremes = find_extremes(swr, grid);
  row.lowest = extremes.lowest;
  row.largest = extremes.largest;
  row.bandwidth_swr2 = width_below(swr, grid, row.lowest.frequency, 2.0);
  const circuit::FeedResult worst = feed_at(feed, row.largest.frequency, curve(row.largest.frequency));
  row.line_loss_at_largest = worst.line_loss_db;
  row.tuner_loss = tuner_loss(worst, row.largest.frequency, feed.reference_resistance);
  row.at_lower = std::move(solved[0]);
  row.at_middle = std::move(solved[1]);
  row.at_upper = std::move(solved[2]);
  return row;
}

/// A warning's text taken apart: the words, and the numbers between them.
struct Pattern {
  std::string words;  ///< each number replaced by '#'
  std::vector<std::string> numbers;
};

Pattern take_apart(const std::string& text) {
  Pattern pattern;
  for (std::size_t i = 0; i < text.size();) {
    const bool starts = std::isdigit(static_cast<unsigned char>(text[i])) &&
                        (i == 0 || !std::isalnum(static_cast<unsigned char>(text[i - 1])));
    if (!starts) {
      pattern.words += text[i++];
      continue;
    }
    std::size_t end = text.find_first_not_of("0123456789.", i);
    end = end == std::string::npos ? text.size() : end;
    if (text[end - 1] == '.') --end;  // the end of a sentence
    pattern.words += '#';
    pattern.numbers.push_back(text.substr(i, end - i));
    i = end;
  }
  return pattern;
}

/// Warnings of one kind that differ in their numbers only, and the bands they are about.
struct Group {
  core::Warning first;
  std::string words;
  std::vector<std::string> least;  ///< of each number, as written
  std::vector<std::string> most;
  std::vector<std::string> bands;
};

std::string text_of(const Group& group, std::size_t bands_in_all) {
  std::string text;
  std::size_t next = 0;
  for (const char c : group.words) {
    if (c != '#' || next >= group.least.size()) {
      text += c;
      continue;
    }
    text += group.least[next];
    if (group.most[next] != group.least[next]) text += " to " + group.most[next];
    ++next;
  }
  return group.bands.size() < bands_in_all ? fmt::format("{}: {}", fmt::join(group.bands, ", "), text) : text;
}

/// Each warning once, with the range of its numbers; one that not every band shares begins with its bands.
core::Warnings gather_warnings(const std::vector<results::BandRow>& rows) {
  std::vector<Group> groups;
  for (const results::BandRow& row : rows) {
    for (const results::FrequencyResult* result : {&row.at_lower, &row.at_middle, &row.at_upper}) {
      for (const core::Warning& warning : result->warnings) {
        const Pattern pattern = take_apart(warning.text);
        auto group = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
          return g.first.code == warning.code && g.words == pattern.words &&
                 g.least.size() == pattern.numbers.size();
        });
        if (group == groups.end()) {
          groups.push_back({warning, pattern.words, pattern.numbers, pattern.numbers, {}});
          group = groups.end() - 1;
        }
        for (std::size_t i = 0; i < pattern.numbers.size(); ++i) {
          const std::string& number = pattern.numbers[i];
          if (std::stod(number) < std::stod(group->least[i])) group->least[i] = number;
          if (std::stod(number) > std::stod(group->most[i])) group->most[i] = number;
        }
        if (group->bands.empty() || group->bands.back() != row.name) group->bands.push_back(row.name);
      }
    }
  }
  core::Warnings warnings;
  for (const Group& group : groups) warnings.push_back({group.first.code, text_of(group, rows.size())});
  return warnings;
}

void warn_of_curve(const Curve& curve, const std::string& where, core::Warnings& warnings) {
  if (curve.converged) return;
  warnings.push_back(
      {"interpolation",
       fmt::format("between the solved frequencies {} the impedance is known to about {:.1g} % only; "
                   "lowest SWR and dips may be off",
                   where, 100.0 * std::max(curve.error, 1e-3))});
}

/// Frequencies that every file of the model reaches, Hz.
struct Reach {
  double lower = 0.0;
  double upper = std::numeric_limits<double>::infinity();
  std::string file;  ///< the one that reaches least far; empty without files

  void narrow(const circuit::NetworkData& data) {
    const double from = std::max(lower, data.frequencies.front());
    const double to = std::min(upper, data.frequencies.back());
    if (from > lower || to < upper) file = data.name;
    lower = from;
    upper = to;
  }
  [[nodiscard]] bool holds(const decision::Band& band) const {
    constexpr double kRounding = 1e-9;  // relative, as circuit::covers
    return band.lower >= lower * (1.0 - kRounding) && band.upper <= upper * (1.0 + kRounding);
  }
  [[nodiscard]] std::string text() const {
    return fmt::format("{} reaches from {:.6g} to {:.6g} MHz", file, lower / 1e6, upper / 1e6);
  }
};

Reach reach_of(const model::Model& model) {
  Reach reach;
  if (model.antenna && model.antenna->table) reach.narrow(*model.antenna->table);
  for (const circuit::FeedPart& part : model.feed.parts)
    if (const auto* measured = std::get_if<circuit::MeasuredPart>(&part)) reach.narrow(measured->data);
  return reach;
}

/// Bands in rising frequency and a sweep no wider than the files reach; names of other bands in `left_out`.
BandOptions within(const Reach& reach, const BandOptions& options, std::vector<std::string>& left_out) {
  BandOptions kept = options;
  kept.bands.clear();
  for (const decision::Band& band : options.bands) {
    if (reach.holds(band))
      kept.bands.push_back(band);
    else
      left_out.emplace_back(band.name);
  }
  if (kept.bands.empty())
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format(
            "no band lies from edge to edge within what the model's files know: {}; measure over whole bands",
            reach.text()));
  std::stable_sort(kept.bands.begin(), kept.bands.end(),
                   [](const auto& a, const auto& b) { return a.lower < b.lower; });
  kept.sweep_lower = std::max(options.sweep_lower, reach.lower);
  kept.sweep_upper = std::min(options.sweep_upper, reach.upper);
  return kept;
}

std::vector<results::Dip> dips_of(const model::Model& model, const BandOptions& options,
                                  const PortFunction& port) {
  if (options.sweep_lower >= options.sweep_upper) return {};
  return find_dips([&](double f) { return feed_at(model.feed, f, port(f)).swr_at_radio; },
                   fine_grid(options.sweep_lower, options.sweep_upper));
}

/// Adds points of a curve from one frequency to another: evenly in the logarithm, and closer inside bands,
/// edges and middles among them.
void add_curve(const model::Model& model, const BandOptions& options, double lower, double upper,
               const PortFunction& port, std::vector<results::CurvePoint>& curve) {
  constexpr int kPerBand = 40;
  if (options.curve_points < 2 || !(lower < upper)) return;
  std::vector<double> grid = fine_grid(lower, upper, std::log(upper / lower) / (options.curve_points - 1));
  for (const decision::Band& band : options.bands) {
    if (band.lower < lower || band.upper > upper) continue;
    for (int i = 0; i <= kPerBand; ++i)
      grid.push_back(i == kPerBand ? band.upper : band.lower + (band.upper - band.lower) * i / kPerBand);
  }
  std::sort(grid.begin(), grid.end());
  grid.erase(std::unique(grid.begin(), grid.end()), grid.end());
  for (const double f : grid) {
    const Complex z = port(f);
    const circuit::FeedResult feed = feed_at(model.feed, f, z);
    curve.push_back({f, z, feed.radio_impedance, feed.swr_at_radio});
  }
}

/// What is asked of a band: both edges, and the middle with its fields.
std::vector<SolveRequest> requests_of(const decision::Band& band) {
  return {{core::Frequency{band.lower}, false},
          {core::Frequency{decision::middle(band)}, true},
          {core::Frequency{band.upper}, false}};
}

/// The table of an antenna whose impedance is known: nothing to interpolate.
results::BandTable run_known(const model::Model& model, const BandOptions& options,
                             const SolveFunction& solve) {
  const PortFunction port = [&](double f) {
    return circuit::impedance_at(*model.antenna, core::Frequency{f});
  };
  results::BandTable table;
  for (const decision::Band& band : options.bands) {
    table.bands.push_back(
        make_row(band, solve_many(requests_of(band), solve, options.threads), model.feed, port));
    table.solves += 3;
  }
  table.warnings = gather_warnings(table.bands);
  table.dips = dips_of(model, options, port);
  add_curve(model, options, options.sweep_lower, options.sweep_upper, port, table.curve);
  for (const decision::Band& band : options.bands)
    if (band.lower > options.sweep_upper)
      add_curve(model, options, band.lower, band.upper, port, table.curve);
  return table;
}

/// A table in the making from curves.
class Tabulator {
 public:
  Tabulator(const model::Model& model, const BandOptions& options, const CurveMaker& maker,
            const SolveFunction& solve)
      : model_(model), options_(options), maker_(maker), solve_(solve) {}

  results::BandTable run() {
    std::unique_ptr<Curve> sweep;
    const auto in_sweep = [&](const decision::Band& band) {
      return band.lower >= options_.sweep_lower && band.upper <= options_.sweep_upper;
    };
    const std::vector<decision::Band>& bands = options_.bands;
    if (options_.sweep_lower < options_.sweep_upper)
      sweep = curve_over(
          options_.sweep_lower, options_.sweep_upper,
          fmt::format("from {:g} to {:g} MHz", options_.sweep_lower / 1e6, options_.sweep_upper / 1e6));
    std::vector<std::size_t> inside;
    for (std::size_t i = 0; i < bands.size(); ++i)
      if (in_sweep(bands[i])) inside.push_back(i);
    rows_.resize(bands.size());
    if (sweep) add_rows(inside, *sweep);
    if (sweep) draw(*sweep, options_.sweep_lower, options_.sweep_upper);
    for (std::size_t i = 0; i < bands.size(); ++i) {
      if (in_sweep(bands[i])) continue;
      const auto curve = curve_over(bands[i].lower, bands[i].upper, fmt::format("of {}", bands[i].name));
      add_rows({i}, *curve);
      draw(*curve, bands[i].lower, bands[i].upper);
    }
    std::stable_sort(table_.curve.begin(), table_.curve.end(),
                     [](const auto& a, const auto& b) { return a.frequency < b.frequency; });
    table_.bands = std::move(rows_);
    table_.warnings = gather_warnings(table_.bands);
    table_.warnings.insert(table_.warnings.end(), of_curves_.begin(), of_curves_.end());
    if (sweep) table_.dips = dips_of(model_, options_, [&](double f) { return sweep->impedance(f); });
    return std::move(table_);
  }

 private:
  std::unique_ptr<Curve> curve_over(double lower, double upper, const std::string& where) {
    std::unique_ptr<Curve> curve = maker_(lower, upper);
    table_.solves += curve->solves;
    table_.work += curve->work;
    table_.interpolation_error = std::max(table_.interpolation_error, curve->error);
    warn_of_curve(*curve, where, of_curves_);
    return curve;
  }

  void draw(const Curve& curve, double lower, double upper) {
    add_curve(
        model_, options_, lower, upper, [&](double f) { return curve.impedance(f); }, table_.curve);
  }

  /// Rows of some bands, all inside the curve's range.
  void add_rows(const std::vector<std::size_t>& which, const Curve& curve) {
    std::vector<SolveRequest> requests;
    for (const std::size_t i : which)
      for (const SolveRequest& request : requests_of(options_.bands[i])) requests.push_back(request);
    const SolveFunction from_curve = [&](core::Frequency f, bool fields) { return curve.result(f, fields); };
    if (options_.every_frequency) table_.solves += static_cast<int>(requests.size());
    std::vector<results::FrequencyResult> results =
        solve_many(requests, options_.every_frequency ? solve_ : from_curve, options_.threads);
    for (const results::FrequencyResult& result : results) table_.work += result.work;
    const PortFunction port = [&](double f) { return curve.impedance(f); };
    run_all(which.size(), options_.threads, [&](std::size_t k) {
      const auto first = std::make_move_iterator(results.begin() + static_cast<std::ptrdiff_t>(3 * k));
      rows_[which[k]] = make_row(options_.bands[which[k]], {first, first + 3}, model_.feed, port);
    });
  }

  const model::Model& model_;
  const BandOptions& options_;
  const CurveMaker& maker_;
  const SolveFunction& solve_;
  std::vector<results::BandRow> rows_;
  results::BandTable table_;
  core::Warnings of_curves_;
};

}  // namespace

results::BandTable run_bands(const model::Model& model, const BandOptions& options, const CurveMaker& curve,
                             const SolveFunction& solve) {
  check(options);
  const Reach reach = reach_of(model);
  std::vector<std::string> left_out;
  const BandOptions kept = within(reach, options, left_out);
  results::BandTable table =
      model.antenna ? run_known(model, kept, solve) : Tabulator(model, kept, curve, solve).run();
  table.sweep_lower = kept.sweep_lower;
  table.sweep_upper = kept.sweep_upper;
  if (!left_out.empty())
    table.warnings.push_back({model.antenna && model.antenna->table ? "antenna-table" : "part-table",
                              fmt::format("{} left out: {}", fmt::join(left_out, ", "), reach.text())});
  return table;
}

}  // namespace feldspar::study
