#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "model/family.hpp"

/// Model files (TOML) and the models that are built into the program.
namespace feldspar::io {

/// A built-in model with its parameters, for `models`.
struct BuiltinDescription {
  std::string name;
  std::string title;
  std::string about;
  std::vector<model::ParameterDescription> parameters;
};

/// Reads a model file, or a built-in model when `path_or_name` is the name of one (write "./dipole" for a
/// file of that name). Files are at most 1 MiB of UTF-8 text. Files that it names (Touchstone, at most 20
/// MiB) are looked for in its folder, those of a built-in model in the current one.
/// @throws Error{usage} when there is no such file or model (the nearest name and all names are in the
/// message),
///         Error{model} with file, line and column when the text is wrong
[[nodiscard]] model::Family load_family(const std::string& path_or_name);

/// The same from text. @param file the name used in messages  @param name becomes Model::name
/// @param folder  where the files it names are looked for; empty: it may name none
[[nodiscard]] model::Family parse_family(std::string_view text, const std::string& file,
                                         const std::string& name,
                                         const std::optional<std::string>& folder = {});

/// The text of a model, as load_family() reads it. @throws as load_family()
[[nodiscard]] std::string model_text(const std::string& path_or_name);

/// Files that a model names, relative paths beginning in `folder`; at most 20 MiB each.
[[nodiscard]] model::FileText files_in(const std::string& folder);

/// Names of the built-in models, in alphabetical order.
[[nodiscard]] std::vector<std::string> builtin_names();

/// Text of a built-in model, exactly as in models/NAME.toml. @throws Error{usage} for an unknown name
[[nodiscard]] std::string builtin_text(std::string_view name);

/// Every built-in model with title, purpose and parameters.
[[nodiscard]] std::vector<BuiltinDescription> describe_builtins();

}  // namespace feldspar::io
