"""The practice screen: the count, the throws to come, the flight view, the facts and the tries.

What always holds: the screen shows the session's `View` of one moment. It asks which beat is heard; it never counts.

Decided: A press draws the banner and the count before anything else; the rest comes with the next picture. Because:
they are what a juggler waits for. Given up: one drawing of all.

Decided: In a run what is seen is what is heard; slow motion and single beats are for before it, and silent. Because:
sound at half the tempo would be another pattern, with higher throws. Given up: a slow run.

Decided: The far view is this screen with less on it, by a class of the stylesheet. Because: pedal, keys and counts stay
the same ones. Given up: a screen of its own.

Decided: A metre across may be drawn up to three times as wide as one upward. Because: the arcs of one juggler would
cover each other. Given up: widths to scale.
"""
