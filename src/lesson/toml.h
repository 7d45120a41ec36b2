#pragma once
// toml++ without exceptions; toml.cpp compiles the parser once.

#define TOML_EXCEPTIONS 0
#define TOML_HEADER_ONLY 0
#define TOML_ENABLE_FORMATTERS 0
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wconversion"
#include <toml++/toml.h>
#pragma GCC diagnostic pop
