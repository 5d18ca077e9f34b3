#include "live/line.h"

namespace handrail::live {

std::string_view line_help() {
    return "done                           the one running step is finished\n"
           "EV2 started valve.2            also: EV2 started (its next planned step)\n"
           "EV1 finished                   also: finished valve.2, valve.2 done\n"
           "skip camera.4 bolt is broken   undo valve.2\n"
           "valve.2 stuck, +10 min         it takes longer than thought\n"
           "hold waiting for coverage      hold private (its reason is medical); resume\n"
           "camera left at W3              also: in bag2, with EV1, installed at W4, lost\n"
           "EV1 at W3 anchor W1            EV1 gloves\n"
           "reading EV1 oxygen 0.31 kg     what is left; also 42 %, or ... used\n"
           "note TEXT                      decision TEXT\n"
           "public TEXT                    a line for everyone: it stands on the public page\n"
           "valve.4 +10 min                also for a step still to come; 4.2 or D2 name steps by number\n"
           "drop camera no time            EV1 unable (private)   EV2 inside   arm lost   arm back\n"
           "no coverage until 03:10        coverage back; any condition of the outing\n"
           "hazard at W3 sharp edge        W3 closed until 02:00   W3 open\n"
           "use driver-2 for driver-1      from now on it serves in its place\n"
           "slip 30 min                    PET zero expected 2031-04-05T09:10:00Z\n"
           "EV1 off oxygen                 a break in prebreathe; EV1 on oxygen\n"
           "suit-up   prebreathe   depress   pet zero   hatch open   egress done   clean-up   ingress   hatch closed   "
           "repress "
           "done\n"
           "terminate WHY   abort WHY   scrub WHY\n"
           "fix 12 undo                    fix 12 at 01:10   fix 12 EV1 started valve.2\n"
           "... at 01:10                   any line may end with the PET or UTC at which it happened";
}

}  // namespace handrail::live
