#include "storage/gather.hpp"

#include <fmt/format.h>

#include <memory>

#include "core/error.hpp"
#include "storage/difference.hpp"
#include "storage/sweep_file.hpp"

namespace feldspar::storage {

namespace {

using results::CaseStatus;

[[noreturn]] void refuse_gathering(const std::string& path, const std::string& why) {
  throw core::Error(core::ErrorKind::usage, why, core::Place{path, 0, 0, {}});
}

/// Every case from the one file that has it.
class Parts : public CaseSource {
 public:
  explicit Parts(const std::vector<std::string>& paths) {
    for (const std::string& path : paths) {
      files_.push_back(std::make_unique<SweepFile>(path));
      const std::string& first = files_.front()->provenance().plan;
      const std::string& plan = files_.back()->provenance().plan;
      if (plan != first)
        refuse_gathering(path, fmt::format("is of another study than {}. What differs:\n{}", paths.front(),
                                           difference(first, plan)));
      claim(paths);
    }
    std::size_t missing = 0;
    for (const int owner : owner_) missing += owner < 0 ? 1 : 0;
    if (missing > 0)
      refuse_gathering(
          paths.front(),
          fmt::format("{} of {} cases are in none of these files; run the shares that are missing "
                      "or not finished",
                      missing, owner_.size()));
  }

  [[nodiscard]] results::CaseRecord read(std::size_t index) override {
    results::CaseRecord record = files_[static_cast<std::size_t>(owner_[index])]->read(index);
    if (record.status == CaseStatus::missing)
      throw core::Error(core::ErrorKind::storage,
                        fmt::format("case {} of share {} is damaged; run that share again", index + 1,
                                    files_[static_cast<std::size_t>(owner_[index])]->provenance().share));
    return record;
  }

  [[nodiscard]] const SweepFile& first() const { return *files_.front(); }

 private:
  void claim(const std::vector<std::string>& paths) {
    const SweepFile& file = *files_.back();
    owner_.resize(file.layout().count(), -1);
    const int me = static_cast<int>(files_.size()) - 1;
    for (std::size_t i = 0; i < owner_.size(); ++i) {
      if (file.status(i) == CaseStatus::missing) continue;
      if (owner_[i] >= 0)
        refuse_gathering(paths[static_cast<std::size_t>(me)],
                         fmt::format("case {} is in {} as well; give each share once", i + 1,
                                     paths[static_cast<std::size_t>(owner_[i])]));
      owner_[i] = me;
    }
  }

  std::vector<std::unique_ptr<SweepFile>> files_;
  std::vector<int> owner_;
};

}  // namespace

void gather(const std::vector<std::string>& parts, const std::string& output) {
  Parts source(parts);
  Provenance provenance = source.first().provenance();
  provenance.share.clear();
  write_sweep_file(output, source.first().layout(), provenance, source);
}

}  // namespace feldspar::storage
