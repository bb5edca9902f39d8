#include <algorithm>
#include <limits>
#include <map>

#include "storage/description_detail.hpp"
#include "storage/folder.hpp"
#include "storage/sweep_file.hpp"
#include "storage/sweep_schema_detail.hpp"

namespace feldspar::storage {

namespace detail {

Blocks::Blocks(const results::SweepLayout& layout) {
  constexpr std::size_t kMostOfOne = 16384;      // values over frequency of one quantity in a block
  constexpr std::size_t kMostOfAll = 4'000'000;  // values of all quantities
  std::size_t room = std::min(kMostOfOne / std::max<std::size_t>(layout.frequencies.size(), 1),
                              kMostOfAll / std::max<std::size_t>(layout.values(), 1));
  room = std::max<std::size_t>(room, 1);
  for (const results::Dimension& dimension : layout.cases) sizes.push_back(dimension.size);
  block.assign(sizes.size(), 1);
  for (std::size_t d = sizes.size(); d-- > 0;) {
    block[d] = std::min<hsize_t>(sizes[d], room);
    room = block[d] == sizes[d] ? room / sizes[d] : 1;
    room = std::max<std::size_t>(room, 1);
  }
}

void Blocks::each(const std::function<void(const Slab&)>& job) const {
  Slab slab{std::vector<hsize_t>(sizes.size(), 0), std::vector<hsize_t>(sizes.size())};
  while (true) {
    for (std::size_t d = 0; d < sizes.size(); ++d)
      slab.count[d] = std::min(block[d], sizes[d] - slab.start[d]);
    job(slab);
    std::size_t d = sizes.size();
    while (d-- > 0) {
      slab.start[d] += block[d];
      if (slab.start[d] < sizes[d]) break;
      slab.start[d] = 0;
    }
    if (d == static_cast<std::size_t>(-1)) return;
  }
}

std::vector<std::size_t> cases_in(const Slab& block, const std::vector<hsize_t>& sizes) {
  std::size_t count = 1;
  for (const hsize_t n : block.count) count *= n;
  std::vector<std::size_t> cases(count);
  for (std::size_t i = 0; i < count; ++i) {
    std::size_t rest = i;
    std::size_t index = 0;
    std::size_t stride = 1;
    for (std::size_t d = sizes.size(); d-- > 0;) {
      index += (block.start[d] + rest % block.count[d]) * stride;
      rest /= block.count[d];
      stride *= sizes[d];
    }
    cases[i] = index;
  }
  return cases;
}

}  // namespace detail

namespace {

using detail::File;
using detail::kFrequency;
using detail::kMessage;
using detail::kRoot;
using detail::kStatus;
using detail::Slab;

class Writer {
 public:
  Writer(File& file, const results::SweepLayout& layout) : file_(file), layout_(layout), blocks_(layout) {}

  void provenance(const Provenance& from) {
    for (const auto& [name, value] : {std::pair{"program", &from.program}, std::pair{"title", &from.title},
                                      std::pair{"about", &from.about}, std::pair{"study", &from.study},
                                      std::pair{"plan", &from.plan}, std::pair{"share", &from.share}})
      file_.set_text(kRoot, name, *value);
    file_.set_texts(kRoot, "models", from.models);
    file_.set_texts(kRoot, "model_texts", from.model_texts);
  }

  void coordinates() {
    for (const auto* dimensions : {&layout_.cases, &layout_.spectrum, &layout_.directions, &layout_.places})
      for (const results::Dimension& dimension : *dimensions) add(dimension);
    if (!layout_.by_bands()) return;
    const std::vector<hsize_t> sizes = {layout_.spectrum[0].size, layout_.spectrum[1].size};
    file_.create_numbers(kFrequency, {sizes, sizes});
    file_.write(kFrequency, layout_.frequencies);
    describe(kFrequency, "Hz",
             "frequency at the lower edge, in the middle and at the upper edge of the band");
    for (unsigned d = 0; d < 2; ++d) file_.attach_scale(kFrequency, d, layout_.spectrum[d].name);
  }

  void datasets() {
    for (const results::Quantity& quantity : layout_.quantities) {
      file_.create_numbers(quantity.name, shape(quantity.extent));
      describe(quantity.name, quantity.units, quantity.long_name);
      attach(quantity.name, quantity.extent);
    }
    file_.create_bytes(kStatus, shape(results::Extent::one),
                       static_cast<std::uint8_t>(results::CaseStatus::missing));
    describe(kStatus, "1", "0 done, 1 failed, 2 left out by a condition of the study, 3 missing");
    attach(kStatus, results::Extent::one);
    file_.create_words(kMessage, shape(results::Extent::one));
    describe(kMessage, "", "why a case failed");
    attach(kMessage, results::Extent::one);
  }

  void cases(CaseSource& source) {
    blocks_.each([&](const Slab& block) { write_block(block, source); });
  }

