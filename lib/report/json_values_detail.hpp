#pragma once

#include <complex>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>

#include "core/error.hpp"
#include "model/model.hpp"

/// What JSON documents share (private to this module).
namespace feldspar::report::detail {

using Json = nlohmann::ordered_json;

/// null where it is not finite, or missing.
[[nodiscard]] Json number(double value);
[[nodiscard]] Json number(const std::optional<double>& value);
[[nodiscard]] Json impedance(std::complex<double> z);
[[nodiscard]] Json parameters(const model::Model& model);
[[nodiscard]] Json ground(const model::Model& model);
/// The numbers used at a frequency, the far soil's as well. @param frequency Hz
[[nodiscard]] Json ground_at(const model::Model& model, double frequency);
[[nodiscard]] Json warnings(const core::Warnings& list);

/// Indented by two, ended by '\n'; bytes that are not UTF-8 are replaced.
[[nodiscard]] std::string dump(const Json& json);

}  // namespace feldspar::report::detail
