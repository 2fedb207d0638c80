"""What practice is, as values: pedal, run, counting, guides, and what is measured of the juggler. No clock, no sound.

What always holds: each value changes only by giving a new one, at seconds that the caller names. So a tap can be taken
back, and a try that was set right can be worked out again.

Decided: A tap can be taken back (`pedal`, `run`).
Because: Terminals send no key-up, and a held pedal looks like a tap, a pause and a stream, which only the second
  repeat shows.
Given up: Waiting before a tap counts.

Decided: Only after a release was seen is a press believed without a look at its timing.
Because: A terminal that promises releases and sends none is then filtered as any other.
Given up: Believing the terminal.

Decided: A guide is a value that says what to do next, worked out again from its start when a try is set right.
Because: Unfair marks, typed counts and undo then all reach it.
Given up: A guide that remembers what it did.

Decided: A run with an aim ends by itself once a drop at the aim's own moment would have been pressed; by taps at the
  tap that makes the number. Counted by hand, only a time limit ends it.
Because: A dropped last catch is then no success.
Given up: An end at the very catch.
"""
