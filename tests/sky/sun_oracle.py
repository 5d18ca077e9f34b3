"""The sun from two libraries for Julian dates (TT, days since 2451545.0) given one a line. Prints
apparent right ascension and declination of date from ephem (deg), then the unit vector in TEME from erfa, got by way of
the Earth-fixed frame (true sidereal time forward, mean sidereal time back) so that no sign of ours is repeated."""
import math, sys
import numpy as np, erfa, ephem

for line in open(sys.argv[1]):
    days = float(line)
    t1, t2 = 2451545.0, days
    earth, _ = erfa.epv00(t1, t2)
    tau = np.linalg.norm(earth['p']) * 149597870.7 / 299792.458 / 86400
    earth, _ = erfa.epv00(t1, t2 - tau)
    true = erfa.pnm06a(t1, t2) @ -earth['p']
    fixed = erfa.rz(erfa.gst06a(t1, t2, t1, t2), np.eye(3)) @ true
    teme = erfa.rz(-erfa.gmst06(t1, t2, t1, t2), np.eye(3)) @ fixed
    teme /= np.linalg.norm(teme)
    # ephem counts days from 1899-12-31T12:00 in UT; its own delta T takes TT there.
    date = days + 2451545.0 - 2415020.0
    sun = ephem.Sun()
    sun.compute(ephem.Date(date - ephem.delta_t(ephem.Date(date)) / 86400))
    print(math.degrees(sun.g_ra), math.degrees(sun.g_dec), *teme)
