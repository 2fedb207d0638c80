"""Progress: what the totals in a logbook tell of one figure, as numbers, curves, lines of text and a picture.

What always holds: it reads totals only and keeps nothing: the same totals give the same progress.

Decided: A learning curve is fitted to stretches of whole days.
Because: Their means are above 0, as logarithms need, and a bad evening is one point.
Given up: A curve from the first tries on; a reason is told where there is none.

Decided: What grows is catches over drops, not over tries.
Because: A try that a goal or its juggler ended lasts longer than was seen, and would level the curve.
Given up: The plain mean as the measure.

Decided: There is no curve with fewer than 8 stretches or 14 days, without growth that is certain, or with a band
  wider than 5 to 1, and none goes beyond half as much practice again.
Because: Less is chance.
Given up: Early forecasts.

Decided: Quantiles and intervals are our own (estimates.py).
Because: Scipy is a large thing to ask of a juggler, and the tests compare with it.
Given up: Any statistics that these lines do not hold.

Decided: A picture to share is SVG of our own.
Because: Resvg-py makes PNG of the same drawing, with no dependencies.
Given up: Names in scripts that DejaVu Sans lacks, unless the machine has a font for them.
"""
