#include "study/solve_model.hpp"

namespace feldspar::study {

SolveFunction solver_for(const model::Model& model, solver::Accuracy accuracy, int threads) {
  return [&model, accuracy, threads](core::Frequency f, bool fields) {
    solver::Options options;
    options.accuracy = accuracy;
    options.threads = threads;
    options.fields = fields;
    return solver::solve(model, f, options);
  };
}

}  // namespace feldspar::study
