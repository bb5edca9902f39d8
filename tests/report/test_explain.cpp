#include <doctest/doctest.h>

#include <string>

#include "report/explain_text.hpp"
#include "samples.hpp"
#include "text_checks.hpp"

// The numbers are made up (samples.hpp); what is held is that the words follow from them.
namespace {

using namespace feldspar;

results::Explanation sample() {
  results::Explanation e;
  e.frequency = 7.1e6;
  e.power = 100.0;
  e.delivered = 17.0;
  e.feed_point = {120.0, 63.0};
  e.swr_at_radio = 3.0;
  e.swr_without_loss = 3.9;
  e.ratio = 9.0;
  e.best_ratio = 2.71;
  e.swr_at_best_ratio = 1.65;
  e.fed_wire = 0.296;
  e.ideals = {{"ground", "perfect ground", 48.0, 49.0, 4.8},
              {"line", "a line without loss", 12.0, 20.0, 3.7},
              {"wires", "wires without loss", 0.2, 17.1, 3.0}};
  return e;
}

/// Losses as in the sample's ideals, and whatever else is asked for.
std::string text_of(const results::Explanation& e, double two_port = 0.0, double coils = 0.0) {
  results::FrequencyResult result;
  result.explanation = e;
  result.power.radio = e.power;
  result.power.ground = 48.0;
  result.power.line_matched = 12.0;
  result.power.two_port = two_port;
  result.power.coils = coils;
  return report::explain_text(samples::model(), result);
}

using text_checks::has;

}  // namespace

TEST_CASE("explain_text: what dominates, what would change most, and why the SWR is what it is") {
  const std::string text = text_of(sample());
  CHECK(has(text, "17 W of 100 W reach the sky (-7.7 dB). Most is lost in the ground: 48 W."));
  CHECK(has(text,
            "with perfect ground 49 W (+4.6 dB, SWR 4.8); with a line without loss 20 W (+0.7 dB, SWR 3.7); "
            "into an SWR above 2 only with a tuner."));
  CHECK(text.find("wires") == std::string::npos);  // a tenth of a watt is not worth saying
  CHECK(has(text, "the feed point is 120 + j63 ohm, of a fed wire 0.30 wavelengths long."));
  CHECK(has(text,
            "As built, 9:1, that is SWR 3.9 without loss, of which loss hides a part (3.0 at the radio)."));
  CHECK(has(text, "The best ratio for it, 2.7:1, gives SWR 1.65."));
}

TEST_CASE("explain_text: the largest loss is named also where nothing ideal stands in for it") {
  results::Explanation e = sample();
  CHECK(has(text_of(e, 50.0), "Most is lost in the measured part: 50 W, which cannot be made ideal."));
  CHECK(has(text_of(e, 0.0, 50.0), "the coils and resistors: 50 W, which cannot be made ideal."));
  e.ideals.push_back({"coils", "coils without loss", 50.0, 60.0, 3.0});
  CHECK(has(text_of(e, 0.0, 50.0), "Most is lost in the coils and resistors: 50 W."));
}

TEST_CASE("explain_text: reactance is blamed only where no ratio helps") {
  results::Explanation e = sample();
  e.feed_point = {293.0, -323.0};
  e.swr_at_best_ratio = 2.6;
  e.best_ratio = 8.7;
  e.swr_at_radio = 3.8;
  const std::string text = text_of(e);
  CHECK(has(text, "its reactance is 1.1 times its resistance, and no ratio changes that"));
  CHECK(text.find("loss hides") == std::string::npos);
}

TEST_CASE("explain_text: nothing to gain, nothing delivered, no ratio known") {
  results::Explanation e = sample();
  e.ideals.resize(1);
  e.ideals[0].delivered = e.delivered;
  CHECK(has(text_of(e), "none changes what reaches the sky by half a percent"));
  e.delivered = 0.0;
  e.ratio.reset();
  CHECK(text_of(e).find("reach the sky") == std::string::npos);
  CHECK(has(text_of(e), "As built, without a ratio, that is SWR"));
}

TEST_CASE("explain_text: 80 columns") {
  text_checks::check_shape(text_of(sample()));
}
