#include "report/feed_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/duty.hpp"
#include "report/number.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {
namespace {

std::string line_text(const circuit::Line& line) {
  if (!line.type.empty()) return fmt::format("{:.4g} m {}", line.length, line.type);
  return fmt::format("{:.4g} m of {:.4g} ohm", line.length, line.z0);
}

struct Kind {
  std::string_view operator()(const circuit::Transformer&) const { return "transformer"; }
  std::string_view operator()(const circuit::Line&) const { return "line"; }
  std::string_view operator()(const circuit::CoreTransformer&) const { return "transformer"; }
  std::string_view operator()(const circuit::Stub&) const { return "stub"; }
  std::string_view operator()(const circuit::Tuner&) const { return "tuner"; }
  std::string_view operator()(const circuit::MeasuredPart& part) const {
    return part.transformer ? "transformer" : "two-port";
  }
};

struct Name {
  std::string operator()(const circuit::Transformer& part) const {
    return format_ratio(part.impedance_ratio, 4) + " transformer";
  }
  std::string operator()(const circuit::Line& part) const { return line_text(part); }
  std::string operator()(const circuit::CoreTransformer& part) const {
    return format_ratio(part.impedance_ratio, 4) + " transformer";
  }
  std::string operator()(const circuit::Stub& part) const { return "stub, " + line_text(part.line); }
  std::string operator()(const circuit::Tuner&) const { return "tuner"; }
  std::string operator()(const circuit::MeasuredPart& part) const { return part.data.name; }
};

struct Describe {
  std::string operator()(const circuit::Transformer& part) const {
    const std::string ratio = format_ratio(part.impedance_ratio, 4);
    if (part.loss_assumed)
      return fmt::format(
          "Transformer {}, {:.3g} dB loss into a matched load (assumed: the model gives none).", ratio,
          part.loss_db);
    if (part.loss_db == 0.0) return fmt::format("Transformer {}, without loss (as given).", ratio);
    return fmt::format("Transformer {}, {:.3g} dB loss into a matched load (as given).", ratio, part.loss_db);
  }
  std::string operator()(const circuit::Line& part) const {
    if (!part.type.empty()) return fmt::format("Line: {:.4g} m of {}.", part.length, part.type);
    return fmt::format("Line: {:.4g} m, {:.4g} ohm, velocity factor {:.3g} (as given).", part.length, part.z0,
                       part.velocity_factor);
  }
  std::string operator()(const circuit::CoreTransformer& part) const {
    const std::string ratio = format_ratio(part.impedance_ratio, 4);
    if (part.generic)
      return fmt::format("Transformer {}: generic core and leakage, of no particular product (assumed).",
                         ratio);
    return fmt::format("Transformer {}, from {} (as given).", ratio,
                       part.core ? "its core's permeability and turns" : "its magnetising admittance");
  }
  std::string operator()(const circuit::Stub& part) const {
    return fmt::format("Stub {}, {} at its far end: {}.", part.in_series ? "in series" : "across the line",
                       part.open ? "open" : "shorted", line_text(part.line));
  }
  std::string operator()(const circuit::Tuner& part) const {
    constexpr const char* kNetworks[] = {"L", "T", "pi"};
    return fmt::format("Tuner: {} network, coil Q {:g}, capacitor Q {:g}, SWR up to {:g}.",
                       kNetworks[static_cast<int>(part.network)], part.coil_q, part.capacitor_q,
                       part.largest_swr);
  }
  std::string operator()(const circuit::MeasuredPart& part) const {
    return fmt::format("{} as measured: {}, {} to {}.", part.transformer ? "Transformer" : "Part",
                       part.data.name, format_frequency(part.data.frequencies.front()),
                       format_frequency(part.data.frequencies.back()));
  }
};

/// Those that lose most, one by one, and the others together.
void add_inserts(std::vector<results::InsertResult> inserts, double share, TextTable& table) {
  constexpr std::size_t kMost = 6;
  std::stable_sort(inserts.begin(), inserts.end(),
                   [](const auto& a, const auto& b) { return a.lost > b.lost; });
  double rest = 0.0;
  for (std::size_t i = 0; i < inserts.size(); ++i) {
    const results::InsertResult& insert = inserts[i];
    if (i >= kMost)
      rest += insert.lost;
    else
      table.add_row({{"  " + insert.name},
                     {"-"},
                     {"-"},
                     {format_tenths(insert.lost)},
                     {format_tenths(share * insert.lost)},
                     {format_tenths(insert.voltage)},
                     {format_number(insert.current, 0.01)}});
  }
  if (inserts.size() > kMost)
    table.add_row({{fmt::format("  {} other inserts", inserts.size() - kMost)},
                   {"-"},
                   {"-"},
                   {format_tenths(rest)},
                   {format_tenths(share * rest)},
                   {"-"},
                   {"-"}});
}

std::string end_text(model::LineEnd end) {
  switch (end) {
    case model::LineEnd::earthed:
      return "earthed at the radio";
    case model::LineEnd::operated:
      return "with operator and set at the radio";
    case model::LineEnd::open:
      break;
  }
  return "open at the radio";
}

}  // namespace

