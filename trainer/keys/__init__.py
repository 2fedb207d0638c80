"""Keys, pedals and commands: what each is called, which does what on which screen, and why one can't.

A command is written once, in `commands.COMMANDS`; footer, help, remapping and plain mode come from there. A pedal is a
name, whatever it is: the library's name of a key, `mouse_right`, `midi_control_64`.

Decided: One key means one thing on a screen; a clash with another command or a pedal is refused, not resolved.
Because: With full hands nobody can look up which of two meanings a key has just now.
Given up: The same key for two commands that are never wanted at one time.

Decided: The footswitch listens to all MIDI inputs, in the library's thread, which stamps each press and posts it.
Because: Nobody knows which input a switch is; the stamp must not wait for the screen.
Given up: A choice of input. Inputs are open only while a pedal is a footswitch or is being learned.
"""
