# cmake -DMODELS=a.toml,b.toml -DSTUDIES=c.toml -DOUTPUT=builtin.cpp -P embed_models.cmake: the files as one C++ source.
cmake_minimum_required(VERSION 3.25)
set(arrays "")

# rows(LIST FILES): an array for each file, and the list that names them.
function(rows variable prefix files)
  string(REPLACE "," ";" files "${files}")
  set(list "")
  foreach(file IN LISTS files)
    get_filename_component(name ${file} NAME_WE)
    file(READ ${file} hex HEX)
    # A string literal may be limited to 64 KiB in other compilers; bytes in an array have no limit and no delimiter.
    string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1'," bytes "${hex}")
    string(REPLACE "-" "_" symbol "${prefix}_${name}")
    string(APPEND arrays "constexpr char ${symbol}[] = {${bytes}'\\0'};\n")
    string(APPEND list "    {\"${name}\", {${symbol}, sizeof ${symbol} - 1}},\n")
  endforeach()
  set(arrays "${arrays}" PARENT_SCOPE)
  set(${variable} "${list}" PARENT_SCOPE)
endfunction()

rows(models model "${MODELS}")
rows(studies study "${STUDIES}")
file(WRITE ${OUTPUT} "// Made from models/*.toml and models/studies/*.toml by embed_models.cmake.
#include \"io/builtin_detail.hpp\"

namespace feldspar::io::detail {

namespace {
${arrays}
constexpr Builtin kModels[] = {
${models}};
constexpr Builtin kStudies[] = {
${studies}};
}  // namespace

std::span<const Builtin> builtins() { return kModels; }
std::span<const Builtin> builtin_studies() { return kStudies; }

}  // namespace feldspar::io::detail
")
