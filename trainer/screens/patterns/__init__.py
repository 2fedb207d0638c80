"""Choosing what to practise: the list of patterns, the search for new ones, and the glossary of the trade's words.

What always holds: letters go to the line that is typed in, and arrows to the list, wherever the cursor is.

Decided: q leaves the list of patterns only while nothing is typed.
Because: With something typed it is a letter, as in “square”.
Given up: Then leaving takes two keys: Esc, q.

Decided: A search runs in a thread, and is left and gone on with as its screen is left and come back to.
Because: There may be a hundred thousand patterns, and keys must be answered meanwhile.
Given up: It ends at that number, and the first 500 are listed.
"""
