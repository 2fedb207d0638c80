"""What several screens are made of: widgets, the base of all screens, looks, and what a screen may ask of the app.

What always holds: nothing in here knows a particular screen, and private names of textual are used in `private` alone.

Decided: All that reaches into textual's private names is in one module, and does without where a name is gone.
Because: A newer version may rename any of them, and the trainer should still start and play.
Given up: Some work is done twice: the names are asked for before they are used.

Decided: A cache that textual keeps for each widget is made one for all (`private.mend`).
Because: It held on to all that was ever shown, half a megabyte for each look at the help.
Given up: A private name of textual; without it nothing is mended.

Decided: What moves is sent straight to the terminal (`private.draw`).
Because: The compositor asks every widget for all of its rows before it sends one: half the cost of a moving picture.
Given up: Only widgets wholly in view, with nothing over them, are drawn so; textual draws the others.

Decided: A press sends the banner and the count before anything else, in colours that were looked up before.
Because: The stylesheet took 1 to 2 ms of each answer to a press.
Given up: A widget of that kind (`Bare`) has neither border nor padding; the rest comes with the next picture.

Decided: The line of keys is one widget (`KeyLine`).
Because: Textual's footer mounts a widget for each key anew when one comes or goes: 50 ms with the first letter typed.
Given up: What is under the mouse is worked out from the texts.

Decided: Looks are data (`themes`): two palettes, every pair of text and ground computed against WCAG's 4.5 to 1.
Because: So the tests can hold it for each pair, as drawn. The terminal's own colours serve NO_COLOR.
Given up: With those, what matters is said by weight, line and reverse, and looks plain.
"""
