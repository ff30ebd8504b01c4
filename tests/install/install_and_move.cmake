# Installs, then moves the tree to ${prefix}: what is found there afterwards has
# not kept the path it was installed to, nor one into the source or build tree.

file(REMOVE_RECURSE ${prefix} ${prefix}-first)
execute_process(COMMAND ${CMAKE_COMMAND} --install ${build} --prefix ${prefix}-first --component development
  COMMAND_ERROR_IS_FATAL ANY OUTPUT_QUIET)
file(RENAME ${prefix}-first ${prefix})

file(GLOB_RECURSE files ${prefix}/*.cmake ${prefix}/*.pc)
foreach(file IN LISTS files)
  file(READ ${file} text)
  foreach(path IN ITEMS ${source} ${build} ${prefix}-first)
    string(FIND "${text}" "${path}" at)
    if(NOT at EQUAL -1)
      message(FATAL_ERROR "${file} names ${path}: the package is not relocatable")
    endif()
  endforeach()
endforeach()
