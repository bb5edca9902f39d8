#pragma once

#include <span>

/// The files of lib/report/page/, built into the program (private to this module).
namespace feldspar::report::detail {

[[nodiscard]] std::span<const unsigned char> page_style();   ///< page.css
[[nodiscard]] std::span<const unsigned char> page_script();  ///< page.js
[[nodiscard]] std::span<const unsigned char> page_plots();   ///< plotly.min.js.gz

}  // namespace feldspar::report::detail
