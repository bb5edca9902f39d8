#pragma once

#include <string>
#include <vector>

#include "circuit/touchstone.hpp"
#include "model/model.hpp"
#include "results/result.hpp"

namespace feldspar::report {

/// Where an impedance is told: where the feed meets the wires, or at the radio's connector.
enum class Plane { port, radio };

/// Results as a network: a one-port, or a two-port for the ports of an antenna that has two.
/// @param results in rising frequency, at least one
/// @throws core::Error{usage} at the port of an antenna with more than two; {numerics} for an impedance
/// matrix without scattering parameters
[[nodiscard]] circuit::NetworkData network_of(const model::Model& model,
                                              const std::vector<results::FrequencyResult>& results,
                                              Plane plane);

/// The same as the text of a Touchstone file of version 1: MHz, S, RI, the model's reference resistance, with
/// what it is in comments.
[[nodiscard]] std::string solve_touchstone(const model::Model& model,
                                           const std::vector<results::FrequencyResult>& results, Plane plane);

}  // namespace feldspar::report
