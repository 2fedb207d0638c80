"""Kills practising trainers with SIGKILL, while others write: no try is lost that was told, and none is changed.

    python tests/live/kill_nine.py [KILLS] [SEED]

One kill in five hits a trainer in a terminal of its own within 0.6 s of the press that ends a try; what its screen has
told by then counts. One in five hits a session in real time within 0.6 s of such a press, the others a session at any
moment. Such a session is a process of its own with all that belongs to it (pedal, run, counting, player, tries,
logbook) on an output and a clock moved by hand, so that it makes many tries a second; it announces each try as soon as
a screen could tell how it ended, and each change before and after it is made. Beside every trainer there is, in turn:
nothing, a second trainer, an import, a restore of an older copy. After each kill the logbook is opened, checked, and
compared, together with the copies that restores have kept, with all that was ever announced.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))  # so that it also runs in a checkout that is not installed

from tests.bench.million import made
from tests.live.trainer import trainer
from trainer.logbook import backups
from trainer.logbook.exchange import exported
from trainer.logbook.migrations import TOTALS
from trainer.logbook.rows import COLUMNS, JOINS, uid_text
from trainer.logbook.store import Logbook

PRACTISING = """
import itertools, random, sys, time
from datetime import timedelta
from pathlib import Path
from tests.session.hall import MORNING, TICK_S, Hall
from trainer.logbook.store import Logbook

number, mode = int(sys.argv[2]), sys.argv[3]
chance = random.Random(number)


class OnADay(Hall):
    def time_of_day(self):
        return super().time_of_day() + timedelta(hours=number)


def tell(word, uid="-", catches=None, ended="-", fair=True):
    print(word, time.monotonic(), uid, catches, ended, int(fair), flush=True)


def let_go_by(seconds):
    until_s = hall.now_s + seconds
    while hall.now_s < until_s - 0.001:
        if mode == "real":
            time.sleep(TICK_S)
        hall.to(min(until_s, hall.now_s + TICK_S))


def tell_end():
    view = hall.view
    if not hall.tries.trouble:
        tell("told", hall.tries._under_way.uid, view.catches, view.ended)


hall = OnADay(Path("."), "531", logbook=Logbook.open(Path(sys.argv[1]), wait_s=60, now=MORNING))
for played in itertools.count():
    tell("begin")
    hall.press(hall.now_s + 0.1)
    hall.to(hall.now_s + 1.5 + chance.random())
    tell("press")
    if chance.random() < 0.1:
        hall.session.give_up(hall.now_s)
    else:
        hall.press(hall.now_s)
    tell_end()
    let_go_by(0.2)
    if hall.view.ended == "drop" and chance.random() < 0.3:
        tell("next", hall.tries._under_way.uid)
        hall.press(hall.now_s)
        tell_end()
    let_go_by(0.5)
    hall.to(hall.now_s + 2.0)
    last = hall.tries.attempts[-1]
    if not hall.tries.unsaved:
        tell("told", last.uid, last.catches, last.ended)
        tell("saved")
    if chance.random() < 0.3:
        tell("next", last.uid)
        last = hall.session.last_try.toggle_fair()
        if not hall.tries.unsaved:
            tell("told", last.uid, last.catches, last.ended, last.fair)
