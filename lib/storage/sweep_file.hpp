#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "results/sweep.hpp"
#include "storage/case_source.hpp"

/// A finished sweep as one HDF5 file that other programs read as it stands: every axis a dimension scale,
/// every dataset with units and long_name, real and imaginary parts as datasets of their own.
namespace feldspar::storage {

/// All that is needed to make the file again.
struct Provenance {
  std::string program;  ///< "feldspar 0.1.0"
  std::string title;
  std::string about;
  std::string study;                     ///< text of the study file
  std::string plan;                      ///< what the cases are of: lines that two runs of one study share
  std::string share;                     ///< "2/8"; empty for the whole
  std::vector<std::string> models;       ///< names
  std::vector<std::string> model_texts;  ///< in the order of `models`
};

/// Writes the file, all at once: while it is made it has another name. What a case lacks is NaN.
/// @param source asked for each case once, in the order of the file's blocks
/// @param alone  as for FileInTheMaking
/// @throws core::Error{storage}; then nothing is left behind, and an older file stays as it was
void write_sweep_file(const std::string& path, const results::SweepLayout& layout,
                      const Provenance& provenance, CaseSource& source, bool alone = false);

/// Reads what write_sweep_file() wrote, a block of neighbouring cases at a time. Parts that fail their
/// checksums count as missing.
class SweepFile : public CaseSource {
 public:
  /// @throws core::Error{storage} when it cannot be read or another program wrote it
  explicit SweepFile(const std::string& path);
  ~SweepFile() override;

  [[nodiscard]] const results::SweepLayout& layout() const { return layout_; }
  [[nodiscard]] const Provenance& provenance() const { return provenance_; }
  [[nodiscard]] results::CaseStatus status(std::size_t index) const { return status_[index]; }
  [[nodiscard]] std::size_t count(results::CaseStatus status) const;
  /// Reads everything once, so that what is damaged counts as missing. @return cases that are damaged
  std::size_t verify();
  [[nodiscard]] results::CaseRecord read(std::size_t index) override;
  /// All values of the quantity of that name, the cases' dimensions first; NaN where there is none. @throws
  /// core::Error{usage} for a name that is not there
  [[nodiscard]] std::vector<double> values(const std::string& name) const;

 private:
  struct Contents;
  void read_status();
  void read_block(std::size_t index);

  std::unique_ptr<Contents> contents_;
  results::SweepLayout layout_;
  Provenance provenance_;
  std::vector<results::CaseStatus> status_;
  std::size_t damaged_ = 0;
};

}  // namespace feldspar::storage
