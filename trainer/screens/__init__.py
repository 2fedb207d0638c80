"""The full screen: one folder for each thing it shows, the parts they share, and what they do with the terminal.

What always holds: only what is in here imports textual, and no screen knows the app; each asks a `Navigator` for
others.

Decided: The app offers a press to the pedal before textual hands it to a widget (`TrainerApp.on_event`).
Because: A release can't overtake its press, and the pedal of a run works under whatever screen lies over it.
Given up: Textual's own order. A screen that learns a key has a `take` that keeps the pedal's presses for itself.

Decided: What comes while a screen comes up waits until it has its places; a key that no widget took is one of the
  screen that has opened since; a message about a list that shows other rows reaches no screen (`on_event`,
  `ClosableScreen`).
Because: A click or a key within some 0.3 s of another ended the trainer, in five ways, each at another widget.
Given up: The library's list of options, which can't tell that it was filled anew; all lists are `Listing`.

Decided: Python collects in full only when nobody has typed for half a second and no run is under way.
Because: With a long list open a collection takes 20 ms, and one came with every thirtieth letter that was typed.
Given up: Memory that is free earlier.

Decided: The sound is opened, and numpy loaded, after the first picture; seldom opened screens are imported when
  opened.
Because: The first picture then comes after 1.5 (list) or 2.0 (practice) times `import textual.app`, by the wall;
  before, after 2.3 or 2.6 times (tests/bench/start.py).
Given up: A device that can't be opened is told a moment after the picture; a few imports stand within functions.

Decided: `refresh_css` does nothing when the look is the one that is already drawn.
Because: Textual calls it twice at the start and parses the whole stylesheet each time, 25 ms.
Given up: Changing the stylesheet's variables without changing the theme.

Decided: No attribute of a screen is called `key_` and the name of a key.
Because: Textual calls such an attribute when that key is pressed.
Given up: A few names.
"""
