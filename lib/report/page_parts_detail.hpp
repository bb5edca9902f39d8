#pragma once

#include <string>
#include <vector>

#include "report/figures_detail.hpp"
#include "report/page.hpp"
#include "report/text_table.hpp"

/// Sections of a page (private to this module).
namespace feldspar::report::detail {

/// A table of text cells; all of it escaped. @param headings  one for each column
[[nodiscard]] std::string html_table(const std::vector<std::string>& headings, const TextTable& table);

[[nodiscard]] std::vector<std::string> headings_of(const TextTable& table);

[[nodiscard]] std::string section(const char* name, const std::string& heading, const std::string& content);
[[nodiscard]] std::string paragraph(const std::string& text);
/// @param band  which the still picture shows; may be empty
[[nodiscard]] std::string figure_html(const Figure& figure, const std::string& band = "");

struct PageContent {
  std::string title;
  std::string headline;
  std::string body;  ///< markup
  std::string data;  ///< JSON without `<`
};
/// With style and scripts.
[[nodiscard]] std::string whole_page(const PageContent& content, const PageOptions& options);

/// For a script element: nothing in it may end the element.
[[nodiscard]] std::string without_markup(const std::string& json);

/// The numbers behind the plots, for the page's script; without `<`.
[[nodiscard]] std::string page_data(const std::vector<Rig>& rigs);

/// Cut lengths, heights and end points of every wire, copies together.
[[nodiscard]] TextTable rigging_table(const model::Model& model);
[[nodiscard]] std::string rigging_total(const model::Model& model);

/// What differs between rigs: parameters that they do not share, SWR, share of the sky, gains. Rows of bands
/// in which nothing that is printed differs are left out.
[[nodiscard]] TextTable changed_settings(const std::vector<Rig>& rigs);
[[nodiscard]] TextTable changed_bands(const std::vector<Rig>& rigs);

/// What is compared in the middle of a band.
struct ComparedItem {
  const char* name;
  std::string (*text)(const results::BandRow&);
};
[[nodiscard]] const std::vector<ComparedItem>& compared_items();

[[nodiscard]] std::string base64(const unsigned char* bytes, std::size_t size);

}  // namespace feldspar::report::detail
