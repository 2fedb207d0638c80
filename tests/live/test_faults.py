"""What may happen to a trainer from outside, on every screen: it goes on, the terminal and the logbook stay whole."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from fractions import Fraction
from pathlib import Path

import pytest

from tests.live.soundserver import SoundServer
from tests.live.terminal import Terminal
from tests.live.trainer import ROOT, trainer
from tests.live.whole import QUICK, assert_sound, assert_whole, begin, logged, resize
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Ended

pytestmark = pytest.mark.live

CODES = (15, 17, 18, 19, 20)  # as xterm sends F5 to F9
F = {2: b"\x1bOQ", 3: b"\x1bOR", 4: b"\x1bOS"} | {
    number: b"\x1b[%d~" % code for number, code in zip(range(5, 10), CODES, strict=True)
}
ESCAPE, CTRL_Q = b"\x1b", b"\x11"
AT_HOME = "F7 plans"  # in the footer of the list of patterns alone
SCREENS = {
    # screen: the key that opens it from the list of patterns, and what it alone shows
    "patterns": (b"", AT_HOME),
    "find": (F[4], "lowest"),
    "terms": (F[3], "Enter go on"),
    "what next": (F[5], "these are first steps"),
    "climb": (F[6], "up after"),
    "plans": (F[7], "a anew"),
    "logbook": (F[8], "newest first"),
    "progress": (F[9], "Tab page"),
    "setup": (F[2], "Enter change"),
}
TRY = Attempt(
    session_id=1, started_at=datetime.now().astimezone(), pattern="531", objects=3, tempo=Fraction(240),
    dwell=Fraction(2, 3), flash_at=3, qualify_at=6, catches=4, seconds=2.5, ended=Ended.DROP,
)  # fmt: skip
WAIT_S = 0.3  # an Esc and a key close behind it would be one key with Alt


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder of its own with a try in its logbook, without sound."""
    (tmp_path / "settings.toml").write_text('output = "silent"\ntour = false\n')
    with Logbook.open(tmp_path / "logbook.sqlite") as book:
        book.begin_session(TRY.started_at)
        book.add(TRY)
    return tmp_path


def made_tiny(terminal: Terminal) -> None:
    for columns, rows in ((1, 1), (80, 24), (3, 2), (1, 40), (200, 1), (80, 24)):
        resize(terminal, columns, rows)
        time.sleep(0.1)


def pressed_a_hundred_times_a_second(terminal: Terminal) -> None:
    for key in b" 5\x1b[A\x1b[B".split(b"\x1b") * 8:
        terminal.write(b"\x1b" + key if key.startswith(b"[") else key)
        time.sleep(0.01)


def pasted_into(terminal: Terminal) -> None:
    paste = b"\x1b[200~" + b"531 q \n" * 150_000 + b"\x1b[201~"
    for start in range(0, len(paste), 4096):
        terminal.write(paste[start : start + 4096])


def sent_noise(terminal: Terminal) -> None:
    terminal.write(b"\xff\xfe\x80\x9b" + bytes(range(128, 256)))


def stopped_and_continued(terminal: Terminal) -> None:
    terminal.process.send_signal(signal.SIGSTOP)
    time.sleep(0.3)
    terminal.process.send_signal(signal.SIGCONT)


def open_screen(terminal: Terminal, screen: str) -> None:
    key, shows = SCREENS[screen]
    if key:
        terminal.forget()
        terminal.write(key)
    terminal.wait_for(shows)


def back_to_the_list(terminal: Terminal) -> None:
    """Esc until the list of patterns is seen: what was typed in goes first, then the screen."""
    for _ in range(4):
        terminal.forget()
        terminal.write(ESCAPE)
        time.sleep(2 * WAIT_S)
        if AT_HOME in terminal.text:
            return
    terminal.forget()
    resize(terminal, 81, 24)  # it may have been seen all the time: all of it is sent anew
    terminal.wait_for(AT_HOME)
    resize(terminal, 80, 24)


