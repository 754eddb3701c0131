#include "shape/directions.h"

namespace loopread {

void set_directions(std::vector<Round>& rounds) {
    Runs next = Runs::on;
    for (Round& round : rounds) {
        if (round.worked == Worked::in_the_round) next = Runs::on;
        round.runs = next;
        if (round.worked == Worked::back_and_forth) next = next == Runs::on ? Runs::back : Runs::on;
    }
}

}  // namespace loopread
