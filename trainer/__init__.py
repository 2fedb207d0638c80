"""throwbeat: a practice trainer for toss jugglers and their teachers."""

__version__ = "0.1.0"
