"""Timing: a pattern on exact beats, seconds and frames, and where objects and hands are at each beat.

What always holds: beats and seconds are exact fractions, and that a frame is rounded once from an exact second.

Decided: A tempo change begins at a whole beat and moves no beat before it.
Because: Frames that are already rendered stay true.
Given up: A tempo that glides within a beat.

Decided: Motion is computed from the times of the score.
Because: What is seen then agrees with what is heard, and nothing can jump, whatever path a hand takes.
Given up: Hand paths measured from jugglers.

Decided: The height of a throw follows from the tempo on its own beat.
Because: A later change must not bend what is in the air.
Given up: One height for a value throughout a run with several tempos.

Decided: Jugglers are seen level with the hands.
Because: Heights are then true for everybody, and only widths shrink.
Given up: A view in perspective.

Decided: The same hand speed is the same number of throws a second of the busier hand, without held 2s.
Because: The path of a hand is about as long for every throw.
Given up: The differences between high and low throws.
"""
