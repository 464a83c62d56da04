# What `cmake --install` and CPack put where: examples, papers, and the models as a library that
# `pkg-config mistwright` names. The program, its manual page and completions: sim/app.
install(DIRECTORY scenarios/heads scenarios/weather DESTINATION ${CMAKE_INSTALL_DATADIR}/mistwright/scenarios)
install(FILES scenarios/demo.toml scenarios/too_little.toml scenarios/typical_year_week.toml
  scenarios/typical_year_season.toml DESTINATION ${CMAKE_INSTALL_DATADIR}/mistwright/scenarios)
install(FILES README.md LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})

# The rooms of models/, the highest first, as the linker wants them.
set(rooms water droplet flow leaf medium control sky air)
set(pkg_libs "")
foreach(room IN LISTS rooms)
  install(TARGETS mistwright_${room} ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR}/mistwright COMPONENT library)
  string(APPEND pkg_libs " -lmistwright_${room}")
endforeach()
install(DIRECTORY models DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/mistwright COMPONENT library
  FILES_MATCHING PATTERN "*.h")
set(pkg_contracts "")
if(MISTWRIGHT_CONTRACTS)
  set(pkg_contracts " -DMISTWRIGHT_CONTRACTS=1")
endif()
file(RELATIVE_PATH pkg_up /${CMAKE_INSTALL_LIBDIR}/pkgconfig /)
configure_file(sim/app/packaging/mistwright.pc.in mistwright.pc @ONLY)
install(FILES ${PROJECT_BINARY_DIR}/mistwright.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig COMPONENT library)

# The Debian package: `cpack -G DEB` in the build folder.
set(CPACK_PACKAGE_NAME mistwright)
set(CPACK_PACKAGE_VENDOR "mistwright")
set(CPACK_PACKAGE_CONTACT "mistwright maintainers <packages@mistwright.example>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "simulate cuttings under intermittent mist")
set(CPACK_PACKAGE_DESCRIPTION "simulates the air, water and leaves of a propagation house minute by minute:
pressures and flows from the tap to each head, drops from the head to the
leaf, the film on every leaf until it dries. Reads a scenario of the house
and says whether the leaves stay wet and what the water costs.")
set(CPACK_RESOURCE_FILE_LICENSE ${PROJECT_SOURCE_DIR}/LICENSE)
set(CPACK_STRIP_FILES ON)
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_DIRECTORY ${PROJECT_BINARY_DIR})
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE
  WORLD_READ WORLD_EXECUTE)
set(CPACK_PRE_BUILD_SCRIPTS ${PROJECT_SOURCE_DIR}/sim/app/packaging/stage.cmake)
# The library is for those who build from source; the package holds the program.
set(CPACK_COMPONENTS_ALL Unspecified)
set(CPACK_COMPONENTS_GROUPING ALL_COMPONENTS_IN_ONE)
set(CPACK_DEB_COMPONENT_INSTALL ON)
include(CPack)
