"""Every command, once: its name, keys, label and help. Footer, help, remapping and the plain mode come from here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.config import NO_PEDAL, NOT_KEYS, Settings
from trainer.keys.names import key_to_character, key_to_text

KEYS_THAT_STAY = frozenset({"q", "question_mark", "escape", "ctrl+q", "ctrl+c"})
"""Keys that mean one thing everywhere: no other command can be put on them."""

OF_THE_APP = frozenset(
    {
        "leave",
        "show_help",
        "open_setup",
        "open_terms",
        "open_find",
        "open_plans",
        "open_logbook",
        "open_progress",
        "open_climb",
    }
)
"""Commands that the app carries out, whichever screen is open; a screen carries out its own."""


@dataclass(frozen=True, slots=True)
class Command:
    """One thing a user can do. name: of its action and in the settings. keys: the first is shown.

    fixed: why it can't be put on another key, empty if it can. hidden: from the footer, never from the help;
    hidden_on: from the footers of these screens only.
    """

    name: str
    keys: tuple[str, ...]
    label: str
    help: str
    screens: tuple[str, ...]
    fixed: str = ""
    hidden: bool = False
    hidden_on: tuple[str, ...] = ()


ALL = (
    "patterns", "practice", "setup", "calibrate", "react", "terms", "find", "plans", "plan", "logbook", "progress",
    "climb", "tour",
)  # fmt: skip
EVERYWHERE = (*ALL, "plain")
"""The screens, and the mode without one."""

PRACTISING = ("practice", "plain")
CHANGERS = ("setup", "plan")
FINDERS = ("patterns", "find", "progress")
CLIMBERS = ("patterns", "find", "practice")
HOME = ("patterns", "practice")
NO_ROOM = ("practice",)
"""Screens whose footer has no room for more at 80 columns."""

FULL = ("plans", "plan", "logbook", "progress")
"""Screens whose own keys fill the footer."""

IN_A_PAUSE = frozenset({"leave", "show_help", "back", "open_setup", "far_view", "next_block"})
"""Commands shown in the footer of a practice while a plan has nothing to throw, in place of all others."""

WITH_TERMS = tuple(screen for screen in ALL if screen != "terms")

TYPED_ON = ("patterns", "logbook", "progress")
"""Screens on which letters go into a line."""

COMMANDS = (
    Command("next_step", ("enter",), "go on", "Go on to the next step.", ("tour",), "part of the tour"),
    Command("step_before", ("left",), "step back", "Go back to the step before.", ("tour",), "part of the tour"),
    Command("leave", ("q",), "leave", "Leave; a run under way is kept as given up.", EVERYWHERE, "always there"),
    Command("show_help", ("question_mark", "f1"), "help", "Show what every key does here.", EVERYWHERE, "always there"),
    Command("back", ("escape",), "back", "Go back to where you came from.", EVERYWHERE[1:], "always there"),
    Command("clear", ("escape",), "clear", "Empty the line you type in.", ("patterns",), "always there", hidden=True),
    Command("open_setup", ("f2",), "setup", "Sound, pedal, counting, keys.", ("patterns", "practice")),
    Command("open_climb", ("f6",), "climb", "Quicker, or more objects, while held.", CLIMBERS, hidden_on=CLIMBERS[1:]),
    Command("open_plans", ("f7",), "plans", "Practise by a plan; make plans, and change them.", ("patterns",)),
    Command("open_logbook", ("f8",), "logbook", "Every try: note it, mend it.", (*HOME, "progress"), hidden_on=NO_ROOM),
    Command("open_progress", ("f9",), "progress", "How catches and tempo grew.", (*HOME, "logbook"), hidden_on=NO_ROOM),
    Command("open_terms", ("f3",), "terms", "What the words of the trade mean.", WITH_TERMS, hidden_on=FULL),
    Command("open_find", ("f4",), "find", "Find all patterns of so many objects and beats.", ("patterns",)),
    Command("what_next", ("f5",), "next", "What builds on what you qualify by now.", ("patterns",)),
    Command("next_field", ("tab",), "next field", "Go to the next field.", ("find", "climb"), "part of the form"),
    Command("begin", ("enter",), "begin", "Begin the climb as the form says.", ("climb",), "part of the form"),
    Command("go_on", ("enter",), "go on", "Go on to a related word or a pattern.", ("terms",), "part of the list"),
    Command("next_page", ("tab",), "page", "Catches, tempo, weeks, days.", ("progress",), "part of the list"),
    Command("edit_note", ("enter",), "note", "Write or change the note.", ("logbook",), "part of the list"),
    Command("next_sort", ("tab",), "sort", "By time, catches, tempo, length.", ("logbook",), "part of the list"),
    Command("mark_unfair", ("ctrl+x",), "unfair", "Not a fair try: it counts for nothing.", ("logbook",)),
    Command("remove", ("delete",), "remove", "Remove the try.", ("logbook",)),
    Command("take_back", ("ctrl+z",), "undo", "Take back the last change made here.", ("logbook",), hidden=True),
    Command("practise", ("enter",), "practise", "Practise the pattern shown.", FINDERS, "part of the list"),
    Command("far_view", ("f",), "far", "The count as large as the screen, for 4 m away; again: all.", ("practice",)),
    Command("faster", ("up",), "faster", "5 beats a minute faster, from the next beat on.", PRACTISING),
    Command("slower", ("down",), "slower", "5 beats a minute slower, from the next beat on.", PRACTISING),
    Command(
        "hold_longer",
        ("right",),
        "hold longer",
        "Hold each object longer (dwell ratio up): lower throws.",
        PRACTISING,
        hidden=True,
    ),
    Command(
        "hold_shorter",
        ("left",),
        "hold shorter",
        "Hold each object for less time: higher throws.",
        PRACTISING,
        hidden=True,
    ),
    Command(
        "tap_tempo",
        ("t",),
        "tap tempo",
        "Tap it with the beat: after four taps the tempo is yours.",
        PRACTISING,
        hidden=True,
    ),
    Command("double", ("d",), "double", "Twice the tempo.", PRACTISING, hidden=True),
    Command("halve", ("h",), "halve", "Half the tempo.", PRACTISING, hidden=True),
    Command(
        "flight_view",
        ("v",),
        "view",
        "Show the objects in flight; again: the count. What you see in a run is what you hear.",
        ("practice",),
    ),
    Command(
        "slow",
        ("s",),
        "slow",
        "Before a run: half the speed, a quarter, all of it, in silence; stopped, go on.",
        ("practice",),
        hidden=True,
    ),
    Command("step_on", ("full_stop",), "beat on", "Before a run: stop, one beat on.", ("practice",), hidden=True),
    Command("step_back", ("comma",), "beat back", "Before a run: stop, one beat back.", ("practice",), hidden=True),
    Command("next_kit", ("k",), "kit", "The next kit of sounds.", PRACTISING, hidden=True),
    Command("next_count", ("c",), "count", "Count by the beat, by taps or by hand, from the next try on.", PRACTISING),
    Command("one_more", ("plus", "equals_sign"), "+1", "One catch more for the last try.", PRACTISING, hidden=True),
    Command("one_less", ("minus",), "−1", "One catch less for the last try.", PRACTISING, hidden=True),
    Command(
        "unfair",
        ("x",),
        "not a fair try",
        "The last try was disturbed: keep it, but count it for no best. Again, it is a fair one.",
        PRACTISING,
        hidden=True,
    ),
    Command(
        "undo",
        ("u",),
        "undo",
        "Take back the last change to a try: its count, or its mark.",
        PRACTISING,
        hidden=True,
    ),
    Command(
        "enter_it",
        ("e",),
        "entry",
        "Begin from the plain cascade or fountain, through the throws that lead in.",
        PRACTISING,
        hidden=True,
    ),
    Command("give_up", ("g",), "give up", "End the run without counting it as a drop.", PRACTISING, hidden=True),
    Command(
        "calibrate",
        ("m",),
        "measure delay",
        "Tap along with a beat: how late is the sound for you?",
        ("setup",),
        hidden=True,
    ),
    Command(
        "react",
        ("r",),
        "measure reaction",
        "Press when the beat breaks off: how long do you take from a drop to the pedal?",
        ("setup",),
        hidden=True,
    ),
    Command(
        "accept", ("enter",), "accept", "Take what was measured as the setting.", ("calibrate", "react"), "always there"
    ),
    Command("change", ("enter",), "change", "Change what is under the cursor.", CHANGERS, "part of the list"),
    Command("next_value", ("right",), "more", "The next value, or one step more.", CHANGERS, "part of the list"),
    Command("previous_value", ("left",), "less", "The value before, or one step less.", CHANGERS, "part of the list"),
    Command("start", ("enter",), "start", "Start the plan, or go on with it.", ("plans",), "part of the list"),
    Command("anew", ("a",), "anew", "Start a plan that was left from its beginning.", ("plans",)),
    Command("new_plan", ("n",), "new", "Make a new plan.", ("plans",)),
    Command("edit_plan", ("e",), "change", "Change the plan; one brought along becomes yours with that.", ("plans",)),
    Command("keep", ("s",), "keep", "Keep the suggested plan among yours.", ("plans",)),
    Command("write_sheet", ("p",), "sheet", "Write a page of the last judged attempts, to be printed.", ("plans",)),
    Command("add_block", ("a",), "add", "A block more, after the one under the cursor.", ("plan",)),
    Command("remove_block", ("x",), "remove", "Take the block out of the plan.", ("plan",)),
    Command("block_up", ("pageup",), "up", "Move the block up.", ("plan",)),
    Command("block_down", ("pagedown",), "down", "Move the block down.", ("plan",)),
    Command("undo_edit", ("u",), "undo", "Undo the last change.", ("plan",)),
    Command("save_plan", ("s",), "save", "Save the plan among yours.", ("plan",)),
    Command("who_dropped", ("j",), "who dropped", "Passing: note which juggler dropped.", PRACTISING, hidden=True),
    Command("next_block", ("n",), "next block", "Go on with the next block of the plan.", ("practice",), hidden=True),
)

CARE = (
    "Care: look up and around before you throw: lights, ceiling, people, pets. Start quiet; headphones gentle. "
    "Rest when hands or shoulders tire; stop at pain and see a professional. Heavy or spinning props want shoes, "
    "clear space and care for eyes and teeth. Fire and blades only with a qualified teacher and by local rules."
)
"""The words of care that stand under the keys of each screen."""


def commands_of(screen: str) -> tuple[Command, ...]:
    """The commands of a screen, in the order of the footer."""
    return tuple(command for command in COMMANDS if screen in command.screens)


def find_command(name: str) -> Command | None:
    return next((command for command in COMMANDS if command.name == name), None)


def keys_of(command: Command, remapped: Mapping[str, str]) -> tuple[str, ...]:
    """The keys a command is on, the user's own before those out of the box."""
    own = remapped.get(command.name)
    return (own,) if own and not command.fixed else command.keys


