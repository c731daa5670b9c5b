"""Room: fit. From the spreads of all measurements to the chance that the thing fits.

Terms, as in the guides JCGM 100:2008 (GUM) and JCGM 101:2008: a *spread* is a
standard uncertainty, one standard deviation, of something measured. A *place*
is a point of the thing's skin where it could touch the pocket. An *influence*
is how far each place moves outward when one quantity is off by one spread;
what is common to many places is one quantity, so it is combined once and
fully correlated. A *draw* is one imagined thing, tracer and printer. The
*seat* is where the thing finds most room by shifting and turning, and its
*tightness* is the clearance per side it needs there. The *chance of fit* is
the share of draws whose tightness is no more than the clearance.
"""
