"""Room: what was made, told in numbers, words and drawings.

Terms
-----
summary
    Every figure of a holder, as in ``summary.json``: written from the nouns at the very end, and read by nothing.
recommendation
    What is *advised* (print it, print test pieces first, decide for yourself, do not print), its reason and the steps to take.
page
    ``fit-report.html``, which holds everything it shows; the *viewer* is its 3-D view.
workshop page
    One sheet of paper to take along: recommendation, readings to take, drawings to scale.
figure
    A drawing on the page: sections over their traces, the gap, the chance of fit.
"""
