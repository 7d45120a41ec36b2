// The one place that compiles the parser.

#define TOML_IMPLEMENTATION
#include "lesson/toml.h"
