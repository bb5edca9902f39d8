#pragma once

#include <stdexcept>
#include <string>
#include <vector>

/// Errors and warnings of the whole library: one exception type with a kind and a place.
namespace feldspar::core {

/// What kind of thing went wrong; only the command line turns a kind into an exit status.
enum class ErrorKind {
  usage,     ///< the command line or an argument is wrong
  model,     ///< a model file is wrong
  geometry,  ///< wires that cannot be computed as they are written
  numerics,  ///< the computation failed or did not converge
  storage,   ///< a file could not be read or written
};

/// Where in the user's file something stands; unknown parts stay empty or zero.
struct Place {
  std::string file;  ///< as the user named it
  int line = 0;      ///< from 1; 0 unknown
  int column = 0;    ///< from 1; 0 unknown
  std::string key;   ///< dotted key, e.g. "wires.slope.diameter"
};

/// "my.toml:12:8: wires.slope.diameter" with the parts that are known; empty when nothing is.
[[nodiscard]] std::string describe(const Place& place);

/// The one exception of the library. what() is "<place>: <message>"; the message says what to change.
class Error : public std::runtime_error {
 public:
  Error(ErrorKind kind, const std::string& message, Place place = {});
  [[nodiscard]] ErrorKind kind() const noexcept { return kind_; }
  [[nodiscard]] const Place& place() const noexcept { return place_; }
  [[nodiscard]] const std::string& message() const noexcept { return message_; }

 private:
  ErrorKind kind_;
  Place place_;
  std::string message_;
};

/// A weak answer that is still an answer. `code` is stable for scripts ("proximity"), `text` is for people.
struct Warning {
  std::string code;
  std::string text;
};
using Warnings = std::vector<Warning>;

}  // namespace feldspar::core
