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
execute_process(COMMAND gzip -9nf ${doc}/changelog ${page} COMMAND_ERROR_IS_FATAL ANY)
