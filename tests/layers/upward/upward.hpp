#pragma once

#include "core/error.hpp"
#include "solver/solve.hpp"  // the violation that tests/layers expects to be caught
