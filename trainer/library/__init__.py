"""The library: patterns and terms by name, how hard a pattern is, and what there is to say of one.

It always holds that a bad file, entry or link hides no good one: each fault is one DataError with file, line and field.

Decided: typed throws that are those of a plain entry take that entry's text. Because: bests are kept by text and name,
so (4,2x)(2x,4) counts with the box (4,2x)*. Given up: the text as it was typed.

Decided: an excited pattern starts from hands that hold as many objects as its first throws take. Because: it can then
be started as written, without entry throws. Given up: an equal share for each hand at the start.

Decided: one pattern is looked up without reading the whole library. Because: commands must answer at once. Given up: a
single way to read; a test compares both ways.
"""
