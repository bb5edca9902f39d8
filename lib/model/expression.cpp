#include "model/expression.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "model/functions_detail.hpp"
#include "model/nearest.hpp"
#include "model/units.hpp"

namespace feldspar::model {

namespace {

constexpr int kDeepest = 60;

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}
bool is_letter(char c) {  // bytes of letters outside ASCII too: the micro and ohm signs
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '_' ||
         static_cast<unsigned char>(c) >= 0x80;
}

bool is_typographic_minus(std::string_view name) {
  return name.substr(0, 3) == "\u2212";
}

/// Recursive descent over the text; one value per rule, nothing is stored.
class Parser {
 public:
  Parser(std::string_view text, const Scope& scope) : text_(text), scope_(scope) {}

  Evaluation run() {
    if (text_.size() > kLongestExpression)
      fail(0, fmt::format("the expression is longer than {} characters; split it into parameters",
                          kLongestExpression));
    skip();
    if (done()) fail(0, "the text is empty; expected a quantity such as \"5.2 m\"");
    Evaluation result;
    result.bare_number = is_bare_number();
    result.value = comparison();
    skip();
    if (!done()) unexpected();
    if (!std::isfinite(result.value.si)) fail(0, "the result is not a finite number");
    return result;
  }

 private:
  // --- text -------------------------------------------------------------------------------------------
  [[nodiscard]] bool done() const { return at_ >= text_.size(); }
  [[nodiscard]] char peek() const { return done() ? '\0' : text_[at_]; }
  void skip() {
    while (!done() && (peek() == ' ' || peek() == '\t' || peek() == '\n' || peek() == '\r')) ++at_;
  }
  bool take(std::string_view token) {
    skip();
    if (text_.substr(at_, token.size()) != token) return false;
    at_ += token.size();
    return true;
  }
  [[nodiscard]] std::string_view name_ahead() {
    skip();
    std::size_t end = at_;
    if (end < text_.size() && is_letter(text_[end]))
      while (end < text_.size() && (is_letter(text_[end]) || is_digit(text_[end]))) ++end;
    return text_.substr(at_, end - at_);
  }
  [[nodiscard]] bool number_ahead() {
    skip();
    return is_digit(peek()) || (peek() == '.' && at_ + 1 < text_.size() && is_digit(text_[at_ + 1]));
  }
  [[noreturn]] static void fail(std::size_t offset, std::string message) {
    throw ExpressionError{std::move(message), offset};
  }
  [[noreturn]] void unexpected() {
    skip();
    if (done()) fail(at_, "the expression ends too early");
    const std::string_view name = name_ahead();
    if (is_typographic_minus(name)) fail(at_, "write the minus sign as a plain hyphen (-)");
    if (!name.empty())
      fail(at_, fmt::format("an operator is missing before '{}'; write * for a product", name));
    if (number_ahead())
      fail(at_, "an operator is missing before this number; feet and inches are written \"17 ft + 3 in\"");
    if (peek() == ',') fail(at_, "a comma does not belong here; decimals are written with a point");
    if (peek() == '\'' || peek() == '"') fail(at_, "feet and inches are written \"17 ft + 3 in\"");
    fail(at_, fmt::format("did not expect '{}' here", peek()));
  }
  [[nodiscard]] bool is_bare_number() {
    std::size_t from = at_;
    if (from < text_.size() && (text_[from] == '-' || text_[from] == '+')) ++from;
    double ignored = 0.0;
    const char* end = text_.data() + text_.size();
    if (from < text_.size() && !is_digit(text_[from]) && text_[from] != '.') return false;
    const auto [stop, error] = std::from_chars(text_.data() + from, end, ignored);
    const std::string_view rest(stop, static_cast<std::size_t>(end - stop));
    return error == std::errc{} && rest.find_first_not_of(" \t\r\n") == std::string_view::npos;
  }

