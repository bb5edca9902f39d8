#include "storage/journal.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <iterator>

#include "core/error.hpp"
#include "samples.hpp"
#include "storage/difference.hpp"

using namespace feldspar;
using storage::Journal;

namespace {

std::string read(const std::string& path) {
  std::ifstream stream(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(stream), {}};
}

void write(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

/// A journal of cases 0 to 9. @return length of the file after each record, that of its head first
std::vector<std::size_t> fill(const std::string& path, const results::SweepLayout& layout) {
  Journal journal(path, "plan\n");
  std::vector<std::size_t> ends = {std::filesystem::file_size(path)};
  for (std::size_t i = 0; i < 10; ++i) {
    journal.append(samples::record(layout, i));
    ends.push_back(std::filesystem::file_size(path));
  }
  journal.sync();
  return ends;
}

}  // namespace

TEST_CASE("a journal gives back what was appended, in any order and after it was opened again") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout();
  (void)fill(folder.file("j"), layout);
  Journal journal(folder.file("j"), "plan\n");
  CHECK(journal.count() == 10);
  CHECK(journal.damaged_bytes() == 0);
  for (const std::size_t i : {7U, 0U, 5U, 9U, 3U})
    CHECK(samples::same(journal.read(i), samples::record(layout, i)));
  CHECK_FALSE(journal.has(10));
  CHECK(journal.read(10).status == results::CaseStatus::missing);
  journal.append(samples::record(layout, 12));
  CHECK(samples::same(journal.read(12), samples::record(layout, 12)));
  journal.remove();
  CHECK(folder.count() == 0);
}

TEST_CASE("a journal that was cut off anywhere keeps every record that was whole") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout();
  const std::vector<std::size_t> ends = fill(folder.file("j"), layout);
  const std::string whole = read(folder.file("j"));
  for (std::size_t cut = 0; cut < whole.size(); cut += 97) {
    CAPTURE(cut);
    write(folder.file("cut"), whole.substr(0, cut));
    std::size_t kept = 0;
    while (kept + 1 < ends.size() && ends[kept + 1] <= cut) ++kept;
    Journal journal(folder.file("cut"), "plan\n");
    CHECK(journal.count() == kept);
    journal.append(samples::record(layout, 11));  // and goes on from there
    for (std::size_t i = 0; i < kept; ++i) CHECK(samples::same(journal.read(i), samples::record(layout, i)));
    CHECK(samples::same(journal.read(11), samples::record(layout, 11)));
  }
}

TEST_CASE("a bit that flips anywhere in the records costs one record at most") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout();
  const std::vector<std::size_t> ends = fill(folder.file("j"), layout);
  const std::string whole = read(folder.file("j"));
  for (std::size_t at = ends[0]; at < whole.size(); at += 61) {
    CAPTURE(at);
    std::string bytes = whole;
    bytes[at] = static_cast<char>(bytes[at] ^ 0x20);
    write(folder.file("bad"), bytes);
    Journal journal(folder.file("bad"), "plan\n");
    CHECK(journal.count() == 9);
    CHECK(journal.damaged_bytes() > 0);
    for (std::size_t i = 0; i < 10; ++i)
      if (journal.has(i)) CHECK(samples::same(journal.read(i), samples::record(layout, i)));
  }
}

TEST_CASE("journals of other studies, other programs' files and a second writer are refused") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout();
  (void)fill(folder.file("j"), layout);
  CHECK_THROWS_WITH_AS(Journal(folder.file("j"), "other plan\n"), doctest::Contains("- plan\n+ other plan"),
                       core::Error);
  write(folder.file("diary"), "Monday: rain");
  CHECK_THROWS_WITH_AS(Journal(folder.file("diary"), "plan\n"), doctest::Contains("not a journal"),
                       core::Error);
  CHECK(read(folder.file("diary")) == "Monday: rain");
  const Journal first(folder.file("j"), "plan\n");
  CHECK_THROWS_WITH_AS(Journal(folder.file("j"), "plan\n"), doctest::Contains("another run"), core::Error);
  CHECK_THROWS_AS(Journal(folder.file("no/j"), "plan\n"), core::Error);
}

TEST_CASE("difference of two texts, line by line") {
  CHECK(storage::difference("a\nb\nc\n", "a\nc\nd\n") == "- b\n+ d");
  CHECK(storage::difference("a\n", "a\n").empty());
  CHECK(storage::difference("1\n2\n3\n", "", 2) == "- 1\n- 2\nand 1 lines more");
}
