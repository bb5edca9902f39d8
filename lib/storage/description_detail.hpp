#pragma once

#include <map>
#include <string>

#include "results/sweep.hpp"
#include "storage/sweep_file.hpp"

/// All of a sweep's file but its numbers as one text (JSON), which is stored with a checksum (private to this
/// module). Other programs find the same in attributes and coordinates; but HDF5 keeps those texts where
/// damage is not noticed and can send it round in circles, so that we never read them.
namespace feldspar::storage::detail {

struct Description {
  results::SweepLayout layout;
  Provenance provenance;
  std::map<std::size_t, std::string> messages;  ///< of the cases that failed
};

[[nodiscard]] std::string to_text(const Description& description);
/// @throws core::Error{storage} for a text that is none, or of a later format. @param path for messages
[[nodiscard]] Description description_of(const std::string& text, const std::string& path);

}  // namespace feldspar::storage::detail
