"""Hand-outs: files of a passage for a class, a video or another program, each whole or not there."""
