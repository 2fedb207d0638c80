"""Files to hand out: a passage of a pattern as sound, notes, captions or a table, and a plan as a folder of sounds.

All are made from one `Passage`, so what is heard, read and printed has the same exact times. Each file is whole or not
there, and is written in constant memory however long the passage is.

Decided: The header of a WAV file is the standard library's (`wave`), mended when the file is closed.
Because: The length is known only then, and the library knows the format.
Given up: A header that is right from the first block on; a render that is stopped leaves no file anyway.
"""
