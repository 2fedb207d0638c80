"""Hand-outs are whole or not there: whatever ends one early, nothing half done stands under its name."""

from __future__ import annotations

import os
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from tests.export.passages import passage
from trainer.audio.wav import Depth
from trainer.errors import TrainerError
from trainer.export.files import ENDINGS, path_to_ending, write_handout
from trainer.files.whole import Existing, open_whole

WHAT = passage("531", Fraction(300), Fraction(2, 3), 2, 300)


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("cause", [KeyboardInterrupt, TrainerError, OSError, MemoryError])
@pytest.mark.parametrize("existing", list(Existing))
def test_what_ends_it_early_leaves_all_as_it_was(
    ending: str, cause: type[BaseException], existing: Existing, tmp_path: Path
) -> None:
    path = tmp_path / f"x{ending}"
    if existing is Existing.REPLACE:
        path.write_bytes(b"before")
    told = []

    def stop(share: float) -> None:
        told.append(share)
        if share > 0.2:
            raise cause("stop here")

    with pytest.raises(cause, match="stop here"):
        write_handout(path, WHAT, Depth.BITS_16, existing, stop)
    assert left_in(tmp_path) == ([path.name] if existing is Existing.REPLACE else [])
    assert not path.exists() or path.read_bytes() == b"before"


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_share_done_grows_from_0_to_1(ending: str, tmp_path: Path) -> None:
    told: list[float] = []
    write_handout(tmp_path / f"x{ending}", WHAT, Depth.BITS_16, Existing.REFUSE, told.append)
    assert len(told) >= 3
    assert told == sorted(told)
    assert 0 <= told[0] < 0.1
    assert 0.7 < told[-1] <= 1


@pytest.mark.parametrize("ending", ENDINGS)
def test_a_file_that_is_there_or_comes_meanwhile_is_kept(ending: str, tmp_path: Path) -> None:
    path = tmp_path / f"x{ending}"

    def come(_share: float) -> None:
        path.write_bytes(b"meanwhile")

    for _ in range(2):
        with pytest.raises(TrainerError, match="was there already"):
            write_handout(path, WHAT, Depth.BITS_16, Existing.REFUSE, come)
        assert path.read_bytes() == b"meanwhile"
        assert left_in(tmp_path) == [path.name]


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no limits on file size")
@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("size", [0, 700])
def test_a_disk_that_takes_no_more_is_one_line(ending: str, size: int, tmp_path: Path) -> None:
    """A real refusal by the system: the size a file may have is limited for the moment."""
    import resource

    path = tmp_path / f"x{ending}"
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        with pytest.raises(TrainerError, match=rf"x\{ending} could not be written: ") as caught:
            write_handout(path, WHAT, Depth.BITS_16, Existing.REFUSE)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert "\n" not in str(caught.value)
    assert left_in(tmp_path) == []


@pytest.mark.parametrize("name", ["x", "x.", "x.txt", "x.mp3", ".wav", "x.wav.bak", ""])
def test_an_ending_there_is_none_for_names_those_there_are(name: str, tmp_path: Path) -> None:
    with pytest.raises(TrainerError) as caught:
        path_to_ending(tmp_path / name)
    if name:
        assert "Choose one of .wav, .mid, .vtt, .srt, .csv, .json." in str(caught.value)
    else:
        assert "was a folder" in str(caught.value)


def test_an_ending_may_be_in_capitals(tmp_path: Path) -> None:
    write_handout(tmp_path / "X.CSV", WHAT, Depth.BITS_16, Existing.REFUSE)
    assert (tmp_path / "X.CSV").read_text(encoding="utf-8").startswith("at_s,")


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on this system")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.vtt").write_bytes(b"before")
    (tmp_path / "link.vtt").symlink_to(tmp_path / "real.vtt")
    with open_whole(tmp_path / "link.vtt", Existing.REPLACE) as file:
        file.write_text("after")
    assert (tmp_path / "link.vtt").is_symlink()
    assert (tmp_path / "real.vtt").read_bytes() == b"after"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_or_device_is_not_replaced(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(TrainerError, match="no ordinary file"), open_whole(tmp_path / "pipe.csv", Existing.REPLACE):
        pass
    assert (tmp_path / "pipe.csv").is_fifo()


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="a folder not even root may write to")
def test_a_folder_that_may_not_be_written_to_is_one_line() -> None:
    with (
        pytest.raises(TrainerError, match=r"^/proc/x\.csv could not be written: .*\.$"),
        open_whole(Path("/proc/x.csv")),
    ):
        pass
