#include "io/model_file.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "io/builtin_detail.hpp"
#include "io/document.hpp"
#include "model/nearest.hpp"

namespace feldspar::io {

namespace {

const detail::Builtin* find_builtin(std::string_view name) {
  for (const detail::Builtin& builtin : detail::builtins())
    if (builtin.name == name) return &builtin;
  return nullptr;
}

constexpr std::size_t kLargestTable = std::size_t{20} << 20;  // bytes of a measurement

model::Family family_of(const detail::Builtin& builtin) {
  return parse_family(builtin.text, fmt::format("{} (built-in)", builtin.name), std::string(builtin.name),
                      ".");
}

[[noreturn]] void unknown(std::string_view name, std::string_view what) {
  const std::vector<std::string> names = builtin_names();
  throw core::Error(core::ErrorKind::usage,
                    fmt::format("there is no {} '{}'{} (built-in models: {})", what, name,
                                model::suggestion(name, names), model::enumerate(names)));
}

}  // namespace

model::FileText files_in(const std::string& folder) {
  return [folder = std::filesystem::path(folder)](const std::string& path) {
    return read_text((folder / path).string(), kLargestTable);
  };
}

model::Family parse_family(std::string_view text, const std::string& file, const std::string& name,
                           const std::optional<std::string>& folder) {
  return {parse_document(text, file), name, folder ? files_in(*folder) : model::FileText{}};
}

std::string model_text(const std::string& path_or_name) {
  if (const detail::Builtin* builtin = find_builtin(path_or_name)) return std::string(builtin->text);
  std::error_code ignored;
  if (!std::filesystem::exists(path_or_name, ignored)) unknown(path_or_name, "model file or built-in model");
  return read_text(path_or_name);
}

model::Family load_family(const std::string& path_or_name) {
  if (const detail::Builtin* builtin = find_builtin(path_or_name)) return family_of(*builtin);
  const std::string text = model_text(path_or_name);
  const std::filesystem::path path(path_or_name);
  return parse_family(text, path_or_name, path.filename().string(), path.parent_path().string());
}

std::vector<std::string> builtin_names() {
  std::vector<std::string> names;
  for (const detail::Builtin& builtin : detail::builtins()) names.emplace_back(builtin.name);
  return names;
}

std::string builtin_text(std::string_view name) {
  const detail::Builtin* builtin = find_builtin(name);
  if (!builtin) unknown(name, "built-in model");
  return std::string(builtin->text);
}

std::vector<BuiltinDescription> describe_builtins() {
  std::vector<BuiltinDescription> list;
  for (const detail::Builtin& builtin : detail::builtins()) {
    const model::Family family = family_of(builtin);
    list.push_back({family.name(), family.title(), family.about(), family.parameters()});
  }
  return list;
}

}  // namespace feldspar::io
