"""The command check: what works here, what does not, and what to do about it, a line for each thing.

A fault is a finding, so none ends the check. A machine without sound is no fault: the trainer runs silent there.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
import textwrap
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.commands.terminal import tell
from trainer.commands.words import parser_of
from trainer.config import Settings, load
from trainer.errors import TrainerError
from trainer.files.places import Places, bundled, places
from trainer.progress.wording import number

if TYPE_CHECKING:
    from trainer.audio.holding import Held

WIDTH = 79
LABEL, MARK = 13, 6
SMALLEST = (60, 20)
"""Columns and rows the screens need."""

MOST_ERRORS = 10
"""So many errors of one kind are listed; more would scroll everything else away."""

LONGEST_SAID = 200
HOLD_S = 30
MOST_ADVISED_MS = 300
"""With more sound kept ahead, a stop comes so late that it is better to free the machine."""

COLOURS = (("truecolor", "16 million colours"), ("24bit", "16 million colours"), ("256color", "256 colours"))


class Verdict(StrEnum):
    """How a thing stands. FIX alone asks for something to be done."""

    OK = "ok"
    NOTE = "note"
    FIX = "FIX"


@dataclass(frozen=True, slots=True)
class Finding:
    """One line of the report."""

    thing: str
    verdict: Verdict
    text: str


@dataclass(frozen=True, slots=True)
class Here:
    """The folders and the settings that are looked at."""

    kept: Places
    settings: Settings


def words() -> argparse.ArgumentParser:
    parser = parser_of("check", "Whether sound, pedal, logbook and library work here, and what to do if not.")
    parser.add_argument(
        "--sound", action="store_true", help="play for half a minute instead, and say whether the beat held"
    )
    return parser


def run(asked: argparse.Namespace) -> int:
    """Print every finding as it is made; 0 if nothing needs doing, else 1."""
    to_do = []
    for finding in beat_findings() if asked.sound else findings():
        tell(*to_lines(finding))
        if finding.verdict is Verdict.FIX and finding.thing not in to_do:
            to_do.append(finding.thing)
    tell("", f"To be set right: {', '.join(to_do)}." if to_do else "All is well.")
    return 1 if to_do else 0


def findings() -> Iterator[Finding]:
    """Everything worth knowing, the quick things first."""
    yield from (python_finding(), terminal_finding(os.environ, _size()))
    try:
        kept = places()
    except TrainerError as error:
        yield Finding("folders", Verdict.FIX, str(error))
        return
    settings, _ = load(kept.settings)
    here = Here(kept, settings)
    for thing, look in LOOKS.items():
        try:
            yield from look(here)
        except (TrainerError, OSError) as error:
            yield Finding(thing, Verdict.FIX, str(error))
        except Exception as fault:  # noqa: BLE001 - said in the report: whatever failed is what is looked for
            yield Finding(thing, Verdict.FIX, f"The check itself failed: {fault!r}.")


def beat_findings() -> Iterator[Finding]:
    """Whether the beat holds beside whatever the machine does now; it takes half a minute."""
    from trainer.audio.holding import hold
    from trainer.audio.kit import DEFAULT_KIT
    from trainer.audio.kitfiles import list_kits
    from trainer.audio.outputs.frameclock import RATE_HZ
    from trainer.audio.synth import Bank

    kept = places()
    settings, _ = load(kept.settings)
    kits, _ = list_kits((kept.sounds, bundled("sounds")))
    kit = next((kit for name in (settings.kit, DEFAULT_KIT) for kit in kits if kit.name == name), None)
    if kit is None:
        yield Finding("kits", Verdict.FIX, "No kit of sounds could be read. Install throwbeat again.")
        return
    tell(f"A beat plays for {HOLD_S} seconds. Do meanwhile what is done here while you practise.")
    yield beat_finding(hold(settings, Bank(kit, RATE_HZ), HOLD_S), settings.buffer_ms)


def beat_finding(held: Held, buffer_ms: float) -> Finding:
    """Whether the beat held, in a sentence, and what to do if it did not."""
    if held.notice:
        return Finding("beat", Verdict.NOTE, held.notice)
    if held.name == "silent":
        return Finding("beat", Verdict.NOTE, "the output is silent: there was no beat to hold")
    late = f"the latest came {1000 * held.worst_s:.0f} ms late"
    if not held.gaps:
        text = f"the beat held: {held.blocks} blocks of sound, {late}, with {buffer_ms:g} ms of sound ahead"
        return Finding("beat", Verdict.OK, text)
    gaps = number(held.gaps, "gap")
    advice = "End what keeps the machine busy"
    if buffer_ms < MOST_ADVISED_MS:
        more = min(MOST_ADVISED_MS, 10 * ceil((buffer_ms + 1000 * held.worst_s) / 10))
        advice += f", or set “sound ahead” to {more} ms in Setup (F2)"
    text = f"The beat did not hold: {gaps} in {held.blocks} blocks of sound, {late}. {advice}."
    return Finding("beat", Verdict.FIX, text)


def to_lines(finding: Finding) -> list[str]:
    """A finding in columns, the text beside its label; a path is never broken."""
    return textwrap.wrap(
        finding.text,
        WIDTH,
        initial_indent=f"{finding.thing:<{LABEL}}{finding.verdict:<{MARK}}",
        subsequent_indent=" " * (LABEL + MARK),
        break_long_words=False,
        break_on_hyphens=False,
    )


def python_finding() -> Finding:
    from trainer import __version__

    version = ".".join(str(part) for part in sys.version_info[:3])
    return Finding("Python", Verdict.OK, f"{version} on {sys.platform}, throwbeat {__version__}")


def _size() -> tuple[int, int] | None:
    """Columns and rows of the terminal written to; None if there is none."""
    try:
        return os.get_terminal_size(sys.stdout.fileno())
    except (OSError, ValueError):
        return None


def terminal_finding(environ: Mapping[str, str], size: tuple[int, int] | None) -> Finding:
    """The terminal, by its environment and its size in columns and rows (None: no terminal)."""
    if size is None:
        return Finding("terminal", Verdict.NOTE, "none here: what is printed goes to a file or another program")
    name = environ.get("TERM", "")
    if name == "dumb":
        return Finding("terminal", Verdict.FIX, "TERM is “dumb”: the full screen can't be drawn. Use another terminal.")
    columns, rows = size
    shown = f"{columns} × {rows}, TERM {name or 'not set'}, {_colours(environ)}"
    if 0 in size:
        return Finding("terminal", Verdict.NOTE, f"its size is not known; {shown}")
    if columns < SMALLEST[0] or rows < SMALLEST[1]:
        needed = f"{SMALLEST[0]} × {SMALLEST[1]}"
        return Finding("terminal", Verdict.FIX, f"{shown}. Make it {needed} at least, or its letters smaller.")
    return Finding("terminal", Verdict.OK, shown)


def _colours(environ: Mapping[str, str]) -> str:
    if "NO_COLOR" in environ:
        return "no colours (NO_COLOR is set)"
    says = f"{environ.get('COLORTERM', '')} {environ.get('TERM', '')}"
    return next((text for word, text in COLOURS if word in says), "16 colours or fewer")


def _settings(here: Here) -> Iterator[Finding]:
    path = here.kept.settings
    _, errors = load(path)
    yield from _listed("settings", [str(error) for error in errors])
    if not errors:
        there = os.path.lexists(path)
        yield Finding("settings", Verdict.OK, str(path) if there else f"none yet, so the usual ones ({path})")
    yield from _unwritable("settings", path)


def _pedal(here: Here) -> Iterator[Finding]:
    from trainer.keys.commands import check_remapped, why_no_pedal
    from trainer.keys.footswitch import is_midi
    from trainer.keys.names import key_to_text

    settings = here.settings
    pedals = [("pedal", settings.pedal)]
    if settings.end_pedal is not None:
        pedals.append(("end_pedal", settings.end_pedal))
    for name, key in pedals:
        refusal = why_no_pedal(name, key, settings)
        learned = "" if key != Settings().pedal else " (as it comes; Setup, F2, learns another)"
        label = name.replace("_", " ")
        if refusal:
            yield Finding(label, Verdict.FIX, f"{refusal} Choose another in Setup.")
        elif is_midi(key):
            yield _footswitch(label, key)
        else:
            called = key_to_text(key) if key.startswith("mouse_") else f"the key {key_to_text(key)}"
            yield Finding(label, Verdict.OK, f"{called}{learned}")
    accepted, refusals = check_remapped(settings.keys, tuple(key for _, key in pedals))
    yield from _listed("keys", refusals)
    if accepted:
        yield Finding("keys", Verdict.OK, f"{number(len(accepted), 'command')} on keys of your own")


def _footswitch(label: str, key: str) -> Finding:
    """Whether a pedal that is a MIDI footswitch can be heard."""
    from trainer.audio.outputs.stderr import listening_to_stderr
    from trainer.keys.footswitch import Footswitch, FootswitchError
    from trainer.keys.names import key_to_text

    footswitch = Footswitch(lambda _name, _edge, _at_s: None, time.monotonic)
    try:
        with listening_to_stderr():  # the system's library complains there, past Python
            footswitch.listen()
    except FootswitchError as error:
        return Finding(label, Verdict.FIX, f"{key_to_text(key)}: {error}")
    finally:
        footswitch.close()
    return Finding(label, Verdict.OK, f"{key_to_text(key)}, a MIDI footswitch; there are MIDI inputs to hear it by")


def _sound(here: Here) -> Iterator[Finding]:
    from trainer.audio.outputs.choice import AUTO, probe_outputs

    results = {result.name: result for result in probe_outputs()}
    setting = here.settings.output
    wanted = AUTO if setting == "auto" else setting
    for name in [name for name in results if name != "silent"]:
        result = results[name]
        used = f"; output “{setting}” uses it" if name == wanted else ""
        if result.works:
            own = here.settings.latency_ms
            latency = f"{result.latency_ms:.0f} ms late" if own is None else f"{own:g} ms late, as you set it"
            yield Finding("sound", Verdict.OK, f"{name} works: {result.device}, {latency}{used}")
        else:
            said = f" The system said: {shortened(result.said)}" if result.said else ""
            yield Finding("sound", Verdict.NOTE, f"{name}: {result.why} {result.advice}{said}")
    if wanted == "silent":
        yield Finding("sound", Verdict.NOTE, "the output is set to silent, so nothing is heard")
    elif not results[wanted].works:
        other = next((name for name in results if results[name].works and name != "silent"), None)
        if other is None:
            yield Finding("sound", Verdict.NOTE, "The trainer runs silent here, and everything but sound works.")
        else:
            advice = f"The output “{setting}” does not work, and {other} does: set the output to {other} in Setup."
            yield Finding("sound", Verdict.FIX, advice)


def shortened(said: str) -> str:
    """What the system's libraries wrote, as one short line: the first thing said, without where in their code."""
    lines = [re.sub(r"^ALSA lib \S+?:\d+:\(\w+\) ", "ALSA: ", line) for line in said.splitlines() if line.strip()]
    first = lines[0] if len(lines[0]) <= LONGEST_SAID else f"{lines[0][: LONGEST_SAID - 1]}…"
    more = len(lines) - 1
    return first + (f" (and {number(more, 'more line')})" if more else "")


