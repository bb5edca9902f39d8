#include "report/page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "decision/advice.hpp"
#include "report/assumptions.hpp"
#include "report/bands_words.hpp"
#include "report/figures_detail.hpp"
#include "report/page_files_detail.hpp"
#include "report/page_parts_detail.hpp"

namespace feldspar::report {
namespace detail {

std::string base64(const unsigned char* bytes, std::size_t size) {
  constexpr char kLetters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((size + 2) / 3 * 4);
  for (std::size_t i = 0; i < size; i += 3) {
    const unsigned left = static_cast<unsigned>(std::min<std::size_t>(3, size - i));
    const unsigned group = (static_cast<unsigned>(bytes[i]) << 16) |
                           (left > 1 ? static_cast<unsigned>(bytes[i + 1]) << 8 : 0U) |
                           (left > 2 ? static_cast<unsigned>(bytes[i + 2]) : 0U);
    for (unsigned k = 0; k < 4; ++k) text += k <= left ? kLetters[(group >> (18 - 6 * k)) & 63U] : '=';
  }
  return text;
}

std::string html_table(const std::vector<std::string>& headings, const TextTable& table) {
  std::string html = "<div class=\"wide\"><table><thead><tr>";
  const auto numeric = [&](std::size_t column) { return table.columns()[column].align != Align::left; };
  for (std::size_t i = 0; i < headings.size(); ++i)
    html += fmt::format("<th scope=\"col\"{}>{}</th>", numeric(i) ? " class=\"number\"" : "",
                        escape_markup(headings[i]));
  html += "</tr></thead><tbody>";
  for (const std::vector<Cell>& row : table.rows()) {
    html += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const std::string text = escape_markup(row[i].text);
      if (i == 0)
        html += "<th scope=\"row\">" + text + "</th>";
      else
        html += fmt::format("<td{}>{}</td>", numeric(i) ? " class=\"number\"" : "", text);
    }
    html += "</tr>\n";
  }
  return html + "</tbody></table></div>\n";
}

std::vector<std::string> headings_of(const TextTable& table) {
  std::vector<std::string> headings;
  for (const Column& column : table.columns()) {
    std::string heading = column.heading;
    std::replace(heading.begin(), heading.end(), '\n', ' ');
    headings.push_back(!heading.empty() && heading.front() == ' ' ? heading.substr(1) : heading);
  }
  return headings;
}

std::string section(const char* name, const std::string& heading, const std::string& content) {
  return fmt::format("<section id=\"{}\"><h2>{}</h2>\n{}</section>\n", name, escape_markup(heading), content);
}

std::string paragraph(const std::string& text) {
  return "<p>" + escape_markup(text) + "</p>\n";
}

std::string figure_html(const Figure& figure, const std::string& band) {
  return fmt::format(
      "<figure data-plot=\"{}\"{}><div class=\"plot\">{}</div><figcaption>{}</figcaption></figure>\n",
      figure.name, band.empty() ? "" : fmt::format(" data-band=\"{}\"", escape_markup(band)),
      figure.svg.inside_page(figure.heading + ". " + figure.words), escape_markup(figure.words));
}

std::string whole_page(const PageContent& content, const PageOptions& options) {
  const auto as_text = [](std::span<const unsigned char> bytes) {
    return std::string(bytes.begin(), bytes.end());
  };
  const std::span<const unsigned char> plots = page_plots();
  std::string html =
      "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>" +
      escape_markup(content.title) + "</title>\n<style>" + as_text(page_style()) +
      "</style></head>\n<body>\n";
  html += "<header><h1>" + escape_markup(content.title) + "</h1>\n<p class=\"headline\">" +
          escape_markup(content.headline) + "</p></header>\n<main>\n";
  html += content.body;
  html += fmt::format("</main>\n<footer><p>Feldspar {}: {}</p></footer>\n", escape_markup(options.version),
                      escape_markup(options.command_line));
  html += "<script type=\"application/json\" id=\"data\">" + content.data + "</script>\n";
  html += "<script type=\"application/octet-stream\" id=\"plots\">" + base64(plots.data(), plots.size()) +
          "</script>\n<script>" + as_text(page_script()) + "</script>\n</body></html>\n";
  return html;
}

}  // namespace detail

