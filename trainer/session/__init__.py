"""A practice as it goes on, without a screen: its session, guides, controls, words, and the tries it writes down.

What always holds: data goes one way. Presses and the time come in; sound, a `View` and attempts go out. What is
practised stands in one value, the session's `chosen`, and nobody else keeps a copy.

Decided: The session carries out what a guide asks for, by the settings it was given last.
Because: A pattern is then known in one place, and a changed setting reaches the guide's next pattern.
Given up: Guides that know tempo, dwell and hands themselves.

Decided: By the beat, the end of a run is judged `SETTLE_S` (0.49 s) after the press.
Because: Until then a second press can make a drop a clean finish.
Given up: A result at the press itself.

Decided: What the logbook refuses waits in order, each change behind the one before it; an undo is one more
  correction.
Because: The logbook then tells the whole story.
Given up: Writing what can be written out of order.
"""
