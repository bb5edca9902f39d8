#include "report/page.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "core/error.hpp"
#include "report/page_parts_detail.hpp"
#include "report/svg_detail.hpp"
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

}  // namespace feldspar::report
