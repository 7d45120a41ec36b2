# Puts files into a program: fretloom_embed(TARGET HEADER FUNCTION NAME=FILE...)
# HEADER, seen from src, declares `std::span<const EmbeddedFile> FUNCTION();` in a namespace that FUNCTION may name
# ("fretloom::studio::page_files"). FILEs may be made by the build. The assembler reads them, so that a megabyte takes no time.
function(fretloom_embed target header function)
  string(REGEX REPLACE "(.*)::.*" "\\1" namespace ${function})
  string(REGEX REPLACE ".*::" "" name ${function})
  set(source ${CMAKE_CURRENT_BINARY_DIR}/embedded/${target}_${name}.cpp)
  set(assembly "")
  set(declarations "")
  set(rows "")
  set(files "")
  set(number 0)
  foreach(pair ${ARGN})
    string(REGEX MATCH "^([^=]+)=(.+)$" good "${pair}")
    if(NOT good)
      message(FATAL_ERROR "fretloom_embed: ${pair} is not NAME=FILE")
    endif()
    set(asked ${CMAKE_MATCH_1})
    set(file ${CMAKE_MATCH_2})
    set(symbol fretloom_${name}_${number})
    string(APPEND assembly "        \".balign 16\\n\"\n        \"${symbol}_begin:\\n\"\n        \".incbin \\\"${file}\\\"\\n\"\n        \"${symbol}_end:\\n\"\n")
    string(APPEND declarations "extern const char ${symbol}_begin[];\nextern const char ${symbol}_end[];\n")
    string(APPEND rows "      EmbeddedFile{\"${asked}\", {${symbol}_begin, static_cast<std::size_t>(${symbol}_end - ${symbol}_begin)}},\n")
    list(APPEND files ${file})
    math(EXPR number "${number} + 1")
  endforeach()
  file(CONFIGURE OUTPUT ${source} @ONLY CONTENT [[
// Made by cmake/embed.cmake; not to be edited.
#include "@header@"

#include <array>

__asm__(".pushsection .rodata\n"
@assembly@        ".popsection\n");

extern "C" {
@declarations@}

namespace @namespace@ {

std::span<const EmbeddedFile> @name@() {
  static const std::array files = {
@rows@  };
  return files;
}

}  // namespace @namespace@
]])
  set_source_files_properties(${source} PROPERTIES OBJECT_DEPENDS "${files}" SKIP_LINTING ON)
  target_sources(${target} PRIVATE ${source})
endfunction()