  // --- rules, from weakest to strongest --------------------------------------------------------------
  Value comparison() {
    const Value left = sum();
    skip();
    const std::size_t here = at_;
    for (const std::string_view sign : {"<=", ">=", "==", "!=", "<", ">"}) {
      if (!take(sign)) continue;
      const Value right = sum();
      need_alike(left, right, here, "compare");
      const double a = left.si, b = right.si;
      const bool holds = sign == "<="   ? a <= b
                         : sign == ">=" ? a >= b
                         : sign == "==" ? a == b
                         : sign == "!=" ? a != b
                         : sign == "<"  ? a < b
                                        : a > b;
      return {holds ? 1.0 : 0.0, dimension::kNumber};
    }
    return left;
  }

  Value sum() {
    Value left = product();
    for (;;) {
      skip();
      const std::size_t here = at_;
      const char sign = peek();
      if (sign != '+' && sign != '-') return left;
      ++at_;
      const Value right = product();
      need_alike(left, right, here, sign == '+' ? "add" : "subtract");
      left.si += sign == '+' ? right.si : -right.si;
    }
  }

  Value product() {
    Value left = signed_value();
    for (;;) {
      skip();
      const std::size_t here = at_;
      const char sign = peek();
      if (sign != '*' && sign != '/') return left;
      ++at_;
      unit_may_stand_alone_ = true;
      const Value right = signed_value();
      unit_may_stand_alone_ = false;
      if (sign == '/' && right.si == 0.0) fail(here, "division by zero");
      left = sign == '*' ? Value{left.si * right.si, left.dimension * right.dimension}
                         : Value{left.si / right.si, left.dimension / right.dimension};
      drop_radian(left.dimension);
    }
  }

  static void drop_radian(Dimension& dimension) {  // an arc, radius times angle, is a length
    Dimension rest = dimension;
    rest.exponent[Dimension::radian] = 0.0;
    if (!rest.plain()) dimension = rest;
  }

  Value signed_value() {
    const Depth depth(*this);
    if (take("-")) {
      unit_may_stand_alone_ = false;
      Value value = signed_value();
      value.si = -value.si;
      return value;
    }
    if (take("+")) {
      unit_may_stand_alone_ = false;
      return signed_value();
    }
    return raised();
  }

  Value raised() {
    const Value base = with_unit();
    skip();
    const std::size_t here = at_;
    if (!take("^")) return base;
    const Value exponent = signed_value();
    if (!exponent.dimension.plain())
      fail(here, fmt::format("an exponent must be a plain number, found {}", describe(exponent)));
    const Value result{std::pow(base.si, exponent.si), power(base.dimension, exponent.si)};
    if (!std::isfinite(result.si))
      fail(here, fmt::format("{} cannot be raised to the power {:g}", format(base), exponent.si));
    return result;
  }

  Value with_unit() {
    skip();
    const bool may_take_unit = number_ahead() || peek() == '(';
    Value value = primary();
    if (!may_take_unit) return value;
    const std::string_view name = name_ahead();
    if (name.empty()) return value;
    const std::optional<Value> found = unit(name);
    if (!found) not_a_unit(name);
    at_ += name.size();
    const double exponent = unit_exponent();
    return {value.si * std::pow(found->si, exponent), value.dimension * power(found->dimension, exponent)};
  }

  double unit_exponent() {  // "2 m^2": the power belongs to the unit
    if (!take("^")) return 1.0;
    skip();
    const std::size_t here = at_;
    const bool negative = take("-");
    if (!number_ahead()) fail(here, "a unit's power must be a whole number such as 2");
    const double exponent = number();
    if (exponent != std::round(exponent) || exponent > 9.0)
      fail(here, "a unit's power must be a whole number up to 9");
    return negative ? -exponent : exponent;
  }

  Value primary() {
    skip();
    if (done()) fail(at_, "the expression ends too early");
    if (number_ahead()) {
      unit_may_stand_alone_ = false;
      return {number(), dimension::kNumber};
    }
    if (take("(")) {
      unit_may_stand_alone_ = false;
      const Depth depth(*this);
      const std::size_t here = at_;
      const Value value = comparison();
      if (!take(")")) skip(), done() ? fail(here - 1, "this bracket is never closed") : unexpected();
      return value;
    }
    const std::string_view name = name_ahead();
    if (name.empty() || is_typographic_minus(name)) unexpected();
    const bool unit_allowed = unit_may_stand_alone_;
    unit_may_stand_alone_ = false;
    return named(name, unit_allowed);
  }