def _kits(here: Here) -> Iterator[Finding]:
    from trainer.audio.kitfiles import list_kits

    kits, errors = list_kits((here.kept.sounds, bundled("sounds")))
    names = [kit.name for kit in kits]
    text = f"{len(kits)}: {', '.join(names) or 'none'}"
    yield _read("kits", text, [kit.path.parent for kit in kits], here.kept.sounds)
    if here.settings.kit not in names:
        text = f"There was no kit “{here.settings.kit}”, which the settings ask for. Choose one in Setup."
        yield Finding("kits", Verdict.FIX, text)
    yield from _listed("kits", [str(error) for error in errors])


def _library(here: Here) -> Iterator[Finding]:
    from trainer.library.reading import library_folders, read_library

    library = read_library(library_folders(here.kept))
    text = number(len(library.entries), "pattern")
    yield _read("library", text, [entry.path.parent for entry in library.entries], here.kept.patterns)
    yield from _listed("library", [str(error) for error in library.errors])


def _plans(here: Here) -> Iterator[Finding]:
    from trainer.library.reading import library_folders, read_library
    from trainer.practice.plans.folder import open_plan_folder

    plan_folder = open_plan_folder(here.kept, read_library(library_folders(here.kept)).to_choice)
    plans, errors = plan_folder.plans()
    yield _read("plans", number(len(plans), "plan"), [plan.path.parent for plan in plans], plan_folder.own)
    yield from _listed("plans", [str(error) for error in errors])


