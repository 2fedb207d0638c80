"""Practice in lines of text: for ears, slow terminals and logs.

What always holds: the plain mode has the table of commands, the controls and the words of the practice screen, and
nothing of the library that draws.

Decided: `keystrokes` names the keys that a terminal sends.
Because: The library that draws does it on a screen only.
Given up: Rare control sequences, which are dropped whole.
"""
