"""Users' files: where they lie, how their values are read and checked, and how they are written.

A file is written whole or not at all: beside its place, forced to the disk, then moved there in one step. A file that
can't be understood is left as it was, and its error is one line with file, line and field.

Decided: TOML is read by the standard library, and walked once more for the lines of its keys after an error
  (`lines`).
Because: The library's parser keeps no line numbers, and a file without a mistake should cost no more than its
  reading.
Given up: A reader that knows the lines all along.

Decided: Single values are changed by tomlkit, and what comes out is read back and compared before it is written.
Because: The user's comments and layout stay, and a layout that the library gets wrong is refused, never written.
Given up: The quick start of whoever only reads; so tomlkit is imported at the first change.
"""
