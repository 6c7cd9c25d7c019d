# Writes the message catalogues into a C++ source: cmake -DOUT=... -DMO=de=...;es=... -P embed.cmake
set(arrays "")
set(choices "")
foreach(entry IN LISTS MO)
  string(REPLACE "=" ";" pair "${entry}")
  list(GET pair 0 code)
  list(GET pair 1 file)
  file(READ ${file} hex HEX)
  string(REGEX REPLACE "(................................)" "\\1\n" hex "${hex}")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1, " lines "${hex}")
  string(APPEND arrays "constexpr unsigned char k_${code}[] = {\n${lines}};\n")
  string(APPEND choices "  if (code == \"${code}\") return Bytes(k_${code}, sizeof k_${code});\n")
endforeach()
file(WRITE ${OUT} "// Made from po/ when the program is built; edit the files there.
#include \"models/words_catalogue.h\"

namespace holeward {
namespace {

${arrays}
std::string_view Bytes(const unsigned char* bytes, std::size_t size) {
  return {reinterpret_cast<const char*>(bytes), size};
}

}  // namespace

std::string_view CatalogueBytes(std::string_view code) {
${choices}  return {};
}

}  // namespace holeward
")
