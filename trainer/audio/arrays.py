"""numpy, loaded when it is first used: the first picture needs no sound, and numpy takes a fifth of the start."""

from __future__ import annotations

from typing import TYPE_CHECKING

__all__ = ["np"]

if TYPE_CHECKING:
    import numpy as np
else:

    class _Numpy:
        """Stands for the library until it is loaded, and passes on what is asked of it."""

        def __getattr__(self, name: str) -> object:
            import numpy  # the one place that waits for it

            setattr(self, name, found := getattr(numpy, name))  # asked for once: sound is rendered with these
            return found

    np = _Numpy()