def _logbook(here: Here) -> Iterator[Finding]:
    from trainer.logbook.opening import damaged
    from trainer.logbook.store import Logbook

    path = here.kept.logbook
    if not os.path.lexists(path):
        yield Finding("logbook", Verdict.OK, f"none yet; the first attempt begins it ({path})")
        yield from _unwritable("logbook", path)
        yield from _backups(path, 0)
        return
    with Logbook.open_to_read(path) as logbook:
        problems, count = logbook.problems(), 0
        if not problems:
            count = logbook.count()
            yield Finding("logbook", Verdict.OK, f"{number(count, 'attempt')}, the whole file is sound ({path})")
        else:
            yield from _listed("logbook", [str(damaged(path)), *problems])
    yield from _unwritable("logbook", path)
    yield from _backups(path, count)


def _backups(path: Path, attempts: int) -> Iterator[Finding]:
    from trainer.logbook.opening import backup_folder, backups

    folder, kept = backup_folder(path), backups(path)
    if folder.exists() and not (folder.is_dir() and os.access(folder, os.W_OK)):
        text = f"No backup can be made: {folder} was no folder that can be written. Move it away, or make it writable."
        yield Finding("logbook", Verdict.FIX, text)
    if kept:
        yield Finding("logbook", Verdict.OK, f"{number(len(kept), 'backup')}, the newest {kept[0]}")
    elif attempts:
        yield Finding("logbook", Verdict.NOTE, "no backup yet; the trainer makes one each day it is opened")


