"""States from Debian's python3-sgp4 for element sets given one a line:
mean motion (rad/min), eccentricity, inclination, node, perigee, anomaly (rad), bstar, then minutes since epoch.
Prints the error code and, where it is 0, position (km) and velocity (km/s)."""
import sys
from sgp4.api import Satrec, WGS72

for line in open(sys.argv[1]):
    n, e, i, node, perigee, anomaly, bstar, *minutes = (float(x) for x in line.split())
    sat = Satrec()
    sat.sgp4init(WGS72, 'i', 1, 25000.0, bstar, 0.0, 0.0, e, perigee, i, anomaly, n, node)
    for t in minutes:
        error, r, v = sat.sgp4_tsince(t)
        print(error, *('%.17g' % x for x in ((*r, *v) if error == 0 else (0,) * 6)))
