#include <fmt/format.h>

#include <cmath>

#include "core/constants.hpp"
#include "model/functions_detail.hpp"

namespace feldspar::model::detail {

namespace {

using Arguments = std::span<const Value>;

struct Constant {
  std::string_view name;
  Value value;
};

// Heights of a wire's axis that lies on the ground: our own round numbers.
constexpr Constant kConstants[] = {
    {"pi", {core::kPi, dimension::kNumber}},     {"speed_of_light", {core::kSpeedOfLight, dimension::kSpeed}},
    {"bare_soil", {2e-3, dimension::kLength}},   {"mown_grass", {20e-3, dimension::kLength}},
    {"long_grass", {50e-3, dimension::kLength}},
};

void need(const Value& argument, const Dimension& wanted, std::string_view function,
          std::string_view example) {
  if (argument.dimension == wanted) return;
  throw FunctionError{fmt::format("{}() needs {} such as {}, found {}", function, describe(wanted), example,
                                  describe(argument))};
}

void need_plain(const Value& argument, std::string_view function) {
  need(argument, dimension::kNumber, function, "0.5");
}

void need_domain(bool inside, std::string_view function, const Value& argument, std::string_view domain) {
  if (!inside) throw FunctionError{fmt::format("{}({}): {}", function, format(argument), domain)};
}

void need_alike(Arguments a, std::string_view function) {
  for (const Value& v : a)
    if (!(v.dimension == a[0].dimension))
      throw FunctionError{fmt::format("{}() needs quantities of one kind, found {} and {}", function,
                                      describe(a[0]), describe(v))};
}

Value plain(double x) {
  return {x, dimension::kNumber};
}
Value angle(double x) {
  return {x, dimension::kAngle};
}

template <double (*function)(double)>
Value of_angle(std::string_view name, Arguments a) {
  if (!(a[0].dimension == dimension::kAngle) && !a[0].dimension.plain())
    need(a[0], dimension::kAngle, name, "30 deg");
  return plain(function(a[0].si));
}

template <double (*function)(double)>
Value of_number(std::string_view name, Arguments a) {
  need_plain(a[0], name);
  return plain(function(a[0].si));
}

template <double (*function)(double)>
Value arc(std::string_view name, Arguments a) {
  need_plain(a[0], name);
  need_domain(std::abs(a[0].si) <= 1.0, name, a[0], "the number must lie between -1 and 1");
  return angle(function(a[0].si));
}

template <double (*function)(double)>
Value logarithm(std::string_view name, Arguments a) {
  need_plain(a[0], name);
  need_domain(a[0].si > 0.0, name, a[0], "the number must be positive");
  return plain(function(a[0].si));
}

Value wavelength(std::string_view name, Arguments a) {
  need(a[0], dimension::kFrequency, name, "7.1 MHz");
  need_domain(a[0].si > 0.0, name, a[0], "the frequency must be positive");
  return {core::kSpeedOfLight / a[0].si, dimension::kLength};
}

Value square_root(std::string_view name, Arguments a) {
  need_domain(a[0].si >= 0.0, name, a[0], "there is no root of a negative number");
  return {std::sqrt(a[0].si), power(a[0].dimension, 0.5)};
}

Value smallest(std::string_view name, Arguments a) {
  need_alike(a, name);
  Value best = a[0];
  for (const Value& v : a) best.si = std::fmin(best.si, v.si);
  return best;
}

Value largest(std::string_view name, Arguments a) {
  need_alike(a, name);
  Value best = a[0];
  for (const Value& v : a) best.si = std::fmax(best.si, v.si);
  return best;
}

Value hypotenuse(std::string_view name, Arguments a) {
  need_alike(a, name);
  return {std::hypot(a[0].si, a[1].si), a[0].dimension};
}

Value arc_of_two(std::string_view name, Arguments a) {
  need_alike(a, name);
  return angle(std::atan2(a[0].si, a[1].si));
}

struct Function {
  std::string_view name;
  std::size_t fewest;
  std::size_t most;
  Value (*call)(std::string_view, Arguments);
};

constexpr std::size_t kMany = 20;

constexpr Function kFunctions[] = {
    {"wavelength", 1, 1, wavelength},
    {"sqrt", 1, 1, square_root},
    {"abs", 1, 1,
     [](std::string_view, Arguments a) {
       return Value{std::abs(a[0].si), a[0].dimension};
     }},
    {"min", 1, kMany, smallest},
    {"max", 1, kMany, largest},
    {"hypot", 2, 2, hypotenuse},
    {"exp", 1, 1, of_number<std::exp>},
    {"ln", 1, 1, logarithm<std::log>},
    {"log10", 1, 1, logarithm<std::log10>},
    {"floor", 1, 1, of_number<std::floor>},
    {"ceil", 1, 1, of_number<std::ceil>},
    {"round", 1, 1, of_number<std::round>},
    {"sin", 1, 1, of_angle<std::sin>},
    {"cos", 1, 1, of_angle<std::cos>},
    {"tan", 1, 1, of_angle<std::tan>},
    {"asin", 1, 1, arc<std::asin>},
    {"acos", 1, 1, arc<std::acos>},
    {"atan", 1, 1,
     [](std::string_view name, Arguments a) {
       need_plain(a[0], name);
       return angle(std::atan(a[0].si));
     }},
    {"atan2", 2, 2, arc_of_two},
};

}  // namespace

std::optional<Value> constant(std::string_view name) {
  for (const Constant& row : kConstants)
    if (row.name == name) return row.value;
  return std::nullopt;
}

bool is_function(std::string_view name) {
  for (const Function& row : kFunctions)
    if (row.name == name) return true;
  return false;
}

Value apply(std::string_view function, std::span<const Value> arguments) {
  for (const Function& row : kFunctions) {
    if (row.name != function) continue;
    if (arguments.size() < row.fewest || arguments.size() > row.most)
      throw FunctionError{fmt::format("{}() takes {} value{}, found {}", function,
                                      row.most == kMany ? std::string("1 to 20") : fmt::to_string(row.fewest),
                                      row.most == 1 ? "" : "s", arguments.size())};
    return row.call(function, arguments);
  }
  throw FunctionError{fmt::format("there is no function {}()", function)};
}

std::vector<std::string> constant_names() {
  std::vector<std::string> names;
  for (const Constant& row : kConstants) names.emplace_back(row.name);
  return names;
}

std::vector<std::string> function_names() {
  std::vector<std::string> names;
  for (const Function& row : kFunctions) names.emplace_back(row.name);
  return names;
}

}  // namespace feldspar::model::detail
