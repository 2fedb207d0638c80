"""The library: patterns and terms by name, how hard a pattern is, and what there is to say of one.

What always holds: a bad file, entry or link hides no good one: each fault is one DataError with file, line and field.

Decided: Typed throws that are those of a plain entry take that entry's text.
Because: Bests are kept by text and name, so (4,2x)(2x,4) counts with the box (4,2x)*.
Given up: The text as it was typed.

Decided: An excited pattern starts from hands that hold as many objects as its first throws take.
Because: It can then be started as written, without entry throws.
Given up: An equal share for each hand at the start.

Decided: One pattern is looked up without reading the whole library.
Because: Commands must answer at once.
Given up: A single way to read; a test compares both ways.
"""
