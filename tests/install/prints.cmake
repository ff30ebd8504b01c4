# Runs the programs of the consumer and compares what each prints, exactly, with the text that follows its source in the README.
#
#     cmake -Dconsumer=path/to/its/build -Dreadme=README.md -P prints.cmake

file(READ ${readme} text)
foreach(program IN ITEMS consumer session)  # in the order of the README
  execute_process(COMMAND ${consumer}/${program} OUTPUT_VARIABLE printed COMMAND_ERROR_IS_FATAL ANY)
  foreach(start IN ITEMS "```cpp\n" "```text\n")
    string(FIND "${text}" "${start}" at)
    if(at EQUAL -1)
      message(FATAL_ERROR "${readme} has no C++ program ${program} with its output")
    endif()
    string(LENGTH "${start}" length)
    math(EXPR at "${at} + ${length}")
    string(SUBSTRING "${text}" ${at} -1 text)
  endforeach()
  string(FIND "${text}" "```" end)
  string(SUBSTRING "${text}" 0 ${end} expected)

  # As in tests/python/test_readme.py, empty lines at the end do not count.
  string(REGEX REPLACE "\n+$" "" expected "${expected}")
  string(REGEX REPLACE "\n+$" "" printed "${printed}")
  if(NOT printed STREQUAL expected)
    message("The README promises\n${expected}\n\nbut ${program} prints\n${printed}")
    message(FATAL_ERROR "a C++ program of ${readme} does not print what is said there")
  endif()
endforeach()