  /// What we read ourselves; after the cases.
  void description(const Provenance& from) {
    const std::string text = detail::to_text({layout_, from, failures_});
    const std::vector<std::uint8_t> bytes(text.begin(), text.end());
    file_.create_group(detail::kGroup);
    file_.create_bytes(detail::kDescription, {{bytes.size()}, {bytes.size()}}, 0);
    file_.write(detail::kDescription, bytes);
  }

 private:
  void describe(const std::string& name, const std::string& units, const std::string& long_name) {
    if (!units.empty()) file_.set_text(name, "units", units);  // words have none
    file_.set_text(name, "long_name", long_name);
  }

  void add(const results::Dimension& dimension) {
    for (const results::Coordinate& coordinate : dimension.coordinates) {
      if (coordinate.words.empty()) {
        file_.create_numbers(coordinate.name, {{dimension.size}, {dimension.size}});  // for its checksum
        file_.write(coordinate.name, coordinate.numbers);
      } else {
        file_.create_words(coordinate.name, {{dimension.size}, {}});
        file_.write(coordinate.name, coordinate.words);
      }
      const bool plain = coordinate.words.empty() && coordinate.units.empty();
      describe(coordinate.name, plain ? "1" : coordinate.units, coordinate.long_name);
      if (coordinate.name == dimension.name)
        file_.set_scale(coordinate.name);
      else
        file_.attach_scale(coordinate.name, 0, dimension.name);
    }
  }

  [[nodiscard]] detail::Shape shape(results::Extent extent) const {
    detail::Shape shape{detail::sizes_of(layout_, extent), blocks_.block};
    // of patterns and currents each case is a chunk
    if (extent == results::Extent::each_direction || extent == results::Extent::each_place)
      shape.chunk.assign(blocks_.block.size(), 1);
    shape.chunk.insert(shape.chunk.end(),
                       shape.sizes.begin() + static_cast<std::ptrdiff_t>(blocks_.block.size()),
                       shape.sizes.end());
    return shape;
  }

  /// Dimension scales, and the coordinates that are no dimensions of their own (CF conventions).
  void attach(const std::string& name, results::Extent extent) {
    unsigned d = 0;
    std::string others;
    for (const results::Dimension& dimension : layout_.cases) {
      file_.attach_scale(name, d++, dimension.name);
      for (std::size_t i = 1; i < dimension.coordinates.size(); ++i)
        others += (others.empty() ? "" : " ") + dimension.coordinates[i].name;
    }
    for (const results::Dimension* dimension : layout_.within(extent))
      file_.attach_scale(name, d++, dimension->name);
    const bool by_frequency = extent != results::Extent::one && extent != results::Extent::each_band;
    if (by_frequency && layout_.by_bands()) others += (others.empty() ? "" : " ") + std::string(kFrequency);
    if (!others.empty()) file_.set_text(name, "coordinates", others);
  }

  void write_block(const Slab& block, CaseSource& source) {
    const std::vector<std::size_t> cases = detail::cases_in(block, blocks_.sizes);
    std::vector<std::vector<double>> columns(layout_.quantities.size());
    std::vector<std::uint8_t> status;
    std::vector<std::string> messages;
    for (const std::size_t index : cases) {
      results::CaseRecord record = source.read(index);
      if (record.values.size() != layout_.values())
        record.values.assign(layout_.values(), std::numeric_limits<double>::quiet_NaN());
      auto from = record.values.begin();
      for (std::size_t q = 0; q < columns.size(); ++q) {
        const auto count = static_cast<std::ptrdiff_t>(layout_.values(layout_.quantities[q]));
        columns[q].insert(columns[q].end(), from, from + count);
        from += count;
      }
      status.push_back(static_cast<std::uint8_t>(record.status));
      if (!record.message.empty()) failures_[index] = record.message;
      messages.push_back(std::move(record.message));
    }
    for (std::size_t q = 0; q < columns.size(); ++q) {
      const results::Quantity& quantity = layout_.quantities[q];
      const Slab slab = detail::slab_of(block, detail::sizes_of(layout_, quantity.extent));
      file_.write(quantity.name, columns[q], &slab);
    }
    file_.write(kStatus, status, &block);
    const auto empty = [](const std::string& message) { return message.empty(); };
    if (!std::all_of(messages.begin(), messages.end(), empty)) file_.write(kMessage, messages, &block);
  }

  File& file_;
  const results::SweepLayout& layout_;
  std::map<std::size_t, std::string> failures_;
  detail::Blocks blocks_;
};

}  // namespace

void write_sweep_file(const std::string& path, const results::SweepLayout& layout,
                      const Provenance& provenance, CaseSource& source, bool alone) {
  FileInTheMaking making(path, alone);
  File file = File::create(making.path(), path);
  Writer writer(file, layout);
  writer.provenance(provenance);
  writer.coordinates();
  writer.datasets();
  writer.cases(source);
  writer.description(provenance);
  file.close();
  making.put_in_place();
}

}  // namespace feldspar::storage
