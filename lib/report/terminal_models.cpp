#include <fmt/format.h>

#include <algorithm>

#include "report/terminal.hpp"
#include "report/text_table.hpp"

namespace feldspar::report {

std::string models_text(const std::vector<ModelListing>& models, const std::vector<StudyListing>& studies,
                        const TerminalOptions& options) {
  std::size_t widest = 0;
  for (const ModelListing& model : models) widest = std::max(widest, model.name.size());
  for (const StudyListing& study : studies) widest = std::max(widest, study.name.size());
  std::string text = paint("Built-in models", Colour::strong, options.colour) + '\n';
  for (const ModelListing& model : models) {
    const std::string line = fmt::format("{:<{}}  {}", model.name, widest, model.title);
    text += line + '\n';
  }
  text += '\n' + paint("Built-in studies", Colour::strong, options.colour) + '\n';
  for (const StudyListing& study : studies)
    text += fmt::format("{:<{}}  {}\n", study.name, widest, study.title);
  text +=
      "\nParameters of one: feldspar models NAME\n"
      "A copy to edit:    feldspar models NAME --output my.toml\n";
  return text;
}

std::string model_text(const ModelListing& model, const TerminalOptions& options) {
  std::string text = paint(model.title, Colour::strong, options.colour) + '\n';
  text += wrap(model.about, 80, 0) + '\n';
  if (model.parameters.empty()) {
    text += "No parameters.\n";
  } else {
    TextTable table(
        {{"parameter", Align::left}, {"default", Align::left}, {"from", Align::left}, {"to", Align::left}});
    for (const auto& parameter : model.parameters) {
      table.add_row(
          {{parameter.name}, {parameter.default_text}, {parameter.minimum_text}, {parameter.maximum_text}});
    }
    text += table.render(options.colour) + '\n';
    for (const auto& parameter : model.parameters) text += wrap(parameter.name + ": " + parameter.about);
  }
  const std::string example = model.parameters.empty()
                                  ? ""
                                  : fmt::format(" --set \"{}={}\"", model.parameters.front().name,
                                                model.parameters.front().default_text);
  text += fmt::format(
      "\nTo compute it:  feldspar bands {}{}\nA copy to edit: feldspar models {} --output my.toml\n",
      model.name, example, model.name);
  return text;
}

std::string study_text(const StudyListing& study, const TerminalOptions& options) {
  return paint(study.title, Colour::strong, options.colour) + '\n' + wrap(study.about, 80, 0) +
         fmt::format(
             "\nTo run it:      feldspar sweep {0} --output {0}.h5\nA copy to edit: feldspar models {0} "
             "--output "
             "my.toml\n",
             study.name);
}

}  // namespace feldspar::report
