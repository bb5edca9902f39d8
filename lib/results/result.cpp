#include "results/result.hpp"
