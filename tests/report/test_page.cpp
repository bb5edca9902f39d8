#include "report/page.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

#include "core/error.hpp"
#include "report/compare.hpp"
#include "report/page_parts_detail.hpp"
#include "report/svg_detail.hpp"
#include "report/sweep_grid_detail.hpp"
#include "samples.hpp"

namespace feldspar::report {
namespace {

constexpr const char* kHostile = "</script><img src=x onerror=alert(1)> & \"quotes\" 'single'";

results::PatternView round_view() {
  results::PatternView view;
  view.gain_dbi = 1.23;
  view.elevation_deg = 27.0;
  for (int angle = 0; angle <= 180; ++angle) {
    view.elevation_cut.angle_deg.push_back(angle);
    view.elevation_cut.gains.push_back({-angle / 10.0, -angle / 10.0, -300.0});
  }
  view.level.round = true;
  for (int bearing = 0; bearing < 360; bearing += 2) {
    view.level.cut.angle_deg.push_back(bearing);
    view.level.cut.gains.push_back({1.0, 1.0, -300.0});
  }
  return view;
}

Rig sample_rig(const std::string& title, double swr) {
  Rig rig;
  rig.model = samples::model();
  rig.model.title = title;
  rig.label = rig.model.name;
  rig.text = title;
  results::BandRow row;
  row.name = "40m";
  row.lower = 7.0e6;
  row.upper = 7.2e6;
  row.at_lower = row.at_middle = row.at_upper = samples::result(7.1e6, swr, 20.0);
  row.at_middle.view = round_view();
  row.lowest = row.largest = {7.1e6, swr};
  rig.table.bands = {row};
  rig.table.sweep_lower = 1.8e6;
  rig.table.sweep_upper = 54e6;
  for (const double f : {7.0e6, 7.1e6, 7.2e6, 144e6, 146e6})
    rig.table.curve.push_back({f, {50.0, f / 1e6}, {49.0, 1.0}, swr});
  return rig;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

std::string element(const std::string& page, const std::string& begins) {
  const std::size_t from = page.find(begins) + begins.size();
  return page.substr(from, page.find("</script>", from) - from);
}

}  // namespace

// Source: derived; RFC 4648 section 10.
TEST_CASE("page: base64") {
  const auto encoded = [](const std::string& text) {
    return detail::base64(reinterpret_cast<const unsigned char*>(text.data()), text.size());
  };
  CHECK(encoded("").empty());
  CHECK(encoded("f") == "Zg==");
  CHECK(encoded("fo") == "Zm8=");
  CHECK(encoded("foo") == "Zm9v");
  CHECK(encoded("foobar") == "Zm9vYmFy");
}

TEST_CASE("page: whatever a file says stays text") {
  Rig rig = sample_rig(kHostile, 1.5);
  rig.label = kHostile;
  rig.model.name = kHostile;
  rig.model.structure.wires[0].name = kHostile;
  rig.table.warnings.push_back({"x", kHostile});
  const std::string page = page_html({rig}, {"0", kHostile});
  CHECK(page.find("<img") == std::string::npos);
  CHECK(count(page, "</script>") == 3);
  CHECK(count(page,
              "&lt;/script&gt;&lt;img src=x onerror=alert(1)&gt; &amp; &quot;quotes&quot; &#39;single&#39;") >
        5);
  const auto data = nlohmann::json::parse(element(page, "id=\"data\">"));
  CHECK(data["rigs"][0]["title"] == kHostile);
  CHECK(data["rigs"][0]["drawing"]["wires"][0]["name"] == kHostile);
}

TEST_CASE("page: its numbers are those of the results, and a curve has a gap between its stretches") {
  const Rig rig = sample_rig("Whip", 1.5);
  const auto data = nlohmann::json::parse(element(page_html({rig}, {"0", "feldspar"}), "id=\"data\">"));
  const auto& curve = data["rigs"][0]["curve"];
  REQUIRE(curve["frequency_hz"].size() == 6);
  CHECK(curve["swr_at_radio"][3].is_null());
  CHECK(curve["port_reactance_ohm"][4] == 144.0);
  const auto& band = data["rigs"][0]["bands"][0];
  CHECK(band["swr_at_radio"]["middle"] == 1.5);
  double sum = 0.0;
  for (const auto& [key, percent] : band["power_percent"].items()) sum += percent.get<double>();
  CHECK(sum == doctest::Approx(100.0));
  CHECK(band["pattern"]["gain_bearing_deg"].is_null());  // round
  CHECK(data["rigs"][0]["ribbon"].is_null());
}

TEST_CASE("page: what changed comes first, and what did not is left out") {
  Rig other = sample_rig("Whip", 3.0);
  other.model.parameters[1].value = 8.0;
  other.label = "radial_count=8";
  const std::string page = page_html({sample_rig("Whip", 1.5), other}, {"0", "feldspar"});
  CHECK(page.find("id=\"changed\"") < page.find("id=\"operating\""));
  const std::string changed =
      page.substr(page.find("id=\"changed\""), page.find("id=\"operating\"") - page.find("id=\"changed\""));
  CHECK(changed.find("radial_count") != std::string::npos);
  CHECK(changed.find("whip_length") == std::string::npos);
  CHECK(changed.find("1.50 → 3.0") != std::string::npos);
  CHECK(changed.find("same") != std::string::npos);  // gains
  CHECK(page_html({sample_rig("Whip", 1.5)}, {"0", "feldspar"}).find("id=\"changed\"") == std::string::npos);
}

TEST_CASE("page: rigging list with copies together") {
  model::Model model = samples::model();
  for (int i = 1; i <= 3; ++i) {
    geometry::Wire radial;
    radial.name = "radial (" + std::to_string(i) + ")";
    radial.path = {{0.0, 0.0, 0.02}, {i == 1 ? 5.0 : -5.0, 0.0, 0.02}};
    radial.radius = 0.0005;
    model.structure.wires.push_back(radial);
  }
  const TextTable table = detail::rigging_table(model);
  REQUIRE(table.rows().size() == 2);
  CHECK(table.rows()[0][2].text == "5.20 m (17'1\")");
  CHECK(table.rows()[1][0].text == "radial");
  CHECK(table.rows()[1][1].text == "3");
  CHECK(table.rows()[1][3].text == "1.0");
  CHECK(detail::rigging_total(model).find("20.20 m") != std::string::npos);
}

TEST_CASE("page: pictures are files of their own with a description") {
  const std::vector<Picture> files = pictures({sample_rig(kHostile, 1.5)});
  CHECK(files.size() == 7);
  for (const Picture& picture : files) {
    CAPTURE(picture.name);
    CHECK(picture.svg.starts_with("<svg xmlns="));
    CHECK(picture.svg.find("aria-label=\"") != std::string::npos);
    CHECK(picture.svg.find("nan") == std::string::npos);
    CHECK(picture.svg.find("<img") == std::string::npos);
  }
}

TEST_CASE("page: an axis") {
  const detail::Axis even{0.0, 100.0, 50.0, 250.0};
  CHECK(even(25.0) == doctest::Approx(100.0));
  const detail::Axis logarithmic{1.0, 100.0, 0.0, 10.0, true};
  CHECK(logarithmic(10.0) == doctest::Approx(5.0));
}

TEST_CASE("page: no rigs, too many, or one without bands are refused") {
  CHECK_THROWS_AS((void)page_html({}, {}), core::Error);
  CHECK_THROWS_AS((void)page_html(std::vector<Rig>(9, sample_rig("Whip", 1.5)), {}), core::Error);
  CHECK_THROWS_AS((void)page_html({Rig{}}, {}), core::Error);
}

TEST_CASE("comparison in a terminal: bands that do not change are named, not shown") {
  std::vector<Rig> rigs{sample_rig("One", 1.5), sample_rig("Two", 1.5)};
  CHECK(compare_text(rigs).find("The same in all digits shown: 40m.") != std::string::npos);
  rigs[1] = sample_rig("Two", 3.25);
  const std::string text = compare_text(rigs);
  CHECK(text.find("same in all") == std::string::npos);
  CHECK(text.find("40m   1 ") != std::string::npos);
  CHECK(text.find("      2 ") != std::string::npos);
  rigs[1].table.bands.clear();
  const std::string lacking = compare_text(rigs);  // a rig without that band
  const std::size_t row = lacking.find("      2 ");
  REQUIRE(row != std::string::npos);
  CHECK(lacking.substr(row, lacking.find('\n', row) - row).find_first_not_of(" 2-") == std::string::npos);
}

TEST_CASE("soils in a terminal: the range holds the own value") {
  const Rig own = sample_rig("One", 1.5);
  const std::string text =
      soils_text(own.table, {{"poor", sample_rig("", 2.5).table}, {"rich", sample_rig("", 2.0).table}});
  CHECK(text.find("Over other soils: poor, rich") != std::string::npos);
  CHECK(text.find("1.50 to 2.5") != std::string::npos);
}

/// Three heights x two soils x two bands; one case failed.
SweepView sample_sweep() {
  SweepView view;
  view.title = kHostile;
  view.program = "feldspar 0";
  view.layout.cases = {{"height", 3, {{"height", "m", "height", {4.0, 8.0, 12.0}, {}}}},
                       {"ground.soil", 2, {{"ground.soil", "", "soil", {}, {"poor", kHostile}}}}};
  view.layout.spectrum = {{"frequency", 2, {{"frequency", "Hz", "frequency", {7.1e6, 14.1e6}, {}}}}};
  view.layout.frequencies = {7.1e6, 14.1e6};
  view.layout.quantities = {{"gain", "dBi", "largest gain"}, {"swr_at_radio", "1", "SWR at the radio"}};
  view.status.assign(6, results::CaseStatus::done);
  view.status[3] = results::CaseStatus::failed;
  view.failures = {{3, "the wire is <too> short"}};
  for (int i = 0; i < 12; ++i) {
    const bool failed = i / 2 == 3;
    view.columns["gain"].push_back(failed ? std::nan("") : -2.0 + i);
    view.columns["swr_at_radio"].push_back(failed ? std::nan("") : 1.5 + 0.25 * i);
  }
  return view;
}

TEST_CASE("page of a sweep: values row by row over the axes, null where there is none, texts as texts") {
  const std::string html = sweep_page_html(sample_sweep(), {"0", "feldspar report <x>.h5"});
  CHECK(html.find("<img") == std::string::npos);
  CHECK(count(html, "<script") == 3);
  CHECK(html.find(
            "5 of 6 cases done; SWR at the radio from 1.5 (height 4 m, ground.soil poor, 7.1 MHz) to 4.25") !=
        std::string::npos);
  CHECK(html.find("the wire is &lt;too&gt; short") != std::string::npos);
  const std::size_t from = html.find("id=\"data\">") + 10;
  const auto data = nlohmann::json::parse(html.substr(from, html.find("</script>", from) - from));
  const auto& sweep = data["sweep"];
  CHECK(sweep["axes"].size() == 3);
  CHECK(sweep["axes"][1]["values"][1] == kHostile);
  CHECK(sweep["axes"][2]["unit"] == "Hz");
  REQUIRE(sweep["quantities"].size() == 2);
  CHECK(sweep["quantities"][0]["name"] == "swr_at_radio");
  CHECK(sweep["quantities"][0]["logarithmic"] == true);
  CHECK(sweep["quantities"][0]["values"][5] == 2.75);
  CHECK(sweep["quantities"][0]["values"][6].is_null());
  CHECK(sweep["quantities"][1]["values"][11] == 9.0);
}

TEST_CASE("page of a sweep: what there is no room for is named") {
  const SweepView view = sample_sweep();
  CHECK(detail::sweep_grid(view, 24).left_out.empty());
  const detail::SweepGrid small = detail::sweep_grid(view, 23);
  CHECK(small.quantities.size() == 1);
  CHECK(small.left_out == std::vector<std::string>{"largest gain"});
  for (std::size_t i = 0; i < 12; ++i) CHECK(small.index(small.split(i)) == i);
}

TEST_CASE("page of a sweep: a still picture of the longest axis") {
  const std::vector<Picture> files = sweep_pictures(sample_sweep());
  REQUIRE(files.size() == 1);
  CHECK(
      files[0].svg.find("SWR at the radio along height, a line for each ground.soil, at frequency 7.1 MHz") !=
      std::string::npos);
  CHECK(files[0].svg.find("poor: 1.5 to 3.5") != std::string::npos);
  CHECK(files[0].svg.find("nan") == std::string::npos);
  SweepView nothing = sample_sweep();
  nothing.columns.clear();
  CHECK_THROWS_AS((void)sweep_pictures(nothing), core::Error);
}

}  // namespace feldspar::report
