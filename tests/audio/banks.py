"""The sounds of every bundled kit at one rate, made once for all tests that only read them."""

from __future__ import annotations

from tests.bundled import KITS
from trainer.audio.synth import Bank

RATE_HZ = 44_100
BANKS = {kit.name: Bank(kit, RATE_HZ) for kit in KITS}
