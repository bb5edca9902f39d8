# cmake -DFOLDER=page -DOUTPUT=page_files.cpp -P embed_page.cmake: style, script and plots of report pages as one C++
# source.
cmake_minimum_required(VERSION 3.25)

function(append_array name file)
  file(READ ${file} hex HEX)
  # Bytes in an array have no limit and no delimiter, as a string literal would.
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${hex}")
  set(arrays "${arrays}constexpr unsigned char ${name}[] = {${bytes}};\n" PARENT_SCOPE)
endfunction()

set(arrays "")
append_array(kStyle ${FOLDER}/page.css)
append_array(kScript ${FOLDER}/page.js)
append_array(kPlots ${FOLDER}/plotly.min.js.gz)
file(WRITE ${OUTPUT} "// Made from lib/report/page/ by embed_page.cmake.
#include \"report/page_files_detail.hpp\"

namespace feldspar::report::detail {
namespace {
${arrays}
}  // namespace

std::span<const unsigned char> page_style() { return kStyle; }
std::span<const unsigned char> page_script() { return kScript; }
std::span<const unsigned char> page_plots() { return kPlots; }

}  // namespace feldspar::report::detail
")