  Value named(std::string_view name, bool unit_allowed) {
    const std::size_t here = at_;
    at_ += name.size();
    skip();
    if (peek() == '(') return call(name, here);
    if (scope_.find)
      if (const auto value = scope_.find(name)) return *value;
    if (const auto value = detail::constant(name)) return *value;
    if (const auto value = unit(name)) {
      if (!unit_allowed)
        fail(here, fmt::format("a number is missing before the unit {0}, as in \"2 {0}\"", name));
      const double exponent = unit_exponent();
      return {std::pow(value->si, exponent), power(value->dimension, exponent)};
    }
    if (detail::is_function(name))
      fail(here, fmt::format("{0} is a function and needs brackets: {0}(…)", name));
    std::vector<std::string> known = scope_.names;
    for (const auto& list : {detail::constant_names(), detail::function_names()})
      known.insert(known.end(), list.begin(), list.end());
    fail(here, fmt::format("there is no parameter or constant '{}'{}", name, suggestion(name, known)));
  }

  Value call(std::string_view name, std::size_t here) {
    if (!detail::is_function(name))
      fail(here,
           fmt::format("there is no function {}(){}", name, suggestion(name, detail::function_names())));
    const Depth depth(*this);
    ++at_;  // the bracket
    std::vector<Value> arguments;
    if (!take(")")) {
      do arguments.push_back(comparison());
      while (take(","));
      if (!take(")"))
        skip(), done() ? fail(here, "the bracket of this function is never closed") : unexpected();
    }
    Value result;
    try {
      result = detail::apply(name, arguments);
    } catch (const detail::FunctionError& error) {
      fail(here, error.message);
    }
    if (!std::isfinite(result.si)) fail(here, fmt::format("{}() has no finite value here", name));
    return result;
  }

  double number() {
    double value = 0.0;
    const std::size_t here = at_;
    const auto [stop, error] = std::from_chars(text_.data() + at_, text_.data() + text_.size(), value);
    at_ = static_cast<std::size_t>(stop - text_.data());
    if (error != std::errc{}) fail(here, "this number is too large or too small to hold");
    if (peek() == '.') fail(at_, "a number has one decimal point only");
    return value;
  }

  // --- complaints ------------------------------------------------------------------------------------
  static void need_alike(const Value& a, const Value& b, std::size_t offset, std::string_view verb) {
    if (a.dimension == b.dimension) return;
    fail(offset, fmt::format("cannot {} {} and {}", verb, describe(a), describe(b)));
  }

  [[noreturn]] void not_a_unit(std::string_view name) {
    if (is_typographic_minus(name)) unexpected();
    const bool known =
        (scope_.find && scope_.find(name)) || detail::constant(name) || detail::is_function(name);
    if (known) fail(at_, fmt::format("an operator is missing before '{}'; write * for a product", name));
    const std::string likely = likely_unit(name);
    if (!likely.empty()) fail(at_, fmt::format("there is no unit '{}'; did you mean {}?", name, likely));
    fail(at_, fmt::format(
                  "there is no unit '{}'; lengths are written in m, cm, mm, ft, in, frequencies in kHz, MHz",
                  name));
  }

  struct Depth {  // bounds the recursion of brackets, functions and signs
    explicit Depth(Parser& owner) : parser(owner) {
      if (++parser.depth_ > kDeepest) fail(parser.at_, "brackets are nested too deeply");
    }
    ~Depth() { --parser.depth_; }
    Depth(const Depth&) = delete;
    Depth& operator=(const Depth&) = delete;
    Parser& parser;
  };

  std::string_view text_;
  const Scope& scope_;
  std::size_t at_ = 0;
  int depth_ = 0;
  bool unit_may_stand_alone_ = false;
};

}  // namespace

Evaluation evaluate(std::string_view text, const Scope& scope) {
  return Parser(text, scope).run();
}

const std::vector<std::string>& reserved_names() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> list = detail::constant_names();
    for (const std::string& name : detail::function_names()) list.push_back(name);
    return list;
  }();
  return names;
}

}  // namespace feldspar::model