@pytest.mark.parametrize(
    ("happens", "entered"),
    [
        (made_tiny, 1),
        (pressed_a_hundred_times_a_second, 1),
        (pasted_into, 1),
        (sent_noise, 1),
        (stopped_and_continued, 1 + len(SCREENS)),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_on_any_screen_it_does_no_harm(home: Path, happens: Callable[[Terminal], None], entered: int) -> None:
    """The screen is left and the next one opened as ever; the logbook holds what it held."""
    with trainer(home) as terminal:
        terminal.wait_for(AT_HOME)
        for screen in SCREENS:
            open_screen(terminal, screen)
            happens(terminal)
            time.sleep(WAIT_S)
            back_to_the_list(terminal)
        terminal.write(CTRL_Q)
        assert terminal.wait_ended(20) == 0
        assert_whole(terminal, entered)
    assert [(each["pattern"], each["ended"]) for each in logged(home)] == [("531", "drop")]
    assert_sound(home)


@pytest.mark.parametrize("screen", SCREENS)
def test_the_terminal_closed_on_any_screen_ends_it(home: Path, screen: str) -> None:
    with trainer(home) as terminal:
        terminal.wait_for(AT_HOME)
        open_screen(terminal, screen)
        terminal.hang_up()
        assert terminal.wait_ended() >= 0, "it ended by itself, not by the signal"
    assert len(logged(home)) == 1
    assert_sound(home)


def test_a_killed_sound_server_is_told_and_the_run_goes_on(sound_server: SoundServer, tmp_path: Path) -> None:
    (tmp_path / "settings.toml").write_text("tour = false\n")
    with trainer(tmp_path, *QUICK) as terminal:
        begin(terminal)
        sound_server.kill()
        terminal.wait_for("The sound device was lost")
        time.sleep(1.0)
        sound_server.start()
        with sound_server.recording() as recording:
            until_s = time.monotonic() + 20
            while not recording.heard().any():
                assert time.monotonic() < until_s, "the clicks did not come back"
                time.sleep(0.1)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    (attempt,) = logged(tmp_path)
    assert attempt["ended"] == "drop"
    seconds, catches = attempt["seconds"], attempt["catches"]
    assert isinstance(seconds, float)
    assert isinstance(catches, int)
    # A cascade at 240 beats a minute has a catch a beat, from 2 1/3 beats after the first throw on (dwell 2/3).
    assert catches == pytest.approx(seconds * 4 - 2, abs=3)
    assert_sound(tmp_path)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 3 MB: a file system in memory, mounted for the test."""
    place = tmp_path / "disk"
    place.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(place)]
    if sys.platform != "linux" or os.geteuid() or subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("only root may mount a small disk, on Linux")
    (place / "settings.toml").write_text('output = "silent"\ntour = false\n')
    yield place
    subprocess.run(["umount", str(place)], check=True)


def fill(place: Path) -> Path:
    """Leave not one block free."""
    filler = place / "filler"
    with filler.open("wb", buffering=0) as file:
        for size in (1 << 16, 1 << 12, 1):
            with contextlib.suppress(OSError):
                while file.write(bytes(size)) == size:
                    pass
    assert shutil.disk_usage(place).free == 0
    return filler


def test_a_full_disk_is_told_and_with_room_again_nothing_is_missing(small_disk: Path) -> None:
    with trainer(small_disk, *QUICK) as terminal:
        begin(terminal)
        filler = fill(small_disk)
        terminal.write(b" ")
        terminal.wait_for("Not saved: ")
        terminal.wait_for("The disk was full")
        begin_again(terminal)  # a second try on a full disk
        terminal.write(b" ")
        terminal.wait_for("DROP")
        time.sleep(WAIT_S)
        filler.unlink()
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert [each["ended"] for each in logged(small_disk)] == ["drop", "drop"]
    assert_sound(small_disk)


def test_a_disk_that_stays_full_takes_nothing_that_was_saved(small_disk: Path) -> None:
    """What could not be saved is told on leaving; the logbook is whole, with what it announced before."""
    with trainer(small_disk, *QUICK) as terminal:
        begin(terminal)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        begin_again(terminal)
        filler = fill(small_disk)
        terminal.write(b" ")
        terminal.wait_for("The disk was full")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
        assert "Not saved: 3, " in terminal.text
    filler.unlink()
    assert logged(small_disk)[0]["ended"] == "drop"
    assert_sound(small_disk)


def begin_again(terminal: Terminal) -> None:
    """The next try, some catches into it, after the rest that follows one."""
    terminal.forget()
    begin(terminal)


DAMAGE = {
    # file: what it holds, and what is said of it
    "settings.toml": (b'output = "silent"\ntour = false\ntempo = [', "settings.toml"),
    "logbook.sqlite": (b"no database " * 500, "no logbook"),
    "patterns/mine.toml": (b"[[pattern]]\nnames = 3\n", "mine.toml"),
    "patterns/plans/mine.toml": (b"[[block]\n", "mine.toml"),
    "sounds/mine.toml": (b"\xff\xfe", "mine.toml"),
}


@pytest.mark.parametrize("name", DAMAGE)
def test_a_damaged_file_is_named_and_left_as_it_was(home: Path, name: str) -> None:
    content, says = DAMAGE[name]
    path = home / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    said = subprocess.run(
        [sys.executable, "-m", "trainer.commands.line", "check"], cwd=home, env=environ, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert says in " ".join(said.stdout.split())
    assert said.returncode == 1
    assert "Traceback" not in said.stdout + said.stderr
    with trainer(home, *QUICK) as terminal:
        begin(terminal)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    assert path.read_bytes() == content


CLOCK_SET_BACK = """
import sys
from datetime import timedelta
from trainer.session import sitting
made, turns = sitting.Sitting.__init__, []
def init(self, *args, **kwargs):
    made(self, *args, **kwargs)
    now = self.now
    def back():
        turns.append(1)
        return now() - timedelta(days=1, hours=1) * (len(turns) > 2)
    self.now = back
sitting.Sitting.__init__ = init
from trainer.commands.line import main
sys.exit(main())
"""


def test_a_clock_set_back_a_day_in_the_middle_changes_no_order(home: Path) -> None:
    environ = {**os.environ, "THROWBEAT_HOME": str(home), "PYTHONPATH": str(ROOT)}
    with Terminal([sys.executable, "-c", CLOCK_SET_BACK, *QUICK], environ, cwd=home) as terminal:
        begin(terminal)
        terminal.write(b" ")
        terminal.wait_for("DROP")
        for _ in range(2):
            begin_again(terminal)
            terminal.write(b" ")
            terminal.wait_for("DROP")
        terminal.write(b"q")
        assert terminal.wait_ended() == 0
        assert_whole(terminal)
    found = logged(home)
    assert [each["ended"] for each in found] == ["drop"] * 4
    assert [each["id"] for each in found] == [1, 2, 3, 4]
    days = [str(each["started_at"])[:10] for each in found]
    assert days[-1] < days[0]
    assert_sound(home)
