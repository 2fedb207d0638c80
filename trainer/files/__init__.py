"""Users' files: where they lie, how their values are read and checked, and how they are written.

A file is opened by `ordinary` alone: an ordinary one, of a size that its kind can have. A text in it is held against
its kind in the table of `texts`, as is one that is typed or imported. A file is written whole or not at all: as a part
beside its place (`parts`), forced to the disk, then moved there in one step. A file that can't be understood is left as
it was, and its error is one line with file, line and field.

Decided: A text that comes in is refused if it is too long or has a sign of harm, and is never mended; what goes out to
  a terminal is escaped, never refused.
Because: Who writes a file can set it right, and no name is another than was written; a logbook of before stays
  readable, whatever it holds.
Given up: An import of names longer than today's limits from an export of before; its message names line and field.

Decided: A part is held by a lock of the system (flock) while it is written, and the next who writes into its folder
  removes those that can be locked. On Windows a file that is open can't be removed, which serves as the lock; on a disk
  without locks a part is removed after a day.
Because: A lock ends with its process, also by kill -9, and never sooner: two who write at once leave each other alone.
Given up: A file without a name (O_TMPFILE), which only Linux has and which can't take another's place in one step; the
  number of the process in the name, which another process may have by now; what is left until the next write.

Decided: TOML is read by the standard library, and walked once more for the lines of its keys after an error
  (`lines`).
Because: The library's parser keeps no line numbers, and a file without a mistake should cost no more than its
  reading.
Given up: A reader that knows the lines all along.

Decided: Single values are changed by tomlkit, and what comes out is read back and compared before it is written.
Because: The user's comments and layout stay, and a layout that the library gets wrong is refused, never written.
Given up: The quick start of whoever only reads; so tomlkit is imported at the first change.
"""
