#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "model/family.hpp"
#include "model/file_record.hpp"
#include "model/study.hpp"

/// Study files (TOML) and the studies that are built into the program.
namespace feldspar::io {

/// A study with what is needed to find its models.
struct StudyFile {
  std::string name;  ///< built-in name, or the path as it was given
  std::string text;
  std::string folder;  ///< where relative paths of models begin
  model::Study study;
};

/// Reads a study file, or a built-in study when `path_or_name` is the name of one.
/// @throws Error{usage} when there is no such file or study, Error{model} with file, line and column when the
/// text is wrong
[[nodiscard]] StudyFile load_study(const std::string& path_or_name);

/// A model that the study names: a file beside it, or a built-in model; with its text.
struct StudyModel {
  std::shared_ptr<model::FileRecord> files;  ///< that it has read, so far
  model::Family family;
  std::string text;
};
/// @throws as load_family()
[[nodiscard]] StudyModel load_model_of(const StudyFile& file, const std::string& name);

struct StudyDescription {
  std::string name;
  std::string title;
  std::string about;
};
/// The built-in studies, in alphabetical order.
[[nodiscard]] std::vector<StudyDescription> describe_builtin_studies();
/// Text of a built-in study, exactly as in models/studies/NAME.toml; empty for an unknown name.
[[nodiscard]] std::string builtin_study_text(std::string_view name);

}  // namespace feldspar::io
