"""Plans: a practice sheet read, changed and written, run block by block, suggested from the logbook, and judged.

What always holds: a try is never cut short by a block's minutes, and a run is taken up again from nothing but its
block, the seconds spent in it and its tries.

Decided: A plan's run is a guide; between tries its seconds are noted every 5 s.
Because: Tries are in the logbook before the guide hears of them, so only time could be lost when the power goes.
Given up: Writing every second.

Decided: In a pause a press ends the pause and begins nothing.
Because: The pedal is all that a run needs, and who ends a pause need not stand ready.
Given up: A try that begins with the same press.

Decided: A plan's text is split at its `[[block]]`s, each with the comment right above it; within a block tomlkit
  keeps the comments.
Because: A block moves with what was said of it, and a change reaches no other.
Given up: Writing the file anew.

Decided: The suggested plan follows a stated rule (`suggestion`), not a scheduler made for memory.
Because: FSRS, tried with its default weights, models one graded recall after a gap; a practice has dozens of graded
  tries in a row, and what is nearly there wants tries today.
Given up: Intervals fitted to the juggler.
"""
