"""A practice as it goes on, without a screen: its session, guides, controls, words, and the tries it writes down.

What always holds: data goes one way. Presses and the time come in; sound, a `View` and attempts go out. What is
practised stands in one value, the session's `chosen`, and nobody else keeps a copy.

Decided: The session carries out what a guide asks for, by the settings it was given last. Because: a pattern is then
known in one place, and a changed setting reaches the guide's next pattern. Given up: a guide whose tasks are scores.

Decided: By the beat, the end of a run is judged 0.49 s after the press. Because: until then a second press can make a
drop a clean finish. Given up: a result at the press itself.

Decided: Counted by the beat, goals sound from the score at the catch's own frame; by taps, with the tap. Because: each
way sounds what it counts. Given up: one place for both.

Decided: An attempt is written when it begins and again when it ends. Because: of a trainer that is killed a row under
way remains, which the next start closes as given up. Given up: one write an attempt.

Decided: What the logbook refuses waits in order, each change behind the one before it; an undo is one more correction.
Because: the logbook then tells the whole story. Given up: writing what can be written out of order.
"""
