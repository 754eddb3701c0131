#include <exception>
#include <iostream>

#include "cli/manual.h"

/// Run by the build: the man page and the completions, into a folder.
int main(int argc, char** argv) {
    if (argc != 2) {
        std::cerr << "loopread_manual: name the folder to write to\n";
        return 2;
    }
    try {
        loopread::cli::write_manual(argv[1]);
    } catch (const std::exception& fault) {
        std::cerr << "loopread_manual: " << fault.what() << '\n';
        return 1;
    }
    return 0;
}