LOOKS: dict[str, Callable[[Here], Iterator[Finding]]] = {
    "settings": _settings,
    "pedal": _pedal,
    "kits": _kits,
    "library": _library,
    "plans": _plans,
    "logbook": _logbook,
    "sound": _sound,
}


def _listed(thing: str, errors: list[str]) -> Iterator[Finding]:
    yield from (Finding(thing, Verdict.FIX, error) for error in errors[:MOST_ERRORS])
    if len(errors) > MOST_ERRORS:
        yield Finding(thing, Verdict.FIX, f"and {len(errors) - MOST_ERRORS} more like these")


def _unwritable(thing: str, path: Path) -> Iterator[Finding]:
    """A finding if the file, or the first folder above it that is there, could not be written."""
    folder = next(above for above in path.parents if above.exists())
    for each in (path, folder):
        if each.exists() and not os.access(each, os.W_OK):
            yield Finding(thing, Verdict.FIX, f"{each} could not be written. Make it writable.")


def _read(thing: str, text: str, folders: list[Path], own: Path) -> Finding:
    """What was read from these folders, how much of it is the user's own, and where that is or would be."""
    count = folders.count(own)
    of_own = f"{count} of your own in {own}" if count else f"your own would be in {own}"
    return Finding(thing, Verdict.OK if folders else Verdict.FIX, f"{text}; {of_own}")
