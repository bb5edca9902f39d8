#include <fmt/format.h>

#include <cstddef>
#include <string>

#include "core/work.hpp"
#include "decision/bands.hpp"
#include "io/model_file.hpp"
#include "solver/solve.hpp"
#include "study/run_bands.hpp"
#include "study/solve_model.hpp"
#include "study/solved_curve.hpp"

// The counted work of a fixed list of cases as JSON: built-in models at three frequencies, and operating
// tables. The argument is the number of threads of the tables; the counts do not depend on it.
namespace feldspar {

namespace {

bool first = true;

void print(const std::string& name, const core::Work& work) {
  fmt::print("{}\n  \"{}\": {{\"samples\": {}, \"solves\": {}, \"unknowns\": {}, \"table_entries\": {}}}",
             first ? "" : ",", name, work.samples, work.solves, work.unknowns, work.table_entries);
  first = false;
}

void solves() {
  solver::Options options;
  options.fields = false;
  for (const char* name : {"dipole", "end-fed-half-wave", "inverted-v", "low-horizontal", "triangle-loop",
                           "vertical-raised-radials", "whip-ground-radials", "whip-stake-radials"}) {
    const model::Model model = io::load_family(name).instantiate({});
    for (const double megahertz : {3.6, 14.1, 28.5})
      print(fmt::format("{} at {} MHz", name, megahertz),
            solver::solve(model, core::Frequency{1e6 * megahertz}, options).work);
  }
}

void tables(int threads) {
  const auto table = [&](const std::string& name, const model::Model& model) {
    study::BandOptions options;
    options.bands = decision::bands(model.region);
    options.threads = threads;
    print("bands of " + name,
          study::run_bands(model, options, study::curves_of(model, solver::Accuracy::normal, threads),
                           study::solver_for(model))
              .work);
  };
  table("dipole", io::load_family("dipole").instantiate({}));
  const model::Family whip = io::load_family("whip-ground-radials");
  table("whip-ground-radials", whip.instantiate({}));
  table("whip-ground-radials with 16", whip.instantiate({{"radial_count", "16"}}));
}

}  // namespace

}  // namespace feldspar

int main(int argc, char** argv) {
  fmt::print("{{");
  feldspar::solves();
  feldspar::tables(argc > 1 ? std::stoi(argv[1]) : 1);
  fmt::print("\n}}\n");
  return 0;
}
