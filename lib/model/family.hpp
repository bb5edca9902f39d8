#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/error.hpp"
#include "model/model.hpp"
#include "model/node.hpp"

/// A model file read but not evaluated: a family of antennas that differ in their parameters.
namespace feldspar::model {

/// One change to a family, as `--set name=text` makes it. `name` is a parameter ("mast_height") or a dotted
/// key
/// ("ground.soil", "wires.slope.present", "feed.power"); `text` is an expression, a name, or true/false.
struct Setting {
  std::string name;
  std::string text;
  core::Place place = {};  ///< for messages; a default that names --set is used when it is empty
};

/// A parameter as the file declares it, for listings.
struct ParameterDescription {
  std::string name;
  std::string key;           ///< name with its unit, "mast_height_m", as in Model::parameters
  std::string default_text;  ///< as written: "8 m"
  std::string minimum_text;  ///< as written; empty when there is no limit
  std::string maximum_text;
  std::string about;
  Dimension dimension = {};  ///< of its values
};

/// Text of a file that a model names, such as "mine.s1p"; where relative paths begin is the giver's affair.
/// Called from several threads. @throws core::Error when it cannot be read
using FileText = std::function<std::string(const std::string& path)>;

/// The unevaluated file. A value: cheap enough to copy, safe to use from several threads.
class Family {
 public:
  /// @param root  the file's table
  /// @param name  built-in name, or file name without folder
  /// @param files reads the files it names; empty: it may name none
  /// @throws Error{model} when the parameters are not declared properly
  Family(Node root, std::string name, FileText files = {});

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] const std::string& title() const { return title_; }
  [[nodiscard]] const std::string& about() const { return about_; }
  [[nodiscard]] const std::vector<ParameterDescription>& parameters() const { return parameters_; }

  /// Evaluates everything and checks the whole text; of two settings of one name the last counts.
  /// @throws Error{usage} for a setting that is wrong or makes a parameter leave its limits,
  ///         Error{model} for anything wrong in the file. The place names file, line, column and key.
  [[nodiscard]] Model instantiate(const std::vector<Setting>& settings = {}) const;

 private:
  Node root_;
  std::string name_;
  FileText files_;
  std::string title_;
  std::string about_;
  std::vector<ParameterDescription> parameters_;
};

/// "name=text" as typed after --set. @throws Error{usage} when there is no "=" or a side is empty
[[nodiscard]] Setting parse_setting(const std::string& text);

}  // namespace feldspar::model
