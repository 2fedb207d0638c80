"""A practice as it goes on, without a screen: its session, guides, controls, words, and the tries it writes down.

What always holds: data goes one way. Presses and the time come in; sound, a `View` and attempts go out. What is
practised stands in one value, the session's `chosen`, and nobody else keeps a copy.

Decided: The session carries out what a guide asks for, by the settings it was given last.
Because: A pattern is then known in one place, and a changed setting reaches the guide's next pattern.
Given up: Guides that know tempo, dwell and hands themselves.

Decided: By the beat, the end of a run is judged `SETTLE_S` (0.49 s) after the press.
Because: Until then a second press can make a drop a clean finish.
Given up: A result at the press itself.

Decided: At the press the sound is stopped, then the end is written to the logbook, then the screen tells it.
Because: A trainer that is killed has lost nothing that was told; if the press was a repeat, the row is put back.
Given up: The few milliseconds of a write before the screen's answer; of a lock 0.1 s, then it waits for the end.

Decided: What the logbook refuses waits in order, each change behind the one before it of its try; an undo is one
  more correction.
Because: The logbook then tells the whole story, and one try that is refused holds up no other.
Given up: The order of rows, where a single try had to wait.

Decided: With each try it is looked up whether the logbook still has all tries of the sitting; those it lacks are added.
Because: A restore, or another file at the path, must not cost the tries of a sitting that goes on.
Given up: Taking back, by a restore, what was practised in this sitting.

Decided: A logbook that can't be opened at the start is tried again whenever something is to be saved.
Because: Another program may hold it for a moment only, or a backup may be put in the place of a damaged one.
Given up: Up to two seconds of waiting at a try, while it is still held.
"""
