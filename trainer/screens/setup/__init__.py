"""The settings and keys, the tour of a first start, and the two exercises that measure: latency and reaction.

What always holds: a value that is taken is in the settings file at once, and what is wrong with it is told on the
same screen.

Decided: The exercises show what to do as one large word and what was measured as a number as large as its room.
Because: Whoever presses stands where they practise, some metres away.
Given up: How surely it was measured is in the lines below, for reading near by.

Decided: The tour opens once, however it ends, and no key that leads through it can be learned in it.
Because: A first start should come to a pattern that is heard in five keys.
Given up: Enter, Esc and the mouse are learned as pedals in the setup only.
"""
