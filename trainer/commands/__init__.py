"""The command line: a module a command, with the words it understands and what it does.

`line` finds the module that a line means; `words` has what several commands understand, `asked` turns words into
patterns and numbers, `start` opens the trainer, `terminal` says all that is said. Nothing imports this room. A command
imports only what it needs: those without sound load neither numpy nor the library of the screens nor the logbook's
(`tests/test_floors.py`).

Decided: A command's words stand beside its code, as `words()` and `run(asked)`, and its module is found by its name.
Because: What help says and what is done change together, and only the module of the command asked for is imported.
Given up: An introduction made from the commands themselves; it would import all of them, and its sentences differ.

Decided: The demo writes a seeded group into a temporary folder and signs every screen (`Sitting.sign`).
Because: Whoever looks around sees bests, climbs and curves at once; their own logbook and settings stay untouched.
Given up: Whatever is practised in the demo; it goes when the trainer is left.

Decided: Output that can't be written is a refusal, also to a stream that is closed; a closed standard error is silence.
Because: A script learns that it has nothing, as from any program of the system, and `2>&-` asks for silence.
Given up: A status of 0 for `throwbeat log export FILE >&-`, whose file is whole; `>/dev/null` has it.
"""
