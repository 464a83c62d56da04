# Makes a C++ file of the page's style and script: cmake -DOUT=... -DHERE=... -P embed.cmake
# The program then needs no file at run time. Text is taken as it stands, but for the banner line
# of the plotting library (it names an address): its licence goes in front of it instead.
include(${HERE}/browser/parts.cmake)

function(read_all result)
  set(all "")
  foreach(name ${ARGN})
    file(READ ${HERE}/${name} text)
    string(APPEND all "${text}")
  endforeach()
  set(${result} "${all}" PARENT_SCOPE)
endfunction()

read_all(style vendor/uPlot.min.css ${page_styles})
read_all(licence vendor/LICENSE)
read_all(plotting vendor/uPlot.iife.min.js)
string(REGEX REPLACE "^/\\*![^\n]*\\*/\n" "" plotting "${plotting}")
read_all(own ${page_scripts})
# One strict scope for all parts, so that the page's window stays clean.
set(script "/* uPlot 1.6.32\n${licence}*/\n${plotting}(() => {\n'use strict';\n${own}})();\n")

foreach(text style script)
  string(FIND "${${text}}" ")embedded\"" clash)
  string(FIND "${${text}}" "</script" end_tag)
  if(NOT clash EQUAL -1 OR NOT end_tag EQUAL -1)
    message(FATAL_ERROR "the page's ${text} holds letters that would end it early")
  endif()
endforeach()
file(WRITE ${OUT} "#include \"sim/report/page_style.h\"\n\nnamespace mistwright::report {\n\n"
  "const std::string_view page_css = R\"embedded(${style})embedded\";\n\n"
  "const std::string_view page_script = R\"embedded(${script})embedded\";\n\n"
  "}  // namespace mistwright::report\n")