def key_rows(screen: str, settings: Settings) -> list[tuple[str, str]]:
    """Each key of a screen as people call it, and what it does."""
    pedal = "The pedal: starts a try and ends it, twice quickly if you collect."
    rows = [(key_to_text(settings.pedal), pedal)] if screen in PRACTISING else []
    for command in commands_of(screen):
        keys = " ".join(key_to_text(key) for key in keys_of(command, settings.keys)[:2])
        rows.append((keys, command.help))
    return rows


def check_remapped(remapped: Mapping[str, str], pedals: tuple[str, ...]) -> tuple[dict[str, str], list[str]]:
    """The user's own keys that can be used, and what was wrong with the others.

    One key means one thing on a screen: a clash with another command or with a pedal is refused, over the whole
    table, and the command stays on the key it had.
    """
    accepted: dict[str, str] = {}
    notices = []
    for name, key in remapped.items():
        refusal = why_not(name, key, accepted, pedals)
        if refusal:
            notices.append(refusal)
        else:
            accepted[name] = key
    return accepted, notices


def why_not(name: str, key: str, remapped: Mapping[str, str], pedals: tuple[str, ...]) -> str:
    """Why a command can't be put on a key, in a sentence; empty if it can."""
    command = find_command(name)
    if command is None:
        return f"There was no command “{name}” to put on a key. Take it out of the settings."
    if command.fixed:
        return f"“{command.label}” keeps its key: it is {command.fixed}."
    if key in KEYS_THAT_STAY:
        return f"The key {key_to_text(key)} means the same everywhere. Choose another for “{command.label}”."
    if key in NOT_KEYS:
        return f"The key {key} can't be told apart: {NOT_KEYS[key]}. Choose another for “{command.label}”."
    typed_on = next((screen for screen in TYPED_ON if screen in command.screens), "")
    if typed_on and key_to_character(key) is not None:
        return f"The key {key_to_text(key)} is typed on the {typed_on} screen. Choose another for “{command.label}”."
    if key in pedals:
        return f"The key {key_to_text(key)} is the pedal. Choose another for “{command.label}”."
    for other in COMMANDS:
        shared = set(other.screens) & set(command.screens)
        if other.name != name and shared and key in keys_of(other, remapped):
            return f"The key {key_to_text(key)} is “{other.label}”. Choose another for “{command.label}”."
    return ""


def why_no_pedal(name: str, key: str, settings: Settings) -> str:
    """Why a key can't be the pedal or the end pedal (`name`), in a sentence; empty if it can."""
    if key in NO_PEDAL:
        return f"The key {key_to_text(key)} can't be a pedal: {NO_PEDAL[key]}."
    other = {"pedal": settings.end_pedal, "end_pedal": settings.pedal}[name]
    if key == other:
        return f"The key {key_to_text(key)} is the {'pedal' if name == 'end_pedal' else 'end pedal'} already."
    accepted, _ = check_remapped(settings.keys, ())
    for command in COMMANDS:
        if "practice" in command.screens and key in keys_of(command, accepted):
            elsewhere = "" if command.fixed else " Put that on another key first."
            return f"The key {key_to_text(key)} is “{command.label}” in practice.{elsewhere}"
    return ""
