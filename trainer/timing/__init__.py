"""Timing: a pattern on exact beats, seconds and frames, and where objects and hands are at each beat.

It always holds that beats and seconds are exact fractions, and that a frame is rounded once from an exact second.

Decided: a tempo change begins at a whole beat and moves no beat before it. Because: frames that are already rendered
stay true. Given up: tempos that glide.

Decided: motion is computed from the times of the score. Because: what is seen then agrees with what is heard, and
nothing can jump, whatever path a hand takes. Given up: hand paths measured from jugglers.

Decided: the height of a throw follows from the tempo on its own beat. Because: a later change must not bend what is in
the air. Given up: one height for a value throughout a run with several tempos.

Decided: jugglers are seen level with the hands. Because: heights are then true for everybody, and only widths shrink.
Given up: a view in perspective.

Decided: the same hand speed is the same number of throws a second of the busier hand, without held 2s. Because: the
path of a hand is about as long for every throw. Given up: the differences between high and low throws.
"""
