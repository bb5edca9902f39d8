#include "storage/sweep_file.hpp"

#include <doctest/doctest.h>

#include <fstream>

#include "core/error.hpp"
#include "samples.hpp"
#include "storage/gather.hpp"

using namespace feldspar;
using results::CaseStatus;
using storage::SweepFile;

namespace {

storage::Provenance provenance() {
  return {"feldspar 0",          "How high?", "a question",  "title = \"How high?\"",
          "plan\naxis height\n", "",          {"wire.toml"}, {"text"}};
}

}  // namespace

TEST_CASE("a sweep's file gives back layout, provenance and cases bit for bit") {
  const samples::Folder folder;
  for (const std::size_t heights : {7U, 3000U}) {  // one block, and several
    const results::SweepLayout layout = samples::layout(heights);
    const std::size_t done = layout.count() - 3;
    samples::Made made(layout, done);
    storage::write_sweep_file(folder.file("a.h5"), layout, provenance(), made);
    CHECK(made.asked == static_cast<int>(layout.count()));
    CHECK(folder.count() == 1);

    SweepFile file(folder.file("a.h5"));
    CHECK(file.provenance().title == "How high?");
    CHECK(file.provenance().plan == provenance().plan);
    CHECK(file.provenance().model_texts == provenance().model_texts);
    REQUIRE(file.layout().count() == layout.count());
    CHECK(file.layout().cases[0].coordinates[0].numbers == layout.cases[0].coordinates[0].numbers);
    CHECK(file.layout().cases[0].coordinates[0].units == "m");
    CHECK(file.layout().cases[1].coordinates[0].words == layout.cases[1].coordinates[0].words);
    CHECK(file.layout().frequencies == layout.frequencies);
    REQUIRE(file.layout().quantities.size() == layout.quantities.size());
    CHECK(file.layout().quantities[5].name == "swr_at_radio");
    CHECK(file.count(CaseStatus::missing) == 3);
    CHECK(file.count(CaseStatus::failed) == 1);
    for (const std::size_t i : {std::size_t{0}, std::size_t{5}, std::size_t{6}, done - 1, std::size_t{1}})
      CHECK(samples::same(file.read(i), samples::record(layout, i)));
    CHECK(file.read(done).status == CaseStatus::missing);
    CHECK(file.verify() == 0);
    const std::vector<double> resistance = file.values("resistance");
    CHECK(resistance[6 * 2 + 1] == samples::record(layout, 2).values[1]);
    CHECK_THROWS_AS((void)file.values("resistence"), core::Error);
  }
}

TEST_CASE("a byte that changes anywhere never makes a wrong number") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout(1500);  // several blocks
  samples::Made made(layout, layout.count());
  storage::write_sweep_file(folder.file("a.h5"), layout, provenance(), made);
  const auto size = static_cast<std::streamoff>(std::filesystem::file_size(folder.file("a.h5")));
  int found = 0;
  constexpr int kPlaces = 12;
  for (int k = 1; k < kPlaces; ++k) {
    CAPTURE(k);
    const std::string path = folder.file("b.h5");
    std::filesystem::copy_file(folder.file("a.h5"), path, std::filesystem::copy_options::overwrite_existing);
    {
      std::fstream stream(path, std::ios::in | std::ios::out | std::ios::binary);
      stream.seekg(size * k / kPlaces);
      const auto byte = static_cast<char>(stream.get() ^ 0x04);
      stream.seekp(size * k / kPlaces);
      stream.put(byte);
    }
    try {
      SweepFile file(path);
      const std::size_t damaged = file.verify();
      found += damaged > 0 ? 1 : 0;
      for (std::size_t i = 0; i < layout.count(); ++i) {
        const results::CaseRecord record = file.read(i);
        if (record.status == CaseStatus::missing) continue;
        if (!samples::same(record.values, samples::record(layout, i).values)) FAIL(i);
      }
      CHECK(file.layout().cases[0].coordinates[0].numbers == layout.cases[0].coordinates[0].numbers);
      CHECK(file.count(CaseStatus::missing) < layout.count());  // the rest is there
    } catch (const core::Error&) {
      ++found;  // the frame of the file is hit
    }
  }
  CHECK(found > 5);
}

TEST_CASE("shares are joined; what overlaps or lacks is refused") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout();
  class Share : public storage::CaseSource {
   public:
    Share(const results::SweepLayout& of, std::size_t which) : layout_(of), which_(which) {}
    results::CaseRecord read(std::size_t index) override {
      return index % 2 == which_ ? samples::record(layout_, index)
                                 : results::CaseRecord{index, CaseStatus::missing, "", {}};
    }

   private:
    const results::SweepLayout& layout_;
    std::size_t which_;
  };
  Share even(layout, 0);
  Share odd(layout, 1);
  storage::write_sweep_file(folder.file("0.h5"), layout, provenance(), even);
  storage::write_sweep_file(folder.file("1.h5"), layout, provenance(), odd);
  storage::gather({folder.file("1.h5"), folder.file("0.h5")}, folder.file("all.h5"));
  SweepFile file(folder.file("all.h5"));
  for (std::size_t i = 0; i < layout.count(); ++i)
    CHECK(samples::same(file.read(i), samples::record(layout, i)));
  CHECK_THROWS_WITH_AS(storage::gather({folder.file("0.h5")}, folder.file("b.h5")),
                       doctest::Contains("in none"), core::Error);
  CHECK_THROWS_WITH_AS(storage::gather({folder.file("0.h5"), folder.file("all.h5")}, folder.file("b.h5")),
                       doctest::Contains("as well"), core::Error);
  CHECK_FALSE(std::filesystem::exists(folder.file("b.h5")));
}

TEST_CASE("a file that cannot be put in place leaves the old one and nothing else") {
  const samples::Folder folder;
  const results::SweepLayout layout = samples::layout();
  samples::Made made(layout, layout.count());
  storage::write_sweep_file(folder.file("a.h5"), layout, provenance(), made);
  class Broken : public storage::CaseSource {
    results::CaseRecord read(std::size_t index) override {
      if (index == 9) throw core::Error(core::ErrorKind::storage, "gone");
      return {index, CaseStatus::missing, "", {}};
    }
  } broken;
  CHECK_THROWS_AS(storage::write_sweep_file(folder.file("a.h5"), layout, provenance(), broken), core::Error);
  CHECK(folder.count() == 1);
  CHECK(SweepFile(folder.file("a.h5")).count(CaseStatus::missing) == 0);
}
