// Compiles headers.h, which the test programs share.
#include "headers.h"
