#include <iostream>

#include "cli/run.h"

int main(int argc, char** argv) {
    return loopread::cli::run(argc, argv, std::cout, std::cerr);
}
