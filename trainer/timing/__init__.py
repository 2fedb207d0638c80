"""Timing: a pattern on exact beats, seconds and frames, and where objects and hands are at each beat.

What always holds: beats and seconds are exact fractions, and a frame is rounded once, from an exact second.

Decided: A tempo change begins at a whole beat and moves no beat before it.
Because: Frames that are already rendered stay true.
Given up: A tempo that glides within a beat.

Decided: Motion is computed from the times of the score.
Because: What is seen then agrees with what is heard, and nothing can jump, whatever path a hand takes.
Given up: Hand paths measured from jugglers.

Decided: The height of a throw follows from the tempo on its own beat.
Because: A later change must not bend what is in the air.
Given up: One height for a value throughout a run with several tempos.

Decided: The flight view looks at jugglers from the height of their hands.
Because: Heights are then true for everybody, and only widths shrink.
Given up: A view in perspective.

Decided: Two patterns ask the same hand speed (a climb can keep it) when their busier hands throw equally often;
  held 2s do not count.
Because: The path of a hand is about as long for every throw.
Given up: The differences between high and low throws.
"""
