#include "study/solve_model.hpp"

#include <memory>

namespace feldspar::study {

core::Frequency mesh_frequency(core::Frequency f) {
  for (const double top : {54e6, 150e6})
    if (f.si <= top) return core::Frequency{top};
  return f;
}

SolveFunction solver_for(const model::Model& model, solver::Accuracy accuracy, int threads,
                         const solver::Keep& keep) {
  return [&model, accuracy, threads, keep](core::Frequency f, bool fields) {
    solver::Options options;
    options.accuracy = accuracy;
    options.threads = threads;
    options.fields = fields;
    options.keep = keep;
    options.mesh_for = mesh_frequency(f);
    return solver::solve(model, f, options);
  };
}

ModelSolve solver_for_models(solver::Accuracy accuracy) {
  const auto tables = std::make_shared<media::TableStore>();
  return [accuracy, tables](const model::Model& model, core::Frequency f) {
    solver::Options options;
    options.accuracy = accuracy;
    options.tables = tables;
    options.mesh_for = mesh_frequency(f);
    return solver::solve(model, f, options);
  };
}

}  // namespace feldspar::study
