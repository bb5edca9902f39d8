#include "storage/sweep_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <limits>
#include <map>
#include <optional>
#include <span>

#include "core/error.hpp"
#include "storage/description_detail.hpp"
#include "storage/sweep_schema_detail.hpp"

namespace feldspar::storage {

namespace {

using detail::File;
using detail::kStatus;
using detail::Slab;
using results::CaseStatus;

[[noreturn]] void fail(const std::string& path, const std::string& why) {
  throw core::Error(core::ErrorKind::storage, why, core::Place{path, 0, 0, {}});
}

File open(const std::string& path) {
  std::error_code ignored;
  if (!std::filesystem::exists(path, ignored)) fail(path, "there is no such file");
  if (!std::filesystem::is_regular_file(path, ignored)) fail(path, "is no regular file");
  return File::open(path, path);
}

/// Where a case stands among those of a block; nothing when it is not in it.
std::optional<std::size_t> place_in(const Slab& block, const std::vector<std::size_t>& along) {
  std::size_t place = 0;
  if (block.start.size() != along.size()) return std::nullopt;
  for (std::size_t d = 0; d < along.size(); ++d) {
    if (along[d] < block.start[d] || along[d] >= block.start[d] + block.count[d]) return std::nullopt;
    place = place * block.count[d] + (along[d] - block.start[d]);
  }
  return place;
}

}  // namespace

struct SweepFile::Contents {
  std::string path;
  File file;
  std::map<std::size_t, std::string> messages;  // of cases that failed
  // the block that was read last: where it lies, and each quantity's values one case after another
  Slab block;
  std::vector<std::vector<double>> columns;
};

SweepFile::SweepFile(const std::string& path) : contents_(new Contents{path, open(path), {}, {}, {}}) {
  const File& file = contents_->file;
  if (!file.has(detail::kGroup) || !file.has(detail::kDescription))
    fail(path, "was not written by feldspar sweep");
  const std::vector<hsize_t> size = file.sizes(detail::kDescription);
  std::vector<std::uint8_t> bytes(size.size() == 1 ? size[0] : 0);
  if (bytes.empty() || !file.read(detail::kDescription, bytes))
    fail(path, "is damaged where it says what it holds");
  detail::Description found = detail::description_of({bytes.begin(), bytes.end()}, path);
  layout_ = std::move(found.layout);
  provenance_ = std::move(found.provenance);
  contents_->messages = std::move(found.messages);
  for (const results::Quantity& quantity : layout_.quantities)
    if (file.sizes(quantity.name) != detail::sizes_of(layout_, quantity.extent))
      fail(path, fmt::format("is damaged: '{}' does not fit the axes", quantity.name));
  read_status();
}

SweepFile::~SweepFile() = default;

void SweepFile::read_status() {
  std::vector<std::uint8_t> found(layout_.count());
  const detail::Blocks blocks(layout_);
  blocks.each([&](const Slab& block) {
    const std::vector<std::size_t> cases = detail::cases_in(block, blocks.sizes);
    std::vector<std::uint8_t> part(cases.size());
    const bool sound = contents_->file.read(kStatus, part, &block);
    if (!sound) damaged_ += cases.size();
    for (std::size_t i = 0; i < cases.size(); ++i)
      found[cases[i]] = sound && part[i] < 3 ? part[i] : static_cast<std::uint8_t>(CaseStatus::missing);
  });
  status_.resize(found.size());
  std::transform(found.begin(), found.end(), status_.begin(),
                 [](std::uint8_t value) { return static_cast<CaseStatus>(value); });
}

std::size_t SweepFile::count(CaseStatus status) const {
  return static_cast<std::size_t>(std::count(status_.begin(), status_.end(), status));
}

/// Reads the block of a case; where anything in it is damaged, its cases are missing from now on.
void SweepFile::read_block(std::size_t index) {
  const detail::Blocks blocks(layout_);
  Slab& block = contents_->block;
  block = {};
  const std::vector<std::size_t> along = layout_.split(index);
  for (std::size_t d = 0; d < along.size(); ++d) {
    block.start.push_back(along[d] / blocks.block[d] * blocks.block[d]);
    block.count.push_back(std::min(blocks.block[d], blocks.sizes[d] - block.start[d]));
  }
  const std::vector<std::size_t> cases = detail::cases_in(block, blocks.sizes);
  contents_->columns.clear();
  bool sound = true;
  for (const results::Quantity& quantity : layout_.quantities) {
    const Slab slab = detail::slab_of(block, detail::sizes_of(layout_, quantity.extent));
    std::vector<double>& column = contents_->columns.emplace_back(cases.size() * layout_.values(quantity));
    sound = sound && contents_->file.read(quantity.name, column, &slab);
  }
  if (sound) return;
  for (const std::size_t damaged : cases) {
    damaged_ += status_[damaged] == CaseStatus::missing ? 0 : 1;
    status_[damaged] = CaseStatus::missing;
  }
}

std::size_t SweepFile::verify() {
  const detail::Blocks blocks(layout_);
  blocks.each([&](const Slab& block) { read_block(detail::cases_in(block, blocks.sizes).front()); });
  return damaged_;
}

results::CaseRecord SweepFile::read(std::size_t index) {
  results::CaseRecord record;
  record.index = index;
  if (status_[index] == CaseStatus::missing) return record;
  std::optional<std::size_t> place = place_in(contents_->block, layout_.split(index));
  if (!place) {
    read_block(index);
    place = place_in(contents_->block, layout_.split(index));
  }
  record.status = status_[index];
  if (record.status == CaseStatus::missing) return record;
  if (record.status == CaseStatus::failed) record.message = contents_->messages[index];
  if (record.status != CaseStatus::done) return record;
  for (std::size_t q = 0; q < layout_.quantities.size(); ++q) {
    const auto count = static_cast<std::ptrdiff_t>(layout_.values(layout_.quantities[q]));
    const auto first = contents_->columns[q].begin() + static_cast<std::ptrdiff_t>(*place) * count;
    record.values.insert(record.values.end(), first, first + count);
  }
  return record;
}

std::vector<double> SweepFile::values(const std::string& name) const {
  const auto at = std::find_if(layout_.quantities.begin(), layout_.quantities.end(),
                               [&](const results::Quantity& quantity) { return quantity.name == name; });
  if (at == layout_.quantities.end())
    throw core::Error(core::ErrorKind::usage, fmt::format("there is no '{}' in it", name),
                      core::Place{contents_->path, 0, 0, {}});
  const std::size_t each = layout_.values(*at);
  std::vector<double> all(layout_.count() * each, std::numeric_limits<double>::quiet_NaN());
  if (contents_->file.read(name, all)) return all;
  std::fill(all.begin(), all.end(), std::numeric_limits<double>::quiet_NaN());
  const detail::Blocks blocks(layout_);  // damaged somewhere: what is sound, block by block
  blocks.each([&](const Slab& block) {
    const std::vector<std::size_t> cases = detail::cases_in(block, blocks.sizes);
    std::vector<double> part(cases.size() * each);
    const Slab slab = detail::slab_of(block, detail::sizes_of(layout_, at->extent));
    if (!contents_->file.read(name, part, &slab)) return;
    for (std::size_t i = 0; i < cases.size(); ++i)
      std::copy_n(part.begin() + static_cast<std::ptrdiff_t>(i * each), each,
                  all.begin() + static_cast<std::ptrdiff_t>(cases[i] * each));
  });
  return all;
}

}  // namespace feldspar::storage
