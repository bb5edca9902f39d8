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

ModelSolve solver_for_models(solver::Accuracy accuracy) {
  return [accuracy](const model::Model& model, core::Frequency f) {
    solver::Options options;
    options.accuracy = accuracy;
    return solver::solve(model, f, options);
  };
}

}  // namespace feldspar::study
