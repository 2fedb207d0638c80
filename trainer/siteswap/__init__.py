"""Siteswap: patterns as throws. Reads, checks, searches, counts and links them; knows nothing of time and sound.

What always holds: a Pattern from the grammar is valid, and its text parses back to an equal pattern.

Decided: A star is written out, so that the period of (4,2x)* is 4.
Because: States, orbits and collisions need every throw; (4x,2x)* then collides and is refused, as the sync shower is
  (4x,2x).
Given up: A period as short as the text.

Decided: A pattern is ground if some beat of it can follow the cascade or fountain.
Because: Rotations are one pattern, wherever its text begins.
Given up: That a ground pattern can always be started from its first throw.
"""
