"""A kit that speaks the count-in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from scipy.io import wavfile

from trainer.files.places import bundled

RATE_HZ = 44_100


def speaking_kit(folder: Path, numbers: int) -> Path:
    """The kitchen kit with so many recordings: sines, each higher than the one before, in place of a voice."""
    second = np.arange(RATE_HZ // 4) / RATE_HZ
    text = (bundled("sounds") / "kitchen.toml").read_text(encoding="utf-8")
    for number in range(1, numbers + 1):
        sine = (12_000 * np.sin(2 * np.pi * 200 * number * second)).astype(np.int16)
        wavfile.write(folder / f"{number}.wav", RATE_HZ, sine)
        text += f'\n[[numbers]]\nfile = "{number}.wav"\nlevel_db = -6.0\n'
    path = folder / "speaking.toml"
    path.write_text(text, encoding="utf-8")
    return path
