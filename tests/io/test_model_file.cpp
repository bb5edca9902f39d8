#include "io/model_file.hpp"

#include <doctest/doctest.h>

#include <unistd.h>

#include <filesystem>
#include <fstream>

#include "io/document.hpp"

using namespace feldspar;

namespace {

/// A folder of its own that goes away with the test.
struct Folder {
  std::filesystem::path path =
      std::filesystem::temp_directory_path() / ("feldspar-io-" + std::to_string(::getpid()));
  Folder() { std::filesystem::create_directories(path); }
  ~Folder() {
    std::error_code ignored;
    std::filesystem::remove_all(path, ignored);
  }
  [[nodiscard]] std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(path / name, std::ios::binary) << text;
    return (path / name).string();
  }
};

core::Error error_of(const std::string& path_or_name) {
  try {
    (void)io::load_family(path_or_name);
  } catch (const core::Error& error) {
    return error;
  }
  FAIL_CHECK("accepted: " << path_or_name);
  return {core::ErrorKind::numerics, "none"};
}

}  // namespace

TEST_CASE("load_family: a file is named by its path, the model by the file's name") {
  const Folder folder;
  const std::string path = folder.write("mine.toml", io::builtin_text("dipole"));
  const model::Model model = io::load_family(path).instantiate();
  CHECK(model.name == "mine.toml");
  CHECK(model.structure.wires.at(0).place.file == path);
}

TEST_CASE("load_family: an unknown name suggests the nearest and lists them all") {
  const core::Error error = error_of("invertd-v");
  CHECK(error.kind() == core::ErrorKind::usage);
  CHECK(error.message().find("did you mean 'inverted-v'?") != std::string::npos);
  for (const std::string& name : io::builtin_names()) CHECK(error.message().find(name) != std::string::npos);
  CHECK(error_of("no/such/file.toml").kind() == core::ErrorKind::usage);
  CHECK(error_of("").kind() == core::ErrorKind::usage);
  CHECK_THROWS_AS((void)io::builtin_text("dipoel"), core::Error);
}

TEST_CASE("load_family: folders, endless and oversized files are refused") {
  const Folder folder;
  CHECK(error_of(folder.path.string()).message().find("found a folder") != std::string::npos);
  CHECK(error_of(folder.write("large.toml", std::string(io::kLargestFile + 1, '#'))).kind() ==
        core::ErrorKind::usage);
  CHECK(error_of("/dev/zero").message().find("at most 1048576 bytes") != std::string::npos);
}

TEST_CASE("load_family: line ends of other systems and a byte order mark are read") {
  const Folder folder;
  std::string text = "\xEF\xBB\xBF";
  for (const char c : io::builtin_text("dipole")) {
    if (c == '\n') text += '\r';
    text += c;
  }
  CHECK(io::load_family(folder.write("crlf.toml", text)).instantiate().structure.wires.size() == 1);
}

TEST_CASE("load_family: the place of an error names the file as the user did") {
  const Folder folder;
  const std::string path = folder.write("bad.toml", "[ground]\nsoil = 3\n");
  try {
    (void)io::load_family(path).instantiate();
    FAIL_CHECK("accepted");
  } catch (const core::Error& error) {
    CHECK(std::string(error.what()).find(path + ":2:8: ground.soil: expected a text") == 0);
  }
}
