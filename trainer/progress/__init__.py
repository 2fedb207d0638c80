"""Progress: what the totals in a logbook tell of one figure, as numbers, curves, lines of text and a picture.

It always holds that it reads totals only and keeps nothing: the same totals give the same progress.

Decided: a learning curve is fitted to stretches of whole days. Because: their means are above 0, as logarithms need,
and a bad evening is one point. Given up: a curve from the first tries on; a reason is told where there is none.

Decided: what grows is catches over drops, not over tries. Because: a try that a goal or its juggler ended lasts longer
than was seen, and would level the curve. Given up: the plain mean as the measure.

Decided: there is no curve with fewer than 8 stretches or 14 days, without growth that is certain, or with a band wider
than 5 to 1, and none goes beyond half as much practice again. Because: less is chance. Given up: early forecasts.

Decided: quantiles and intervals are our own (estimates.py). Because: scipy is a large thing to ask of a juggler, and
the tests compare with it. Given up: any statistics that these lines do not hold.

Decided: a picture to share is SVG of our own. Because: resvg-py makes PNG of the same drawing, with no dependencies.
Given up: names in scripts that DejaVu Sans lacks, unless the machine has a font for them.
"""