namespace {

using detail::escape_markup;
using detail::Figure;
using detail::figure_html;
using detail::headings_of;
using detail::html_table;
using detail::paragraph;
using detail::section;

/// A sign besides the word and the colour.
const char* tuner_sign(decision::Tuner tuner) {
  switch (tuner) {
    case decision::Tuner::none:
      return "●";
    case decision::Tuner::radio:
      return "◐";
    case decision::Tuner::wide_range:
      return "○";
    case decision::Tuner::out_of_range:
      break;
  }
  return "✕";
}

/// The operating table: the terminal's cells, what a phone has room for first.
std::string operating_table(const results::BandTable& table) {
  struct Place {
    std::size_t column;  ///< of radio_table()
    const char* heading;
  };
  constexpr std::size_t kTuner = 9;
  constexpr Place kPlaces[] = {{3, "SWR, lower edge"}, {4, "middle"}, {5, "upper edge"},
                               {6, "lowest SWR"},      {7, "at kHz"}, {8, "SWR below 2, kHz"},
                               {10, "tuner loss, dB"}, {1, "R, ohm"}, {2, "X, ohm"}};
  const TextTable cells = radio_table(table);
  std::string html =
      "<div class=\"wide\"><table><thead><tr><th scope=\"col\">band</th><th scope=\"col\">tuner</th>";
  for (const Place& place : kPlaces)
    html += fmt::format("<th scope=\"col\" class=\"number\">{}</th>", place.heading);
  html += "</tr></thead><tbody>";
  for (std::size_t r = 0; r < cells.rows().size(); ++r) {
    const std::vector<Cell>& row = cells.rows()[r];
    const decision::Tuner tuner = decision::advise(table.bands[r]).tuner;
    html += fmt::format("<tr><th scope=\"row\">{}</th><td class=\"tuner {}\">{} {}</td>",
                        escape_markup(row[0].text), decision::tuner_key(tuner), tuner_sign(tuner),
                        escape_markup(row[kTuner].text));
    for (const Place& place : kPlaces)
      html += "<td class=\"number\">" + escape_markup(row[place.column].text) + "</td>";
    html += "</tr>\n";
  }
  return html + "</tbody></table></div>\n";
}

/// With the rig's name above where there are several.
template <typename Part>
std::string for_each_rig(const std::vector<Rig>& rigs, Part part) {
  std::string html;
  for (const Rig& rig : rigs)
    html += (rigs.size() > 1 ? "<h3>" + escape_markup(rig.label) + "</h3>\n" : "") + part(rig);
  return html;
}

std::string changed(const std::vector<Rig>& rigs) {
  if (rigs.size() < 2) return "";
  const TextTable settings = detail::changed_settings(rigs);
  const TextTable bands = detail::changed_bands(rigs);
  std::string html;
  if (!settings.rows().empty()) html += html_table(headings_of(settings), settings);
  std::vector<std::string> labels;
  for (const Rig& rig : rigs) labels.push_back(rig.label);
  html += paragraph(fmt::format("In the middle of each band, from {}:",
                                fmt::join(labels, rigs.size() == 2 ? " to " : " / ")));
  html += bands.rows().empty() ? paragraph("No band's figures differ in the digits shown.")
                               : html_table(headings_of(bands), bands);
  return section("changed", "What changed", html);
}

std::string signal_words(const Rig& rig) {
  return rig.model.antenna ? paragraph("Not known: the antenna is given by its impedance only.")
                           : html_table({"band", "gain, dBi", "take-off, deg", "toward, deg",
                                         "from radio, dBi", "gain at 10 deg", "30 deg", "60 deg", "90 deg"},
                                        signal_table(rig.table));
}

std::string assumptions(const Rig& rig) {
  std::string html = "<ul>";
  for (const std::string& line : describe_assumptions(rig.model))
    html += "<li>" + escape_markup(line) + "</li>";
  html += fmt::format("<li>Bands of ITU region {}; your national rules may differ.</li>", rig.model.region);
  if (!rig.model.antenna) html += "<li>" + escape_markup(error_sentence(rig.table)) + "</li>";
  for (const std::string& line : describe_soil_sources(rig.model))
    html += "<li>" + escape_markup(line) + "</li>";
  html += "</ul>\n";
  if (rig.table.warnings.empty()) return html;
  html += "<ul class=\"warnings\">";
  for (const core::Warning& warning : rig.table.warnings)
    html += "<li>Warning: " + escape_markup(warning.text) + "</li>";
  return html + "</ul>\n";
}

std::string model_text(const Rig& rig) {
  return fmt::format("<details><summary>{}</summary><pre tabindex=\"0\">{}</pre></details>\n",
                     escape_markup(rig.model.name + ", as the program read it"), escape_markup(rig.text));
}

std::string rigging(const Rig& rig) {
  if (rig.model.antenna) return paragraph("No wires: the antenna is given by its impedance only.");
  const TextTable table = detail::rigging_table(rig.model);
  return html_table(headings_of(table), table) + paragraph(detail::rigging_total(rig.model));
}

std::string body(const std::vector<Rig>& rigs) {
  const std::size_t best = detail::best_band(rigs);
  const std::string band = rigs.front().table.bands[best].name;
  std::string html = changed(rigs);
  html += section("operating", "What the radio sees", for_each_rig(rigs, [](const Rig& rig) {
                    return operating_table(rig.table) + paragraph(dips_sentence(rig.table));
                  }));
  html += section("swr", "SWR over frequency",
                  figure_html(detail::swr_figure(rigs)) + figure_html(detail::impedance_figure(rigs)) +
                      figure_html(detail::smith_figure(rigs)));
  html += section("watts", "Where the watts go",
                  figure_html(detail::power_figure(rigs)) + for_each_rig(rigs, [](const Rig& rig) {
                    const TextTable table = watts_table(rig.model, rig.table);
                    return html_table(headings_of(table), table);
                  }));
  html +=
      section("pattern", "Where the signal goes",
              figure_html(detail::elevation_figure(rigs, best), band) +
                  figure_html(detail::azimuth_figure(rigs, best), band) + for_each_rig(rigs, signal_words));
  const bool wires = std::any_of(rigs.begin(), rigs.end(), [](const Rig& rig) { return !rig.model.antenna; });
  if (wires) html += section("drawing", "The rig", figure_html(detail::drawing_figure(rigs, best), band));
  html += section("rigging", "Rigging list", for_each_rig(rigs, rigging));
  html += section("assumptions", "What was assumed, and how sure it is",
                  for_each_rig(rigs, assumptions) + paragraph(caution()));
  html += section("model", "Model", for_each_rig(rigs, model_text));
  return html;
}

void check(const std::vector<Rig>& rigs) {
  constexpr std::size_t kMost = 8;
  if (rigs.empty() || rigs.size() > kMost)
    throw core::Error(core::ErrorKind::usage,
                      fmt::format("a page holds 1 to {} rigs, not {}", kMost, rigs.size()));
  for (const Rig& rig : rigs)
    if (rig.table.bands.empty() || rig.table.curve.empty())
      throw core::Error(core::ErrorKind::usage, "a page needs the bands and the curve of each of its rigs");
}

}  // namespace

std::string page_html(const std::vector<Rig>& rigs, const PageOptions& options) {
  check(rigs);
  const Rig& own = rigs.front();
  const std::string title = rigs.size() == 1
                                ? own.model.title
                                : fmt::format("{}, compared with {} more", own.model.title, rigs.size() - 1);
  return detail::whole_page({title, verdict(own.model, own.table), body(rigs), detail::page_data(rigs)},
                            options);
}

std::vector<Picture> pictures(const std::vector<Rig>& rigs) {
  check(rigs);
  const std::size_t best = detail::best_band(rigs);
  std::vector<Figure> figures{detail::swr_figure(rigs), detail::impedance_figure(rigs),
                              detail::smith_figure(rigs), detail::power_figure(rigs)};
  if (!rigs.front().model.antenna) {
    figures.push_back(detail::elevation_figure(rigs, best));
    figures.push_back(detail::azimuth_figure(rigs, best));
    figures.push_back(detail::drawing_figure(rigs, best));
  }
  std::vector<Picture> files;
  for (const Figure& figure : figures)
    files.push_back({figure.name, figure.svg.file(figure.heading + ". " + figure.words)});
  return files;
}

}  // namespace feldspar::report
