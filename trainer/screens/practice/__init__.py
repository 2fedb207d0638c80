"""The practice screen: the count, the throws to come, the flight view, the facts and the tries.

What always holds: the screen shows the session's `View` of one moment. It asks which beat is heard; it never counts.

Decided: In a run what is seen is what is heard; slow motion and single beats are for before it, and silent.
Because: Sound at half the tempo would be another pattern, with higher throws.
Given up: A slow run.

Decided: The far view is this screen with less on it, by a class of the stylesheet.
Because: Pedal, keys and counts stay the same ones.
Given up: A screen of its own.

Decided: A metre across may be drawn up to three times as wide as one upward.
Because: The arcs of one juggler would cover each other.
Given up: Widths to scale.
"""
