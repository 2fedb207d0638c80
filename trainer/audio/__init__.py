"""Sound: which sound falls on which frame of the stream, how it is made, and the outputs that have it heard.

A score becomes a Performance, the Player posts it to the Transport, and an output pulls the Transport's frames. What
always holds: rendering is a pure function of the frames asked for, so any way of cutting a stream into blocks gives the
same frames to the bit; a frame is an exact second × the rate, rounded once.

Decided: One stream; the device is opened once and pulls silence too. A change (start, stop, tempo, kit) is a pure
  function `(scene, at_frame) → scene`, posted by the screen and applied between two blocks by the thread that
  renders.
Because: There is no lock, and no change can reach back before a frame that is already rendered.
Given up: Changes within a block; a change waits for the next one.

Decided: A frame is rounded once, half up, from the exact second (`second_to_frame`); a tempo change begins at a whole
  beat that is not yet rendered and moves none before it.
Because: Everything that is heard, seen and counted has to come from the same exact score.
Given up: Tempo changes within a beat.

Decided: A scene that fails stays in its place, unheard.
Because: The clock still tells its beat, so the run is counted to its end, and a note says why it was silent.
Given up: Sound for the rest of the sitting; the failure is not tried again.

Decided: numpy is loaded when it is first used (arrays.py).
Because: The first picture needs no sound, and numpy takes a fifth of the start.
Given up: Whoever uses it first waits for it.

Decided: A role that a kit leaves out is made from another of its roles (kitfiles.VARIANTS).
Because: Users' kits stay complete when the trainer learns a new role.
Given up: Such a role sounds related to the one it is made from.

Decided: Goals sound on the catch's own frame when counting by the beat, and at the tap when counting by taps.
Because: The score knows when a catch is made, but only a tap tells that it was counted.
Given up: A goal counted by taps sounds later than its catch, by the wait for the next block and the latency.

Decided: The pattern's round has no sound where it is shorter than 3 beats.
Because: It would come back so often that it tells nothing.
Given up: Hearing where such a pattern begins.

Decided: By default the kit's throws are heard and no catches; `heard` or `--hear` adds them.
Because: The throw is what a juggler times, and there are half as many sounds.
Given up: Hearing at once when an object should be caught.
"""
