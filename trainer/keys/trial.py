"""The trial of a pedal: what it sends, and what each press is taken for, so that one sees how cleanly it works."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from trainer.keys.names import key_to_text
from trainer.practice.pedal import Edge, Meant, Pedal


@dataclass(frozen=True, slots=True)
class Trial:
    """What a pedal just learned sends: the presses so far by what they were taken for, and the last of them."""

    key: str
    pedal: Pedal = field(default_factory=Pedal)
    taps: int = 0
    repeats: int = 0
    bounces: int = 0
    releases: int = 0
    last: Meant = Meant.TAP
    gap_s: float | None = None

    def pressed(self, at_s: float, edge: Edge = Edge.DOWN) -> Trial:
        """The trial after one more press, repeat or release; a tap that is taken back was a repeat."""
        pedal, heard = self.pedal.press(at_s, edge)
        if heard is Meant.RELEASE:
            return replace(self, pedal=pedal, releases=self.releases + 1)
        taken_back = heard is Meant.TAKE_BACK
        return replace(
            self,
            pedal=pedal,
            taps=self.taps + (heard is Meant.TAP) - taken_back,
            repeats=self.repeats + (heard is Meant.REPEAT) + 2 * taken_back,
            bounces=self.bounces + (heard is Meant.BOUNCE),
            last=Meant.REPEAT if taken_back else heard,
            gap_s=at_s - self.pedal.press_s if self.taps or self.repeats else None,
        )

    def text(self) -> str:
        """Three lines that tell it."""
        after = "" if self.gap_s is None else f", {self.gap_s * 1000:.0f} ms after the one before"
        releases = self.releases or "not told"
        return (
            f"{key_to_text(self.key)} was learned. Tap it, hold it; Esc ends this.\n"
            f"Last press: {self.last}{after}\n"
            f"taps {self.taps} · repeats {self.repeats} · bounces {self.bounces} · releases {releases}"
        )
