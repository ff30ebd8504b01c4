// The test program's entry. Under Catch2 2 this file also carries the framework
// itself, which is why nothing else is in it: it compiles once.
#define CATCH_CONFIG_RUNNER
#include "catch.hpp"

int main(int argc, char** argv) { return Catch::Session().run(argc, argv); }
