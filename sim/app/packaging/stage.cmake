# Before a Debian package is packed: its papers compressed as Debian asks, licences by reference.
file(GLOB_RECURSE page ${CPACK_TEMPORARY_INSTALL_DIRECTORY}/*mistwright.1)
if(NOT page)
  message(FATAL_ERROR "no manual page under ${CPACK_TEMPORARY_INSTALL_DIRECTORY}")
endif()
get_filename_component(root ${page}/../../.. ABSOLUTE)
set(doc ${root}/doc/mistwright)
file(COPY ${CMAKE_CURRENT_LIST_DIR}/copyright ${CMAKE_CURRENT_LIST_DIR}/changelog DESTINATION ${doc}
  FILE_PERMISSIONS OWNER_READ OWNER_WRITE GROUP_READ WORLD_READ)
file(REMOVE ${doc}/LICENSE)
# The plotting library of the report, with its own notice.
file(READ ${CMAKE_CURRENT_LIST_DIR}/../../report/vendor/LICENSE notice)
string(REGEX MATCH "Copyright \\(c\\) ([^\n]*)\n\n(.*[^\n])" notice "${notice}")
set(owner ${CMAKE_MATCH_1})
set(terms "${CMAKE_MATCH_2}")
string(REPLACE "\n\n" "\n.\n" terms "${terms}")
string(REPLACE "\n" "\n " terms "${terms}")
file(APPEND ${doc}/copyright "\nFiles: sim/report/vendor/*\nCopyright: ${owner}\nLicense: Expat\n ${terms}\n")
execute_process(COMMAND gzip -9nf ${doc}/changelog ${page} COMMAND_ERROR_IS_FATAL ANY)
