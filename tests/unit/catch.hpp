/// Catch2, whichever major version is installed: 3, else 2.13.
#pragma once

#if __has_include(<catch2/catch_all.hpp>)
#include <catch2/catch_all.hpp>
using Catch::Approx;  // where version 2 has it
#else
#include <catch2/catch.hpp>
#endif