std::string_view part_kind(const circuit::FeedPart& part) {
  return std::visit(Kind{}, part);
}

std::string part_name(const circuit::FeedPart& part) {
  return std::visit(Name{}, part);
}

std::string describe_part(const circuit::FeedPart& part) {
  return std::visit(Describe{}, part);
}

std::string describe_outside(const model::Model& model) {
  if (!model.outside) return "Coax outside not included, as if a perfect choke sat at the feed point.";
  const model::LineOutside& outside = *model.outside;
  double length = 0.0;
  for (const int wire : outside.wires)
    length += geometry::length(model.structure.wires[static_cast<std::size_t>(wire)]);
  std::string text = fmt::format("Outside of the line: {:.3g} m of braid are part of the antenna, {}", length,
                                 end_text(outside.end));
  if (!outside.chokes.empty())
    text += fmt::format(", {} choke{} on it", outside.chokes.size(), outside.chokes.size() > 1 ? "s" : "");
  const int cuts = outside.perfect_chokes;
  if (cuts > 0) text += fmt::format(", cut by {} perfect choke{}", cuts, cuts > 1 ? "s" : "");
  return text + (outside.floating ? "; a balun keeps it off the antenna's wires." : ".");
}

std::string parts_text(const model::Model& model, const results::FrequencyResult& result, bool colour) {
  const auto& parts = model.feed.parts;
  if ((parts.empty() && result.inserts.empty()) || result.parts.size() != parts.size()) return "";
  TextTable table({{"\n  part", Align::left},
                   {"load at its\nantenna end, ohm", Align::right},
                   {"\nloss, dB", Align::decimal},
                   {"heat\nW", Align::decimal},
                   {"average\nW", Align::decimal},
                   {"r.m.s.\nV", Align::decimal},
                   {"\nA", Align::decimal}});
  const double share = model::average_share(model.feed.mode);
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const results::PartResult& part = result.parts[i];
    table.add_row({{"  " + part_name(parts[i]) + (part.works ? "" : " (passed by)")},
                   {format_impedance(part.load)},
                   {format_number(part.loss_db, part.loss_db < 9.995 ? 0.01 : 0.1)},
                   {format_tenths(part.lost)},
                   {format_tenths(share * part.lost)},
                   {format_tenths(part.voltage)},
                   {format_number(part.current, 0.01)}});
  }
  add_inserts(result.inserts, share, table);
  return fmt::format("  Parts from the antenna to the radio ({}: heat times {:.2g})\n",
                     model::mode_name(model.feed.mode), share) +
         table.render(colour);
}

std::string braid_text(const model::Model& model, const results::FrequencyResult& result) {
  if (!result.braid) return "";
  const results::BraidCurrent& braid = *result.braid;
  std::string text = fmt::format("  {:<18}{} A at the radio, {} A at most", "Outside of line",
                                 format_number(braid.at_radio, 0.01), format_number(braid.largest, 0.01));
  if (braid.largest_on_antenna > 0.0)
    text +=
        fmt::format(" ({:.0f} % of the antenna's largest)", 100.0 * braid.largest / braid.largest_on_antenna);
  if (model.feed.power > 0.0)
    text += fmt::format("; radiates and loses {} W", format_number(braid.power, 0.1));
  return wrap(text, 80, 20);
}

}  // namespace feldspar::report
