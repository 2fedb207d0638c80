"""The text of a plan, changed block by block: what is not changed stays as it was written, comments too.

A plan's text falls into its head and its blocks, each from the comment right above its [[block]] on. So a block
moves with what was said of it, and a change reaches no other.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from trainer.files.toml import DataError, fraction_to_toml, parse
from trainer.practice.plans.plan import PAUSES, WITH_PATTERN, BlockKind
from trainer.records.courses import ClimbRule

Value = str | int | float | Fraction | None

FIELDS: Final[Mapping[BlockKind, tuple[str, ...]]] = {
    **dict.fromkeys(WITH_PATTERN, ("pattern", "tempo", "minutes", "attempts", "goal", "times", "say")),
    BlockKind.CLIMB: ("pattern", "rule", "tempo", "target", "step", "goal", "minutes", "attempts", "say"),
    BlockKind.JUDGED: ("pattern", "tempo", "attempts", "minutes", "say"),
    **dict.fromkeys(PAUSES, ("minutes", "say")),
}
"""Which fields a block of a kind has, beside its kind, in the order they are shown."""

NEEDED: Final[Mapping[BlockKind, Mapping[str, Value]]] = {
    **{kind: {"pattern": "3 cascade"} for kind in WITH_PATTERN},
    BlockKind.CLIMB: {"pattern": "3 cascade", "tempo": 150, "target": 180, "goal": "qualify"},
    BlockKind.JUDGED: {"pattern": "3 cascade", "attempts": 5},
    BlockKind.REST: {"minutes": 1},
    BlockKind.FREE: {"minutes": 5},
}
"""Fields that a block gets when it becomes one of a kind and lacks them."""

HIGHER_BPM: Final = 30
"""A climb without a target gets one so far above its tempo."""

NEW_BLOCK: Final = '[[block]]\nkind = "pattern"\npattern = "3 cascade"\nminutes = 2\n'


@dataclass(frozen=True, slots=True)
class PlanText:
    """A plan as text. head: all before the first block. blocks: the text of each; all joined are the file."""

    head: str
    blocks: tuple[str, ...]

    @property
    def text(self) -> str:
        """The whole file."""
        return self.head + "".join(self.blocks)

    def with_field(self, name: str, value: Value) -> PlanText:
        """The same with a field of the head, such as its name; None takes it out."""
        return replace(self, head=_with(self.head, (), {name: value}))

    def with_block_field(self, index: int, name: str, value: Value) -> PlanText:
        """The same with a field of a block; None takes it out. A kind brings what it needs, and drops the rest."""
        changes: dict[str, Value] = {name: value}
        if name == "kind":
            there = self.fields(index)
            kind = BlockKind(str(value))
            changes |= {field: None for field in there if field not in ("kind", *FIELDS[kind])}
            changes |= {field: needed for field, needed in NEEDED[kind].items() if field not in there}
            if kind is BlockKind.CLIMB:
                changes["target"] = _above(there)
        if name == "rule":
            changes["target"] = None if value == ClimbRule.STAIRCASE else _above(self.fields(index))
        return self.removed(index).added(index, _with(self.blocks[index], ("block", 0), changes))

    def fields(self, index: int | None) -> dict[str, Any]:
        """The fields of a block, or of the head (None), as TOML reads them."""
        import tomllib  # not at the top: only the screen that changes plans needs it

        return tomllib.loads(self.head) if index is None else dict(tomllib.loads(self.blocks[index])["block"][0])

    def added(self, index: int, block: str = NEW_BLOCK) -> PlanText:
        """The same with one block more, which becomes the one at index."""
        return self._with_blocks((*self.blocks[:index], block, *self.blocks[index:]))

    def removed(self, index: int) -> PlanText:
        """The same without a block."""
        return self._with_blocks((*self.blocks[:index], *self.blocks[index + 1 :]))

    def moved(self, index: int, to: int) -> PlanText:
        """The same with a block in another place; beyond the ends it stays at the end."""
        return self.removed(index).added(min(max(to, 0), len(self.blocks) - 1), self.blocks[index])

    def _with_blocks(self, blocks: tuple[str, ...]) -> PlanText:
        """Each block but the last is followed by an empty line, so that none runs into the next."""
        told = [block.rstrip("\n") + "\n\n" for block in blocks[:-1]] + [
            block.rstrip("\n") + "\n" for block in blocks[-1:]
        ]
        return replace(self, head=self.head.rstrip("\n") + "\n\n", blocks=tuple(told))


def split_text(text: str, path: Path) -> PlanText:
    """The parts of a plan's text. Raises DataError if it is no TOML, or if its blocks are not written as [[block]]."""
    from trainer.files.lines import lines_of

    text = text.replace("\r\n", "\n")
    whole = parse(text, path)
    found = lines_of(text)
    lines = text.splitlines(keepends=True)
    starts: list[int] = []
    while ("block", len(starts)) in found:
        at = found["block", len(starts)] - 1
        if not re.match(r"\s*\[\[\s*block\s*\]\]", lines[at]):
            raise DataError(path, at + 1, "block", "The blocks were not written as [[block]]. Change the file by hand.")
        while at > 0 and lines[at - 1].startswith("#"):
            at -= 1
        starts.append(at)
    ends = [*starts[1:], len(lines)][: len(starts)]
    head = "".join(lines[: starts[0]] if starts else lines)
    split = PlanText(head, tuple("".join(lines[start:end]) for start, end in zip(starts, ends, strict=True)))
    if len(split.blocks) != len(whole.tables("block", default=())) or not all(map(_is_block, split.blocks)):
        raise DataError(path, None, "block", "The file was laid out in a way that can't be kept. Change it by hand.")
    return split


def _is_block(text: str) -> bool:
    import tomllib

    try:
        return len(tomllib.loads(text)["block"]) == 1
    except (tomllib.TOMLDecodeError, KeyError):
        return False


def new_text(name: str, audience: str) -> PlanText:
    """A plan of one block, to be changed."""
    return PlanText("", ()).with_field("name", name).with_field("for", audience).added(0)


def to_block(fields: Mapping[str, Value]) -> str:
    """The text of a block with these fields."""
    return _with("[[block]]\n", ("block", 0), fields)


def _above(climb: Mapping[str, Any]) -> Value:
    """The target of a climb, or a new one if that lies not above its tempo."""
    tempo_bpm = Fraction(str(climb.get("tempo", NEEDED[BlockKind.CLIMB]["tempo"])))
    target: Value = climb.get("target")
    return target if target is not None and Fraction(str(target)) > tempo_bpm else tempo_bpm + HIGHER_BPM


def _with(text: str, keys: tuple[str | int, ...], changes: Mapping[str, Value]) -> str:
    """A part of the text with some fields changed. keys: of the table that the fields are in, from the outermost."""
    import tomlkit  # only here: it takes a while to import

    body = text.rstrip("\n")
    document: Any = tomlkit.parse(body + "\n" if body else "")
    table = document
    for key in keys:
        table = table[key]
    for name, value in changes.items():
        if value is None:
            table.pop(name, None)
        else:
            table[name] = fraction_to_toml(value) if isinstance(value, Fraction) else value
    return tomlkit.dumps(document).rstrip("\n") + text[len(body) :] if body else tomlkit.dumps(document)