"""

NEAR_S = 0.6
LONGEST_WAIT_S = 0.25
BESIDE = ("nothing", "a second trainer", "an import", "a restore")

Value = tuple[str, str, bool]  # catches, ended, fair
GIVEN_UP: Value = ("None", "given-up", True)


@dataclass
class Practice:
    """A session in a process of its own. told: what each try was announced as, in order; None: about to change."""

    process: subprocess.Popen[str]
    told: dict[str, list[Value | None]] = field(default_factory=dict)
    begun_s: float = 0.0
    saved_s: float = 0.0
    """When the last try began that was announced as saved: all tries before it were looked up then."""

    def read(self, line: str) -> str:
        """Take a line in; its first word."""
        if not line.endswith("\n"):
            return ""
        word, at_s, uid, catches, ended, fair = line.split()
        if word == "begin":
            self.begun_s = float(at_s)
        elif word == "saved":
            self.saved_s = self.begun_s
        elif word in ("told", "next"):
            self.told.setdefault(uid, []).append((catches, ended, fair == "1") if word == "told" else None)
        return word

    def read_to(self, wanted: str) -> None:
        """Read until a word comes."""
        assert self.process.stdout is not None
        while (line := self.process.stdout.readline()) and self.read(line) != wanted:
            pass

    def kill(self) -> None:
        """End it in the middle of whatever it does, and read what it had announced."""
        assert self.process.stdout is not None
        self.process.kill()
        for line in self.process.stdout.read().splitlines(keepends=True):
            self.read(line)
        self.process.wait()
        self.process.stdout.close()


@dataclass
class Findings:
    """The folder of a logbook, all that was announced about it, and what was counted."""

    folder: Path
    chance: random.Random
    practices: list[Practice] = field(default_factory=list)
    kept: dict[Path, dict[str, Value]] = field(default_factory=dict)
    dropped: dict[Path, frozenset[tuple[str, str]]] = field(default_factory=dict)
    imports: list[frozenset[str]] = field(default_factory=list)
    on_screens: Counter[str] = field(default_factory=Counter)
    """How many drops the screens of a juggler have told."""
    restored_s: float = 0.0
    count: Counter[str] = field(default_factory=Counter)

    @property
    def path(self) -> Path:
        return self.folder / "logbook.sqlite"

    @property
    def announced(self) -> int:
        return sum(len(each.told) for each in self.practices) + self.on_screens.total()

    def practise(self, mode: str) -> Practice:
        number = len(self.practices)
        words = [sys.executable, "-c", PRACTISING, str(self.path), str(number), mode]
        practice = Practice(subprocess.Popen(words, cwd=ROOT, stdout=subprocess.PIPE, text=True))
        self.practices.append(practice)
        return practice


def run(findings: Findings, *words: str) -> subprocess.Popen[str]:
    """A command of the line on the logbook."""
    kept = {**os.environ, "THROWBEAT_HOME": str(findings.folder), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "trainer.commands.line", *words]
    return subprocess.Popen(command, env=kept, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)


@contextmanager
def beside(findings: Findings, what: str) -> Iterator[None]:
    """Something else that writes meanwhile; it is over, and what came of it noted, when this ends."""
    findings.count[what] += 1
    if what == "a second trainer":
        other = findings.practise("quick")
        yield
        time.sleep(findings.chance.uniform(0, LONGEST_WAIT_S))
        other.kill()
        findings.count["kills"] += 1
    elif what == "an import":
        with tempfile.TemporaryDirectory() as name:
            made(Path(name) / "made.sqlite", 60)
            with Logbook.open_to_read(Path(name) / "made.sqlite") as book:
                (Path(name) / "made.json").write_text("".join(exported(book, ".json")))
                uids = frozenset(str(each.uid) for each in book.attempts())
            importing = run(findings, "log", "import", str(Path(name) / "made.json"))
            yield
            said = importing.communicate()[0]
            assert importing.returncode == 0, said
            findings.imports.append(uids)
    elif what == "a restore" and findings.path.exists():
        older = findings.folder / f"older-{findings.chance.randrange(3)}.sqlite"
        if not older.exists() or findings.chance.random() < 0.5:
            backups.copy(findings.path, older)
        time.sleep(max(0.0, findings.restored_s + 1 - time.monotonic()))  # what it keeps is named by the second
        restoring = run(findings, "log", "restore", str(older))
        yield
        said = restoring.communicate()[0]
        assert restoring.returncode == 0, said
        findings.restored_s = time.monotonic()
    else:
        yield


def kill_one(findings: Findings, what: str) -> None:
    """Let a session make tries, kill it at any moment, and check all that was ever announced."""
    practice = findings.practise("quick")
    for _ in range(findings.chance.randint(0, 4)):
        practice.read_to("saved")
    with beside(findings, what):
        time.sleep(findings.chance.uniform(0, 0.8 if what in BESIDE[2:] else LONGEST_WAIT_S))
        practice.kill()
    findings.count["kills"] += 1
    check(findings)


def kill_one_near_a_press(findings: Findings, what: str) -> None:
    """The same in real time, within 0.6 s of a press that ends a try."""
    practice = findings.practise("real")
    with beside(findings, what):
        for _ in range(findings.chance.randint(1, 2)):
            practice.read_to("press")
        time.sleep(findings.chance.uniform(0, NEAR_S))
        practice.kill()
    findings.count["kills"] += 1
    findings.count["near a press"] += 1
    check(findings)


def kill_one_in_a_terminal(findings: Findings, what: str) -> None:
    """The whole trainer, within 0.6 s of the press that ends its first or second try; its screen tells what counts."""
    juggler = f"Invented {findings.count['in a terminal']}"
    settings = f'output = "silent"\ntour = false\ncount_in_beats = 1\nrest_s = 1.0\njuggler = "{juggler}"\n'
    (findings.folder / "settings.toml").write_text(settings)
    with trainer(findings.folder, "531", "--tempo", "240") as terminal, beside(findings, what):
        terminal.wait_for("READY", 60)
        for last in range(findings.chance.randint(1, 2))[::-1]:
            terminal.forget()
            terminal.write(b" ")
            terminal.wait_for("GO", 30)
            time.sleep(findings.chance.uniform(0.4, 1.2))
            terminal.forget()
            terminal.write(b" ")
            if last:
                terminal.wait_for("READY", 60)
                findings.on_screens[juggler] += 1
        time.sleep(findings.chance.uniform(0, NEAR_S))
        terminal.process.kill()
        terminal.wait_ended()
        findings.on_screens[juggler] += "DROP" in terminal.text and "Not saved" not in terminal.text
        findings.count["told in a terminal"] += "DROP" in terminal.text
    findings.count["kills"] += 1
    findings.count["near a press"] += 1
    findings.count["in a terminal"] += 1
    check(findings)


def tries_in(path: Path) -> dict[str, Value]:
    """Every try of a file that has ended: how it stands there."""
    with Logbook.open_to_read(path) as book:
        found = book.read("SELECT uid, catches, ended, fair FROM attempts WHERE ended IS NOT NULL")
        return {uid_text(uid): (str(catches), ended, bool(fair)) for uid, catches, ended, fair in found}


def drops_in(path: Path) -> frozenset[tuple[str, str]]:
    """Every drop of a juggler with a name in a file: the name and the try."""
    with Logbook.open_to_read(path) as book:
        found = book.read(f"SELECT {COLUMNS} FROM attempts a {JOINS} WHERE a.ended = 'drop' AND j.name IS NOT NULL")
        return frozenset((row["juggler"], uid_text(row["uid"])) for row in found)


def check(findings: Findings) -> None:
    """AssertionError if anything announced is missing or changed, or anything there is not whole."""
    with Logbook.open(findings.path, wait_s=10) as book:  # gives up what was under way
        assert book.problems() == ()
        assert book.read_one("SELECT COUNT(*) FROM attempts WHERE ended IS NULL") == 0
        anew = f"{TOTALS} WHERE ended IS NOT NULL AND removed = 0 GROUP BY figure_id, day, tempo"
        assert [tuple(row) for row in book.read("SELECT * FROM days")] == [tuple(row) for row in book.read(anew)]
    main = tries_in(findings.path)
    for path in findings.folder.glob("logbook.before-*.sqlite"):
        if path not in findings.kept:
            findings.kept[path], findings.dropped[path] = tries_in(path), drops_in(path)
            with Logbook.open_to_read(path) as book:
                assert book.problems() == ()
    everywhere = [main, *findings.kept.values()]
    for practice in findings.practices:
        for uid, told in practice.told.items():
            found = {each[uid] for each in everywhere if uid in each}
            assert found, f"{uid} is lost: {told}"
            if told[-1] is not None:
                assert told[-1] in found, f"{uid} is lost as it was told: {told}, {found}"
                assert found <= {*told, GIVEN_UP}, f"{uid} was changed: {told}, {found}"
            if practice.saved_s > findings.restored_s:
                assert uid in main, f"{uid} is not in the logbook of its sitting: {told}"
    for uids in findings.imports:
        assert any(uids <= each.keys() for each in everywhere), "an import is there by halves, or lost"
    dropped = frozenset().union(*findings.dropped.values(), drops_in(findings.path))
    there = Counter(name for name, _ in dropped)
    missing = {name: told for name, told in findings.on_screens.items() if there[name] < told}
    assert missing == {}, f"screens told more drops than there are: {missing}, {there}"


def kill_some(kills: int, findings: Findings) -> None:
    """So many kills in turn, each of its kind beside each of the others."""
    turn = 0
    while findings.count["kills"] < kills:
        what = BESIDE[turn // 5 % len(BESIDE)]
        kind = {0: kill_one_in_a_terminal, 1: kill_one_near_a_press}.get(turn % 5, kill_one)
        kind(findings, what)
        turn += 1


def main() -> None:
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    chance = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 9)
    with tempfile.TemporaryDirectory() as folder:
        findings = Findings(Path(folder), chance)
        kill_some(kills, findings)
    for name, count in findings.count.items():
        print(f"{name:<20} {count:>5}")
    print(f"{findings.announced} tries were told, all are there as they were told; every check passed")


if __name__ == "__main__":
    main()
