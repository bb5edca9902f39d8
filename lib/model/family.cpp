#include "model/family.hpp"

#include <utility>

#include "model/parameters_detail.hpp"
#include "model/reader_detail.hpp"
#include "model/sections_detail.hpp"
#include "model/settings_detail.hpp"

namespace feldspar::model {

Family::Family(Node root, std::string name, FileText files)
    : root_(std::move(root)), name_(std::move(name)), files_(std::move(files)), title_(name_) {
  const detail::Reader top(root_, detail::kTop);
  if (const Node* title = top.find("title")) title_ = detail::text(*title, "Dipole at the boathouse");
  if (const Node* about = top.find("about")) about_ = detail::text(*about, "what it is good for");
  parameters_ = detail::Parameters(top.find("parameters"), {}).descriptions();
}

Model Family::instantiate(const std::vector<Setting>& settings) const {
  Node root = root_;
  auto changed = detail::apply(settings, root);
  const detail::Reader top(root, detail::kTop);
  detail::Parameters parameters(top.find("parameters"), std::move(changed));
  Model model;
  model.name = name_;
  model.title = title_;
  model.about = about_;
  model.parameters = parameters.values();
  const Scope& scope = parameters.scope();
  detail::read_site(top.find("site"), scope, model);
  detail::read_ground(top.find("ground"), scope, model);
  const detail::Files files{files_};
  model.antenna = detail::read_antenna(top, scope, files);
  if (!model.antenna) {
    (void)top.need("wires", "[[wires]] with name, path and diameter");
    const auto wires = detail::read_wires(top.find("wires"), scope, model.structure);
    detail::read_ports(top, scope, wires, model.structure);
    detail::read_inserts(top.find("inserts"), scope, wires, model.structure);
  }
  const detail::Context context{scope, files};
  model.feed = detail::read_feed(top.find("feed"), context);
  detail::read_outside(top.find("feed"), context, model);
  return model;
}

}  // namespace feldspar::model
