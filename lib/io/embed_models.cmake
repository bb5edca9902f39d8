# cmake -DFILES=a.toml,b.toml -DOUTPUT=builtin.cpp -P embed_models.cmake: the model files as one C++ source.
cmake_minimum_required(VERSION 3.25)
string(REPLACE "," ";" FILES "${FILES}")
set(rows "")
foreach(file IN LISTS FILES)
  get_filename_component(name ${file} NAME_WE)
  file(READ ${file} hex HEX)
  # A string literal may be limited to 64 KiB in other compilers; bytes in an array have no limit and no delimiter.
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1'," bytes "${hex}")
  string(REPLACE "-" "_" symbol "${name}")
  string(APPEND arrays "constexpr char k_${symbol}[] = {${bytes}'\\0'};\n")
  string(APPEND rows "    {\"${name}\", {k_${symbol}, sizeof k_${symbol} - 1}},\n")
endforeach()
file(WRITE ${OUTPUT} "// Made from models/*.toml by embed_models.cmake.
#include \"io/builtin_detail.hpp\"

namespace feldspar::io::detail {

namespace {
${arrays}
constexpr Builtin kBuiltins[] = {
${rows}};
}  // namespace

std::span<const Builtin> builtins() { return kBuiltins; }

}  // namespace feldspar::io::detail
")
