#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "decision/bands.hpp"
#include "model/family.hpp"
#include "model/file_record.hpp"
#include "model/model.hpp"
#include "model/study.hpp"
#include "results/sweep.hpp"

namespace feldspar::study {

/// A model file of a study with its text.
struct NamedFamily {
  std::string name;
  model::Family family;
  std::string text;
  std::shared_ptr<const model::FileRecord> files = nullptr;  ///< that it reads; may be null
};

/// Finds the model that a study names. @throws core::Error
using FamilyLoader = std::function<NamedFamily(const std::string& name)>;

/// A study that can be run: every case by its number, from 0, the last axis running fastest. Const members
/// may be called from several threads.
class SweepPlan {
 public:
  /// Reads the models and tries every value of every axis, the other axes at their first ones.
  /// @throws core::Error{usage} or {model} with the place in the study's file
  SweepPlan(model::Study study, const FamilyLoader& load);

  [[nodiscard]] const model::Study& study() const { return study_; }
  [[nodiscard]] const std::vector<NamedFamily>& families() const { return families_; }
  [[nodiscard]] const results::SweepLayout& layout() const { return layout_; }
  /// The bands whose edges and middles are asked for; empty with a list of frequencies.
  [[nodiscard]] const std::vector<decision::Band>& bands() const { return bands_; }
  /// The rig of a case. @throws core::Error when it cannot be made
  [[nodiscard]] model::Model model(std::size_t index) const;
  /// Whether it meets all conditions of the study.
  [[nodiscard]] bool wanted(const model::Model& model) const;
  /// What the cases are of, line by line: two runs with the same lines give the same numbers.
  [[nodiscard]] std::string identity(const std::string& program) const;

 private:
  void read_families(const FamilyLoader& load);
  void draw_sample();
  void lay_out_cases();
  void lay_out_spectrum(int region);
  void check_names() const;
  void try_axes();
  /// Of the first cases the first one that can be made.
  [[nodiscard]] std::optional<model::Model> first_rig() const;
  [[nodiscard]] results::Coordinate coordinate(const model::StudyAxis& axis) const;
  [[nodiscard]] model::Model instantiate(const std::vector<std::size_t>& along_axes) const;

  model::Study study_;
  std::vector<NamedFamily> families_;
  std::vector<decision::Band> bands_;
  results::SweepLayout layout_;
  std::string drawn_;               // what a sample is drawn from, for identity()
  std::vector<std::string> wires_;  // of the rigs that were tried, copies without their numbers
};

}  // namespace feldspar::study
