#include "io/study_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "io/builtin_detail.hpp"
#include "io/document.hpp"
#include "io/model_file.hpp"
#include "model/nearest.hpp"

namespace feldspar::io {

namespace {

namespace fs = std::filesystem;

std::vector<std::string> names() {
  std::vector<std::string> list;
  for (const detail::Builtin& builtin : detail::builtin_studies()) list.emplace_back(builtin.name);
  return list;
}

StudyFile parse(const std::string& name, const std::string& file, std::string text,
                const std::string& folder) {
  model::Study study = model::read_study(parse_document(text, file));
  return {name, std::move(text), folder, std::move(study)};
}

StudyFile parse_builtin(const std::string& name) {
  return parse(name, fmt::format("{} (built-in)", name), builtin_study_text(name), ".");
}

}  // namespace

std::string builtin_study_text(std::string_view name) {
  for (const detail::Builtin& builtin : detail::builtin_studies())
    if (builtin.name == name) return std::string(builtin.text);
  return {};
}

StudyFile load_study(const std::string& path_or_name) {
  if (!builtin_study_text(path_or_name).empty()) return parse_builtin(path_or_name);
  std::error_code ignored;
  if (!fs::exists(path_or_name, ignored))
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("there is no study file or built-in study '{}'{} (built-in studies: {})", path_or_name,
                    model::suggestion(path_or_name, names()), model::enumerate(names())));
  const std::string folder = fs::path(path_or_name).parent_path().string();
  return parse(path_or_name, path_or_name, read_text(path_or_name), folder);
}

StudyModel load_model_of(const StudyFile& file, const std::string& name) {
  const std::vector<std::string> builtin = builtin_names();
  const auto files = std::make_shared<model::FileRecord>();
  const auto parse_model = [&](const std::string& text, const std::string& label, const std::string& folder) {
    return StudyModel{files, {parse_document(text, label), name, files->recording(files_in(folder))}, text};
  };
  if (std::find(builtin.begin(), builtin.end(), name) != builtin.end())
    return parse_model(builtin_text(name), fmt::format("{} (built-in)", name), ".");
  const std::string path = (fs::path(file.folder) / name).string();
  std::error_code ignored;
  if (!fs::exists(path, ignored))
    throw core::Error(
        core::ErrorKind::usage,
        fmt::format("there is no model file '{}' and no built-in model '{}'{} (built-in models: {})", path,
                    name, model::suggestion(name, builtin), model::enumerate(builtin)));
  return parse_model(read_text(path), path, fs::path(path).parent_path().string());
}

std::vector<StudyDescription> describe_builtin_studies() {
  std::vector<StudyDescription> list;
  for (const std::string& name : names()) {
    const StudyFile file = parse_builtin(name);
    list.push_back({name, file.study.title, file.study.about});
  }
  return list;
}

}  // namespace feldspar::io
