"""Whether a process still lives: its number alone does not tell, since numbers come round again."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from trainer.logbook import processes
from trainer.logbook.processes import Life, life, token

linux = pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells when a process began")


@linux
def test_a_process_is_alive_until_it_has_ended() -> None:
    child = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    name = token(child.pid)
    assert life(name) is Life.ALIVE
    child.kill()
    os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT)
    assert life(name) is Life.GONE  # a zombie: ended, though its number is still taken
    child.communicate()
    assert life(name) is Life.GONE


@linux
def test_the_same_number_with_another_start_is_another_process() -> None:
    assert life(token()) is Life.ALIVE
    assert life(f"{token()}0") is Life.GONE


def test_what_is_not_known_is_not_guessed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert life("another-machine 1 x+1") is Life.UNKNOWN
    monkeypatch.setattr(processes, "PROC", tmp_path)  # a system without /proc
    assert token().endswith(" ?")
    assert life(token()) is Life.UNKNOWN


@linux
def test_a_program_name_full_of_traps(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "sys/kernel/random").mkdir(parents=True)
    (tmp_path / "sys/kernel/random/boot_id").write_text("boot\n")
    (tmp_path / "7").mkdir()
    (tmp_path / "7/stat").write_text("7 (a) Z 1 (b) S " + " ".join(str(field) for field in range(4, 53)))
    monkeypatch.setattr(processes, "PROC", tmp_path)
    assert token(7).endswith(" 7 boot+22")  # the 22nd field, counted as in proc(5)
