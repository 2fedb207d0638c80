"""The full screen: one folder for each thing it shows, the parts they share, and what they do with the terminal.

What always holds: only what is in here imports textual, and no screen knows the app; each asks a `Navigator` for
others.

Decided: A press is offered to the pedal before the library shares it out (`TrainerApp.on_event`).
Because: A release can't overtake its press, and the pedal of a run works under whatever screen lies over it.
Given up: Each screen has `take`, and those that learn or try a key say in it that the pedal is theirs.

Decided: Python collects in full only when nobody has typed for half a second and no run is under way.
Because: With a long list open it takes 20 ms, and every thirtieth key of the filter had that in it.
Given up: Up to a thousand collections' worth of what is no longer used stays until then.

Decided: The sound is opened, and numpy loaded, after the first picture; seldom opened screens are imported when
  opened.
Because: From start to first picture is at most 2.2 times `import textual.app` (tests/bench/start.py).
Given up: A device that can't be opened is told a moment after the picture; a few imports stand within functions.

Decided: `refresh_css` does nothing for the look there is already.
Because: The library calls it twice at the start, and parses the whole stylesheet each time, 25 ms.
Given up: A change of the stylesheet's variables without another theme would not be drawn; there is none.

Decided: No attribute of a screen is called `key_` and the name of a key.
Because: The library calls such an attribute when that key is pressed.
Given up: Nothing but a few names.
"""
