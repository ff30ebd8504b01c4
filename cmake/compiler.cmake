# The compiler: what it must be, its warnings, sanitizers, ccache.

if((CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 12)
    OR (CMAKE_CXX_COMPILER_ID STREQUAL "Clang" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 14))
  message(FATAL_ERROR "fedfrom needs gcc 12 or clang 14, or later; "
    "this is ${CMAKE_CXX_COMPILER_ID} ${CMAKE_CXX_COMPILER_VERSION}")
endif()

# Private, so that no warning flag reaches who uses the library.
function(fedfrom_add_warnings target)
  target_compile_options(${target} PRIVATE
    -Wall -Wextra -Wpedantic -Wnon-virtual-dtor -Woverloaded-virtual
    -Wno-missing-field-initializers  # designated initializers that leave the rest at its default are our style
    $<$<BOOL:${FEDFROM_WARNINGS_AS_ERRORS}>:-Werror>)
  if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    # Optimised or instrumented, gcc 12 warns of its own standard library: std::string's operator+, std::regex.
    target_compile_options(${target} PRIVATE -Wno-restrict -Wno-maybe-uninitialized -Wno-psabi)
  endif()
endfunction()

if(PROJECT_IS_TOP_LEVEL)
  if(NOT CMAKE_BUILD_TYPE AND NOT CMAKE_CONFIGURATION_TYPES)
    set(CMAKE_BUILD_TYPE Release CACHE STRING "Debug, Release, RelWithDebInfo or MinSizeRel" FORCE)
  endif()
  find_program(CCACHE ccache)
  mark_as_advanced(CCACHE)
  if(CCACHE AND NOT DEFINED CMAKE_CXX_COMPILER_LAUNCHER)
    set(CMAKE_CXX_COMPILER_LAUNCHER ${CCACHE})
    set(CMAKE_C_COMPILER_LAUNCHER ${CCACHE})
  endif()
  set(CMAKE_CXX_EXTENSIONS OFF)
  set(CMAKE_EXPORT_COMPILE_COMMANDS ON)
endif()

if(FEDFROM_SANITIZE)
  add_compile_options(-fsanitize=${FEDFROM_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  add_link_options(-fsanitize=${FEDFROM_SANITIZE})
endif()
