#include "circuit/touchstone.hpp"

#include <doctest/doctest.h>
#include <fmt/format.h>

#include <cmath>
#include <random>

#include "../support/close.hpp"
#include "circuit/line.hpp"
#include "circuit/line_types.hpp"
#include "circuit/network_parameters.hpp"
#include "core/constants.hpp"
#include "core/error.hpp"

namespace feldspar::circuit {

namespace {

using Numbers = TouchstoneFormat::Numbers;
using Unit = TouchstoneFormat::Unit;
constexpr double kRounding = 1e-14;

double difference(const Complex& a, const Complex& b) {
  return std::abs(a - b);
}

/// 30 ohm in series and 0.02 S in shunt behind it, seen from port 1: not symmetric, reciprocal, passive.
TwoPort pad() {
  return cascade(series_impedance({30.0, 20.0}), shunt_admittance({0.02, 0.01}));
}

struct Row {
  const char* what;
  std::string text;
  int ports;
  double frequency;  // of the first row, Hz
  std::array<Complex, 4> s;
};

// Derived by hand from the definitions: -6.0206 dB is 0.5 within 2e-6, so MA and RI rows are exact.
const Row kGood[] = {
    {"defaults are GHz S MA R 50", "#\n0.0071 0.5 90\n", 1, 7.1e6, {Complex{0.0, 0.5}}},
    {"words of the option line in any order",
     "# ri r 75 s khz\n7100 0.25 -0.5\n",
     1,
     7.1e6,
     {Complex{0.25, -0.5}}},
    {"hertz", "# Hz S RI R 50\n7.1e6 0.25 -0.5\n", 1, 7.1e6, {Complex{0.25, -0.5}}},
    {"comments, blank lines, tabs and other line ends",
     "! measured by the boathouse\r\n\r\n#\tMHz S RI R 50 ! option\r\n 7.1\t0.25  -0.5 ! row\r\n",
     1,
     7.1e6,
     {Complex{0.25, -0.5}}},
    {"later option lines are ignored",
     "# MHz S RI R 50\n7.1 0.25 -0.5\n# GHz Z DB\n8 0.25 -0.5\n",
     1,
     7.1e6,
     {Complex{0.25, -0.5}}},
    {"a plus sign, no leading zero, exponents",
     "# MHz S RI R 50\n+7.1E+0 .25 -5e-1\n",
     1,
     7.1e6,
     {Complex{0.25, -0.5}}},
    {"zero frequency", "# MHz S RI R 50\n0 0.25 0\n", 1, 0.0, {Complex{0.25, 0.0}}},
    {"two-port rows of version 1 hold 21 before 12",
     "# MHz S RI R 50\n7.1 0.1 0 0.2 0 0.3 0 0.4 0\n",
     2,
     7.1e6,
     {Complex{0.1}, Complex{0.3}, Complex{0.2}, Complex{0.4}}},
    {"a row over three lines",
     "# MHz S RI R 50\n7.1 0.1 0\n 0.2 0 0.3 0\n 0.4 0\n14 0 0 0 0 0 0 0 0\n",
     2,
     7.1e6,
     {Complex{0.1}, Complex{0.3}, Complex{0.2}, Complex{0.4}}},
    {"noise data after the rows",
     "# MHz S RI R 50\n7 0.1 0 0.2 0 0.3 0 0.4 0\n8 0 0 0 0 0 0 0 0\n! noise\n4 .7 .64 69 .38\n8 2.7 .46 -33 "
     ".4\n",
     2,
     7e6,
     {Complex{0.1}, Complex{0.3}, Complex{0.2}, Complex{0.4}}},
    {"Z of version 1 is normalised: 2 is 100 ohm",
     "# MHz Z RI R 50\n7.1 2 0\n",
     1,
     7.1e6,
     {Complex{1.0 / 3.0}}},
    {"Y of version 1 is normalised: 2 is 25 ohm",
     "# MHz Y RI R 50\n7.1 2 0\n",
     1,
     7.1e6,
     {Complex{-1.0 / 3.0}}},
    {"version 2, one port, Z in ohm",
     "[Version] 2.0\n# MHz Z RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Network Data]\n7.1 "
     "100 0\n[End]\n",
     0,
     7.1e6,
     {Complex{1.0 / 3.0}}},
    {"version 2, one port, Y in siemens against 75 ohm",
     "[Version] 2.0\n# MHz Y RI R 50\n[Number of Ports] 1\n[Number of Frequencies] 1\n[Reference] "
     "75\n[Network Data]\n7.1 0.04 0\n[End]\n",
     0,
     7.1e6,
     {Complex{-0.5}}},
    {"version 2, 21_12",
     "[Version] 2.0\n# MHz S RI\n[Number of Ports] 2\n[Two-Port Data Order] 21_12\n[Number of Frequencies] "
     "1\n[Network Data]\n7.1 .1 0 .2 0 .3 0 .4 0\n[End]\n",
     0,
     7.1e6,
     {Complex{0.1}, Complex{0.3}, Complex{0.2}, Complex{0.4}}},
    {"version 2, 12_21",
     "[version] 2.0\n# MHz S RI\n[NUMBER  OF PORTS] 2\n[two-port data order] 12_21\n[Number of Frequencies] "
     "1\n[Matrix Format] full\n[Network Data]\n7.1 .1 0 .2 0 .3 0 .4 0\n[END]\n",
     0,
     7.1e6,
     {Complex{0.1}, Complex{0.2}, Complex{0.3}, Complex{0.4}}},
    {"version 2, lower triangle",
     "[Version] 2.1\n# MHz S RI\n[Number of Ports] 2\n[Two-Port Data Order] 21_12\n[Number of Frequencies] "
     "1\n[Matrix Format] Lower\n[Network Data]\n7.1 .1 0\n.2 0 .4 0\n[End]\n",
     0,
     7.1e6,
     {Complex{0.1}, Complex{0.2}, Complex{0.2}, Complex{0.4}}},
    {"version 2, upper triangle",
     "[Version] 2.0\n# MHz S RI\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of Frequencies] "
     "1\n[Matrix Format] Upper\n[Network Data]\n7.1 .1 0 .2 0\n.4 0\n[End]\n",
     0,
     7.1e6,
     {Complex{0.1}, Complex{0.2}, Complex{0.2}, Complex{0.4}}},
    {"version 2 with information, noise and references on lines of their own",
     "[Version] 2.0\n! two lines of text\n# MHz S RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] "
     "12_21\n[Number of Frequencies] 2\n"
     "[Number of Noise Frequencies] 1\n[Reference]\n50\n75\n[Begin Information]\n[Maker] the boat club\n7 "
     "words that mean nothing here, 1,5\n"
     "[End Information]\n[Network Data]\n7.1 .1 0 .2 0 .3 0 .4 0\n8 0 0 0 0 0 0 0 0\n[Noise Data]\n4 .7 .64 "
     "69 19\n[End]\n",
     0,
     7.1e6,
     {Complex{0.1}, Complex{0.2}, Complex{0.3}, Complex{0.4}}},
};

}  // namespace

TEST_CASE("read_touchstone: formats, units, orders and defaults") {
  for (const Row& row : kGood) {
    CAPTURE(row.what);
    const NetworkData data = read_touchstone(row.text, "table", row.ports);
    REQUIRE(!data.s.empty());
    CHECK(testing::relative_error(data.frequencies[0], row.frequency) <= kRounding);
    for (std::size_t i = 0; i < 4; ++i) CHECK(difference(data.s[0][i], row.s[i]) <= kRounding);
  }
  const NetworkData noisy = read_touchstone(kGood[9].text, "table.s2p");
  CHECK(noisy.s.size() == 2);
  CHECK(noisy.ports == 2);
  CHECK(noisy.name == "table.s2p");
  const NetworkData two = read_touchstone(std::end(kGood)[-1].text, "mine.ts");
  CHECK(two.s.size() == 2);
  CHECK(two.reference == std::array<double, 2>{50.0, 75.0});
  CHECK(read_touchstone("# MHz S RI R 50 75\n7 0 0 0 0 0 0 0 0\n", "a.s2p").reference ==
        std::array<double, 2>{50.0, 75.0});
  CHECK(read_touchstone("# MHz S DB R 50\n7 -20 180\n", "a.s1p").s[0][0].real() ==
        doctest::Approx(-0.1).epsilon(1e-14));
}

TEST_CASE("read_touchstone: the two-port forms are one network") {
  // Z and Y from circuit/network_parameters.hpp, H and G from the chain matrix by their definitions:
  // h = [b/d, (ad-bc)/d; -1/d, c/d], g = [c/a, -(ad-bc)/a; 1/a, b/a]. Reference 50 and 75 ohm.
  const TwoPort part = pad();
  const Complex a = part.a, b = part.b, c = part.c, d = part.d, det = a * d - b * c;
  const auto z = impedance_parameters(part).value();
  const auto y = admittance_parameters(part).value();
  struct Form {
    char letter;
    std::array<Complex, 4> m;
  };
  const Form kForms[] = {
      {'Z', z}, {'Y', y}, {'H', {b / d, det / d, -1.0 / d, c / d}}, {'G', {c / a, -det / a, 1.0 / a, b / a}}};
  const auto wanted = scattering(part, PortReferences{50.0, 75.0}).value();
  const auto wanted_50 = scattering(part, PortReferences{50.0, 50.0}).value();
  const auto pairs = [](const std::array<Complex, 4>& m) {
    std::string text;
    for (const Complex& v : m) text += fmt::format(" {} {}", v.real(), v.imag());
    return text;
  };
  for (const Form& form : kForms) {
    CAPTURE(form.letter);
    const std::string version_2 = fmt::format(
        "[Version] 2.0\n# MHz {} RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 12_21\n[Number of "
        "Frequencies] 1\n[Reference] 50 75\n[Network Data]\n7{}\n[End]\n",
        form.letter, pairs(form.m));
    const NetworkData data = read_touchstone(version_2, "x.ts");
    for (std::size_t i = 0; i < 4; ++i) CHECK(difference(data.s[0][i], wanted[i]) <= kRounding);

    // Version 1: normalised to 50 ohm, 21 before 12.
    std::array<Complex, 4> m = form.m;
    const double r = 50.0;
    if (form.letter == 'Z')
      for (Complex& v : m) v /= r;
    if (form.letter == 'Y')
      for (Complex& v : m) v *= r;
    if (form.letter == 'H') m = {m[0] / r, m[1], m[2], m[3] * r};
    if (form.letter == 'G') m = {m[0] * r, m[1], m[2], m[3] / r};
    std::swap(m[1], m[2]);
    const NetworkData first =
        read_touchstone(fmt::format("# MHz {} RI R 50\n7{}\n", form.letter, pairs(m)), "x.s2p");
    for (std::size_t i = 0; i < 4; ++i) CHECK(difference(first.s[0][i], wanted_50[i]) <= kRounding);
  }
}

namespace {

struct BadRow {
  const char* what;
  std::string text;
  int ports;
  int line;
  const char* says;
};

const std::string kHead2 =
    "[Version] 2.0\n# MHz S RI R 50\n[Number of Ports] 2\n[Two-Port Data Order] 21_12\n[Number of "
    "Frequencies] 2\n";
const std::string kRows2 = "[Network Data]\n7 0 0 0 0 0 0 0 0\n8 0 0 0 0 0 0 0 0\n";

std::string replaced(std::string text, const std::string& old, const std::string& fresh) {
  REQUIRE(text.find(old) != std::string::npos);
  return text.replace(text.find(old), old.size(), fresh);
}

std::vector<BadRow> bad_files() {
  const std::string one = "# MHz S RI R 50\n7 0.1 0\n8 0.1 0\n";
  const std::string two = "# MHz S RI R 50\n7 0 0 0 0 0 0 0 0\n8 0 0 0 0 0 0 0 0\n";
  const std::string v2 = kHead2 + kRows2 + "[End]\n";
  return {
      {"empty", "", 1, 1, "empty"},
      {"only comments", "! nothing\n! here\n", 1, 1, "empty"},
      {"no rows", "# MHz S RI R 50\n! and then\n", 1, 2, "rows of numbers"},
      {"binary", "# MHz S RI R 50\n7 \x01\x02\n", 1, 2, "plain text"},
      {"binary in a comment", std::string("# MHz S RI R 50\n7 0 0 ! \0\n", 26), 1, 2, "plain text"},
      {"other text", "frequency,r,x\n7,50,0\n", 1, 1, "option line"},
      {"no option line", "! x\n7 0.1 0\n", 1, 2, "option line"},
      {"unknown unit", replaced(one, "MHz", "THz"), 1, 1, "'THz'"},
      {"unknown format", replaced(one, "RI", "XY"), 1, 1, "'XY'"},
      {"unknown parameter", replaced(one, " S ", " T "), 1, 1, "'T'"},
      {"unit twice", replaced(one, "MHz", "MHz GHz"), 1, 1, "twice"},
      {"no resistance after R", replaced(one, "R 50", "R"), 1, 1, "after R"},
      {"reference zero", replaced(one, "R 50", "R 0"), 1, 1, "above zero"},
      {"reference negative", replaced(one, "R 50", "R -50"), 1, 1, "above zero"},
      {"two references of a one-port", replaced(one, "R 50", "R 50 75"), 1, 1, "'75'"},
      {"H of a one-port", replaced(one, " S ", " H "), 1, 1, "two ports"},
      {"word in a row", replaced(one, "8 0.1", "8 O.1"), 1, 3, "'O.1'"},
      {"decimal comma", replaced(one, "8 0.1", "8 0,1"), 1, 3, "point for the decimals"},
      {"NaN", replaced(one, "8 0.1", "8 NaN"), 1, 3, "finite"},
      {"infinite", replaced(one, "8 0.1", "8 -inf"), 1, 3, "finite"},
      {"too large", replaced(one, "8 0.1", "8 1e999"), 1, 3, "finite"},
      {"decibels beyond all numbers", "# MHz S DB R 50\n7 1e5 0\n", 1, 2, "scattering"},
      {"negative frequency", replaced(one, "7 0.1", "-7 0.1"), 1, 2, "zero or above"},
      {"repeated frequency", replaced(one, "8 0.1", "7 0.1"), 1, 3, "above 7 MHz"},
      {"descending frequency", replaced(one, "8 0.1", "6 0.1"), 1, 3, "found 6 MHz"},
      {"descending in a two-port", replaced(two, "8 0", "6 0"), 2, 3, "found 6 MHz"},
      {"cut off in a row", "# MHz S RI R 50\n7 0 0 0 0 0 0 0 0\n8 0 0 0 0\n", 2, 3, "5 and then the end"},
      {"cut off in a pair", "# MHz S RI R 50\n7 0 0 0 0 0 0 0 0\n8 0 0 0\n", 2, 3, "found 4"},
      {"one-port rows for a two-port", one + "9 0.1 0\n", 2, 2, "line 3 3 more"},
      {"two-port rows for a one-port", two, 1, 2, "found 9"},
      {"a value too many", replaced(two, "8 0", "8 0 0"), 2, 3, "found 10"},
      {"a pair too many", replaced(two, "8 0", "8 0 0 0"), 2, 3, "found 11"},
      {"noise with a row too short", two + "4 1 1 1 1\n5 1 1 1\n", 2, 5, "five values"},
      {"keyword in version 1", two + "[End]\n", 2, 4, "[Version] 2.0"},
      {"no S at all", "# MHz Z RI R 50\n7 0 0\n8 -1 0\n", 1, 3, "scattering"},
      {"version 3", replaced(v2, "2.0", "3.0"), 0, 1, "'3.0'"},
      {"no version", replaced(v2, "[Version] 2.0", "[Version]"), 0, 1, "one value"},
      {"no end", kHead2 + kRows2, 0, 8, "[End]"},
      {"more after the end", v2 + "9 0 0\n", 0, 10, "after [End]"},
      {"three ports", replaced(v2, "[Number of Ports] 2", "[Number of Ports] 3"), 0, 3,
       "only one- and two-ports"},
      {"a one-port wanted", v2, 1, 3, "one-port here"},
      {"half a port", replaced(v2, "[Number of Ports] 2", "[Number of Ports] 1.5"), 0, 3, "whole number"},
      {"no number of ports", replaced(v2, "[Number of Ports] 2\n", ""), 0, 5, "[Number of Ports]"},
      {"no number of frequencies", replaced(v2, "[Number of Frequencies] 2\n", ""), 0, 5,
       "[Number of Frequencies]"},
      {"no order", replaced(v2, "[Two-Port Data Order] 21_12\n", ""), 0, 5, "21_12"},
      {"unknown order", replaced(v2, "21_12", "22_11"), 0, 4, "'22_11'"},
      {"no option line in version 2", replaced(v2, "# MHz S RI R 50\n", ""), 0, 5, "option line"},
      {"a second option line in the rows", replaced(v2, "8 0", "# GHz\n8 0"), 0, 8, "second option line"},
      {"unknown keyword", replaced(v2, "[Network", "[Nettwork"), 0, 6, "[nettwork data]"},
      {"a bracket that is not closed", replaced(v2, "[Network Data]", "[Network Data"), 0, 6, "closes"},
      {"keyword twice", replaced(v2, "[Network", "[Number of Ports] 2\n[Network"), 0, 6, "second time"},
      {"numbers before the rows", replaced(v2, "[Network", "7 0 0\n[Network"), 0, 6, "'7'"},
      {"a row too few", replaced(v2, "8 0 0 0 0 0 0 0 0\n", ""), 0, 8, "found 1"},
      {"a row too many", replaced(v2, "[End]", "9 0 0 0 0 0 0 0 0\n[End]"), 0, 9, "found more"},
      {"a reference too few", kHead2 + "[Reference] 50\n" + kRows2 + "[End]\n", 0, 6, "found 1"},
      {"a reference too many", kHead2 + "[Reference] 50 50 50\n" + kRows2 + "[End]\n", 0, 6, "found more"},
      {"a reference of zero", kHead2 + "[Reference] 50 0\n" + kRows2 + "[End]\n", 0, 6, "above zero"},
      {"unknown matrix format", kHead2 + "[Matrix Format] Half\n" + kRows2 + "[End]\n", 0, 6, "'Half'"},
      {"mixed modes", kHead2 + "[Mixed-Mode Order] D1,2\n" + kRows2 + "[End]\n", 0, 6, "mixed modes"},
      {"information without end", kHead2 + "[Begin Information]\n" + kRows2 + "[End]\n", 0, 6,
       "[End Information]"},
      {"noise rows missing",
       kHead2 + "[Number of Noise Frequencies] 2\n" + kRows2 + "[Noise Data]\n4 1 1 1 1\n[End]\n", 0, 11,
       "found 1"},
      {"descending in version 2", replaced(v2, "8 0", "6 0"), 0, 8, "found 6 MHz"},
  };
}

}  // namespace

TEST_CASE("read_touchstone: a bad file is refused with its line") {
  for (const BadRow& row : bad_files()) {
    CAPTURE(row.what);
    try {
      (void)read_touchstone(row.text, "bad", row.ports);
      FAIL_CHECK("was read");
    } catch (const core::Error& error) {
      CAPTURE(error.what());
      CHECK(error.kind() == core::ErrorKind::model);
      CHECK(error.place().file == "bad");
      CHECK(error.place().line == row.line);
      CHECK(error.place().column >= 1);
      CHECK(error.message().find(row.says) != std::string::npos);
      CHECK(error.message().find("expected") + error.message().find("the option line says") != 0);
    }
  }
}

TEST_CASE("read_touchstone: no prefix of a file and no changed byte breaks the reader") {
  // Every outcome is data or a core::Error; anything else ends the test program.
  const std::string text = std::end(kGood)[-1].text;
  for (std::size_t n = 0; n < text.size() - 1; ++n) {
    CAPTURE(n);
    const bool whole = text.find_first_not_of("\n", n) == std::string::npos;
    if (!whole) CHECK_THROWS_AS((void)read_touchstone(text.substr(0, n), "cut.ts"), core::Error);
  }
  std::mt19937 random(7);  // fixed seed
  std::uniform_int_distribution<std::size_t> place(0, text.size() - 1);
  std::uniform_int_distribution<int> byte(0, 255);
  int read = 0;
  for (int i = 0; i < 20000; ++i) {
    std::string changed = text;
    for (int k = 0; k < 1 + i % 3; ++k) changed[place(random)] = static_cast<char>(byte(random));
    try {
      const NetworkData data = read_touchstone(changed, "changed.ts");
      ++read;
      for (const auto& row : data.s)
        for (const Complex& value : row) CHECK(std::isfinite(std::abs(value)));
    } catch (const core::Error&) {
    }
  }
  CHECK(read > 0);  // in the information and in digits nothing is wrong
}

TEST_CASE("touchstone_ports: by the name") {
  CHECK(touchstone_ports("mine.s1p") == 1);
  CHECK(touchstone_ports("folder.s1p/Choke.S2P") == 2);
  CHECK(touchstone_ports("mine.ts") == 0);
  CHECK(touchstone_ports("mine") == 0);
  CHECK(touchstone_ports("mine.sp") == 0);
  CHECK_THROWS_WITH_AS((void)touchstone_ports("mine.s3p"), doctest::Contains("only one- and two-ports"),
                       core::Error);
  CHECK_THROWS_AS((void)touchstone_ports("mine.s12p"), core::Error);
  CHECK_THROWS_WITH_AS((void)read_touchstone("# MHz\n7 0 0\n", "mine.s1p", 2), doctest::Contains("two-port"),
                       core::Error);
  CHECK_THROWS_WITH_AS((void)read_touchstone("# MHz\n7 0 0\n", "mine.txt"), doctest::Contains(".s1p or .s2p"),
                       core::Error);
}

TEST_CASE("write_touchstone: reads back within 1e-12") {
  std::mt19937 random(11);  // fixed seed
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  for (const int ports : {1, 2}) {
    NetworkData data;
    data.ports = ports;
    data.reference = ports == 2 ? std::array<double, 2>{50.0, 75.0 / 0.7} : std::array<double, 2>{37.5, 37.5};
    data.name = "random";
    for (int i = 0; i < 40; ++i) {
      data.frequencies.push_back(1.8e6 + 1e6 / 3.0 * i);
      std::array<Complex, 4> row{};
      for (std::size_t e = 0; e < (ports == 2 ? 4 : 1); ++e) row[e] = {unit(random), unit(random)};
      if (i == 3) row = {};                             // no decibels
      if (i == 4) row[0] = {1e-9 * unit(random), 0.0};  // many
      data.s.push_back(row);
    }
    for (const int version : {1, 2})
      for (const Numbers numbers :
           {Numbers::real_imaginary, Numbers::magnitude_angle, Numbers::decibel_angle})
        for (const Unit measure : {Unit::hz, Unit::khz, Unit::mhz, Unit::ghz}) {
          CAPTURE(version);
          CAPTURE(static_cast<int>(numbers));
          const std::string text =
              write_touchstone(data, {version, numbers, measure, {"# of a boathouse [End]\n7 0 0"}});
          const NetworkData back = read_touchstone(text, "back", ports);
          REQUIRE(back.s.size() == data.s.size());
          CHECK(back.reference == data.reference);
          for (std::size_t i = 0; i < data.s.size(); ++i) {
            CHECK(testing::relative_error(back.frequencies[i], data.frequencies[i]) <= 1e-12);
            for (std::size_t e = 0; e < 4; ++e) CHECK(difference(back.s[i][e], data.s[i][e]) <= 1e-12);
          }
        }
  }
}

TEST_CASE("write_touchstone: refuses what is no network") {
  const NetworkData good{1, {1e6, 2e6}, {{}, {}}, {50.0, 50.0}, "x"};
  CHECK_NOTHROW((void)write_touchstone(good));
  NetworkData data = good;
  data.frequencies = {2e6, 1e6};
  CHECK_THROWS_AS((void)write_touchstone(data), core::Error);
  data = good;
  data.reference[0] = 0.0;
  CHECK_THROWS_AS((void)write_touchstone(data), core::Error);
  data = good;
  data.s.pop_back();
  CHECK_THROWS_AS((void)write_touchstone(data), core::Error);
  data = good;
  data.ports = 3;
  CHECK_THROWS_AS((void)write_touchstone(data), core::Error);
  data = good;
  data.s[0][0] = std::nan("");
  CHECK_THROWS_AS((void)write_touchstone(data), core::Error);
}

namespace {

/// A short whip's resistance, inductance and capacitance behind 12 m of RG-58: a known curve that turns.
Complex line_and_rlc(double f) {
  const double w = 2.0 * core::kPi * f;
  const Complex load{36.0, w * 5e-6 - 1.0 / (w * 40e-12)};
  Line line = *line_type("RG-58");
  return line_input(line_constants(line, core::Frequency{f}), 12.0, load);
}

NetworkData sampled(double step) {
  NetworkData data{1, {}, {}, {50.0, 50.0}, "line and rlc"};
  for (double f = 5e6; f <= 30.0001e6; f += step) {
    data.frequencies.push_back(f);
    data.s.push_back({reflection_coefficient(line_and_rlc(f), 50.0)});
  }
  return data;
}

/// Largest error of the reflection coefficient between the rows.
double worst(const NetworkData& data) {
  double error = 0.0;
  for (double f = 5e6; f <= 30e6; f += 17e3)
    error = std::max(error, difference(scattering_at(data, core::Frequency{f})[0],
                                       reflection_coefficient(line_and_rlc(f), 50.0)));
  return error;
}

/// Largest |d4 S / d f4|, by differences of 20 kHz; their own error is a few per cent.
double fourth_derivative() {
  constexpr double h = 20e3;
  const auto s = [](double f) { return reflection_coefficient(line_and_rlc(f), 50.0); };
  double most = 0.0;
  for (double f = 5e6; f <= 30e6; f += h)
    most =
        std::max(most, std::abs(s(f - 2 * h) - 4.0 * s(f - h) + 6.0 * s(f) - 4.0 * s(f + h) + s(f + 2 * h)));
  return most / std::pow(h, 4);
}

}  // namespace

TEST_CASE("scattering_at: a line with an RLC at its end between rows") {
  // Derived: with D the largest fourth derivative of S, a cubic through four even rows errs by at most
  // h^4 D 9/384 inside and h^4 D / 24 beside the ends. The whip's resonance moves S by 0.4 in 0.5 MHz: such
  // rows are too wide (0.02 wrong), those of 0.1 MHz are not (4e-5).
  const double fourth = fourth_derivative();
  double last = 0.0;
  for (const double step : {0.5e6, 0.25e6, 0.1e6}) {
    CAPTURE(step);
    const double error = worst(sampled(step));
    CHECK(error <= std::pow(step, 4) * fourth / 24.0);
    if (last > 0.0) CHECK(error <= last / 8.0);  // fourth order, not second
    last = error;
  }
  CHECK(last <= 1e-4);
}

TEST_CASE("scattering_at: rows as they stand, ends, and rows that lie close together") {
  const NetworkData data = sampled(0.5e6);
  for (const std::size_t i : {std::size_t{0}, std::size_t{1}, std::size_t{7}, data.s.size() - 1})
    CHECK(difference(scattering_at(data, core::Frequency{data.frequencies[i]})[0], data.s[i][0]) == 0.0);
  CHECK(covers(data, 5e6));
  CHECK(covers(data, 5e6 * (1.0 - 1e-10)));
  CHECK_FALSE(covers(data, 4.99e6));
  CHECK_FALSE(covers(NetworkData{}, 4.99e6));
  CHECK_THROWS_WITH_AS((void)scattering_at(data, core::Frequency{4.99e6}),
                       doctest::Contains("from 5 to 30 MHz"), core::Error);
  // Two rows 1 Hz apart whose values differ by rounding of the file: a plain cubic would be 1e5 times off.
  NetworkData close{1, {6e6, 7e6, 7.000001e6, 8e6}, {{0.1}, {0.2}, {0.2001}, {0.3}}, {50.0, 50.0}, "close"};
  for (double f = 6e6; f <= 8e6; f += 0.05e6) {
    const double s = scattering_at(close, core::Frequency{f})[0].real();
    CHECK(std::abs(s - (0.1 + (f - 6e6) * 1e-7)) <= 2e-3);
  }
  const NetworkData single{1, {7e6}, {{0.5}}, {50.0, 50.0}, "single"};
  CHECK(scattering_at(single, core::Frequency{7e6})[0] == 0.5);
}

TEST_CASE("scattering_at: never makes power between passive rows") {
  std::mt19937 random(3);  // fixed seed
  std::uniform_real_distribution<double> angle(-core::kPi, core::kPi);
  NetworkData data{2, {}, {}, {50.0, 50.0}, "lossless"};
  for (int i = 0; i < 60; ++i) {  // unitary: cos, sin with phases
    const double t = angle(random), p = angle(random), q = angle(random), m = angle(random);
    data.frequencies.push_back(1e6 * (i + 1));
    data.s.push_back({std::polar(std::cos(t), p), std::polar(std::sin(t), m),
                      std::polar(std::sin(t), p + q - m + core::kPi), std::polar(std::cos(t), q)});
  }
  check_passive(data);
  for (double f = 1e6; f <= 60e6; f += 0.13e6)
    CHECK(largest_power_ratio(scattering_at(data, core::Frequency{f})) <= 1.0 + 1e-12);
}

TEST_CASE("one_port_impedance: values, an open and a short") {
  const NetworkData data{
      1, {1e6, 2e6, 3e6, 4e6}, {{1.0 / 3.0}, {1.0}, {-1.0}, {Complex{0.0, 1.0005}}}, {50.0, 50.0}, "x"};
  CHECK(difference(one_port_impedance(data, core::Frequency{1e6}), 100.0) <= 1e-12);
  CHECK(one_port_impedance(data, core::Frequency{2e6}).real() >= 1e11);
  CHECK(std::abs(one_port_impedance(data, core::Frequency{3e6})) <= 1e-9);
  const Complex rounded =
      one_port_impedance(data, core::Frequency{4e6});  // |S| above 1 by rounding of the file
  CHECK(rounded.real() >= 0.0);
  CHECK(difference(rounded, Complex{0.0, 50.0}) <= 1e-9);
  NetworkData two = data;
  two.ports = 2;
  CHECK_THROWS_AS((void)one_port_impedance(two, core::Frequency{1e6}), core::Error);
  CHECK_THROWS_AS((void)two_port_at(data, core::Frequency{1e6}), core::Error);
}

TEST_CASE("two_port_at: a cable and a pad come back as chain matrices") {
  Line line = *line_type("RG-58");
  line.length = 2.0;
  for (const auto& reference : {std::array<double, 2>{50.0, 50.0}, std::array<double, 2>{50.0, 450.0}}) {
    NetworkData data{2, {}, {}, reference, "cable and pad"};
    const auto part = [&](double f) {
      return cascade(line_two_port(line_constants(line, core::Frequency{f}), line.length), pad());
    };
    for (double f = 5e6; f < 30.1e6; f += 1e6) {
      data.frequencies.push_back(f);
      data.s.push_back(scattering(part(f), PortReferences{reference[0], reference[1]}).value());
    }
    check_passive(data);
    for (const double f : {5e6, 7e6, 29e6}) {
      const TwoPort found = two_port_at(data, core::Frequency{f});
      const TwoPort wanted = part(f);
      CHECK(testing::relative_error(found.a, wanted.a) <= 1e-12);
      CHECK(testing::relative_error(found.b, wanted.b) <= 1e-12);
      CHECK(testing::relative_error(found.c, wanted.c) <= 1e-12);
      CHECK(testing::relative_error(found.d, wanted.d) <= 1e-12);
    }
    // Between rows: 2 m turn 2 beta l = 7 degrees a row; 0.023 p^4 is 5e-6, amplified by the conversion.
    const double f = 14.5e6;
    CHECK(testing::relative_error(input_impedance(two_port_at(data, core::Frequency{f}), 50.0),
                                  input_impedance(part(f), 50.0)) <= 1e-4);
  }
  const NetworkData wall{2, {1e6}, {{1.0, 0.0, 0.0, 1.0}}, {50.0, 50.0}, "wall.s2p"};
  CHECK_THROWS_WITH_AS((void)two_port_at(wall, core::Frequency{1e6}), doctest::Contains("nothing passes"),
                       core::Error);
}

TEST_CASE("two_port_at: turned round it is seen from port 2, also where power passes one way only") {
  // Derived: with a load of reflection r at port 1, port 2 shows s22 + s12 s21 r / (1 - s11 r).
  const core::Frequency f{7e6};
  NetworkData data{2, {f.si}, {{{0.1, 0.2}, {0.5, -0.1}, {0.3, 0.3}, {-0.2, 0.1}}}, {75.0, 50.0}, "part.s2p"};
  const Complex load{120.0, -40.0};
  const Complex r = reflection_coefficient(load, 75.0);
  for (const Complex s21 : {Complex{0.3, 0.3}, Complex{0.0}}) {
    data.s[0][2] = s21;
    const Complex seen = data.s[0][3] + data.s[0][1] * s21 * r / (1.0 - data.s[0][0] * r);
    CHECK(testing::relative_error(input_impedance(two_port_at(data, f, true), load),
                                  impedance_from_reflection(seen, 50.0)) <= 1e-12);
  }
  CHECK_THROWS_WITH_AS((void)two_port_at(data, f), doctest::Contains("from port 1 to port 2"), core::Error);
  std::swap(data.s[0][1], data.s[0][2]);
  CHECK_THROWS_WITH_AS((void)two_port_at(data, f, true), doctest::Contains("from port 2 to port 1"),
                       core::Error);
}

TEST_CASE("check_passive: a network that makes power is named with its frequency") {
  const NetworkData good{1, {1e6, 7.1e6}, {{1.0}, {Complex{0.0, 1.0009}}}, {50.0, 50.0}, "good.s1p"};
  CHECK_NOTHROW(check_passive(good));
  const NetworkData bad{1, {1e6, 7.1e6}, {{1.0}, {Complex{0.0, 1.0011}}}, {50.0, 50.0}, "bad.s1p"};
  CHECK_THROWS_WITH_AS(check_passive(bad), doctest::Contains("7.1 MHz"), core::Error);
  // Each column below 1, together above: what the columns' sums would not show.
  const NetworkData sly{2, {7.1e6}, {{0.7, 0.7, 0.7, 0.7}}, {50.0, 50.0}, "sly.s2p"};
  CHECK_THROWS_WITH_AS(check_passive(sly), doctest::Contains("two-port"), core::Error);
}

TEST_CASE("step_around: how far the rows about a frequency lie apart") {
  NetworkData data;
  data.ports = 2;
  data.frequencies = {1e6, 2e6, 3e6};
  data.s = {{0.0, 1.0, 1.0, 0.0}, {0.0, -1.0, 1.0, 0.0}, {0.1, -1.0, 1.0, 0.0}};
  CHECK(step_around(data, core::Frequency{1.5e6}) == 2.0);
  CHECK(step_around(data, core::Frequency{2.5e6}) == 0.1);
  for (const double f : {0.5e6, 1e6, 2e6, 3e6, 4e6}) CHECK(step_around(data, core::Frequency{f}) == 0.0);
  data.ports = 1;  // only s11 counts
  CHECK(step_around(data, core::Frequency{1.5e6}) == 0.0);
}

}  // namespace feldspar::circuit
