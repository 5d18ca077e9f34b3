# One library target a folder: handrail_library(plan DEPS outing timeline PRIVATE fmt::fmt)
# A folder links only what it may know, so a forbidden #include fails to link or to be found in review of one line.
function(handrail_library name)
  cmake_parse_arguments(ARG "" "" "DEPS;PRIVATE" ${ARGN})
  file(GLOB sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/*.cpp)
  add_library(handrail_${name} STATIC ${sources})
  target_include_directories(handrail_${name} PUBLIC ${CMAKE_SOURCE_DIR}/src)
  list(TRANSFORM ARG_DEPS PREPEND handrail_)
  target_link_libraries(handrail_${name} PUBLIC ${ARG_DEPS} PRIVATE ${ARG_PRIVATE})
  handrail_warnings(handrail_${name})
endfunction()

# One test program a folder: handrail_test(plan DEPS plan PRIVATE rapidcheck)
# SANITIZED: ./test runs it under the address and undefined-behaviour sanitizers as well.
# FILTER: only these tests (as in --gtest_filter) are found; the folder's CMakeLists.txt adds the others its own way.
function(handrail_test name)
  cmake_parse_arguments(ARG "SANITIZED" "FILTER" "DEPS;PRIVATE" ${ARGN})
  file(GLOB sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/*.cpp)
  add_executable(${name}_test ${sources})
  list(TRANSFORM ARG_DEPS PREPEND handrail_)
  target_link_libraries(${name}_test PRIVATE ${ARG_DEPS} ${ARG_PRIVATE} GTest::gtest GTest::gmock GTest::gtest_main)
  target_include_directories(${name}_test PRIVATE ${CMAKE_SOURCE_DIR}/tests)
  target_compile_definitions(${name}_test PRIVATE HANDRAIL_SOURCE_DIR="${CMAKE_SOURCE_DIR}")
  handrail_warnings(${name}_test)
  if(ARG_SANITIZED)
    if(NOT TARGET sanitized)
      add_custom_target(sanitized)
    endif()
    add_dependencies(sanitized ${name}_test)
  endif()
  gtest_discover_tests(${name}_test WORKING_DIRECTORY ${CMAKE_SOURCE_DIR} DISCOVERY_TIMEOUT 120
                       TEST_FILTER "${ARG_FILTER}" PROPERTIES LABELS quick TIMEOUT 300)
endfunction()

function(handrail_warnings target)
  target_compile_options(${target} PRIVATE -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion
                         -Wnon-virtual-dtor -Woverloaded-virtual -Werror)
endfunction()
