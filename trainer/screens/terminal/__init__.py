"""What comes from the terminal: presses of keys, mouse and footswitch under one kind of name, and its driver mended.

What always holds: a press is stamped where its bytes are read, in the reader's thread, so late handlers change nothing.

Decided: Where a terminal tells releases, nothing is guessed: it is asked for the kitty keyboard protocol (`CSI ? u`).
Because: Without releases a held pedal looks like a tap, a pause and a stream, and must be found out afterwards.
Given up: A driver and a parser of our own. The parser proves itself on known bytes, or textual's reads.
"""
