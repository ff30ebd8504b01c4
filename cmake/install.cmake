# Headers, library, schemas and a relocatable CMake package. All in the
# component `development`; the Python module has its own, `python`.
include(CMakePackageConfigHelpers)
include(GNUInstallDirs)

set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/fedfrom)

install(TARGETS fedfrom_headers fedfrom EXPORT fedfrom-targets
  ARCHIVE COMPONENT development LIBRARY COMPONENT development RUNTIME COMPONENT development)
install(DIRECTORY include/fedfrom DESTINATION ${CMAKE_INSTALL_INCLUDEDIR} COMPONENT development
  FILES_MATCHING PATTERN *.hpp PATTERN *.ipp PATTERN *.h)
install(DIRECTORY schemas DESTINATION ${CMAKE_INSTALL_DATADIR}/fedfrom COMPONENT development
  FILES_MATCHING PATTERN *.json)
install(FILES LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR} COMPONENT development)

install(EXPORT fedfrom-targets NAMESPACE fedfrom:: DESTINATION ${package_dir} COMPONENT development)
configure_package_config_file(cmake/fedfrom-config.cmake.in fedfrom-config.cmake INSTALL_DESTINATION ${package_dir})
# Before 1.0 a minor release may change names.
write_basic_package_version_file(fedfrom-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${PROJECT_BINARY_DIR}/fedfrom-config.cmake ${PROJECT_BINARY_DIR}/fedfrom-config-version.cmake
  DESTINATION ${package_dir} COMPONENT development)

# The build tree works as a package too: -Dfedfrom_DIR=<build folder>.
export(EXPORT fedfrom-targets NAMESPACE fedfrom:: FILE fedfrom-targets.cmake)
