#pragma once
// toml++ without exceptions, header-only, as every file of this room includes it.

#define TOML_EXCEPTIONS 0
#define TOML_HEADER_ONLY 1
#define TOML_ENABLE_FORMATTERS 0
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wshadow"
#pragma GCC diagnostic ignored "-Wconversion"
#include <toml++/toml.h>
#pragma GCC diagnostic pop
