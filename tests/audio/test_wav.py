"""WAV files: whole or not there, read back by other readers; recordings of every common kind are understood."""

import os
import sys
import wave
from pathlib import Path

import numpy as np
import pytest
import scipy.io.wavfile

from trainer.audio import wav
from trainer.audio.wav import Depth, open_wav, read_wav, to_int16
from trainer.errors import TrainerError
from trainer.files.whole import Existing

RATE_HZ = 44_100
SAMPLES = np.random.default_rng(3).uniform(-0.9, 0.9, (5000, 2)).astype(np.float32)


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_rounding_to_16_bits_never_wraps() -> None:
    frames = np.array([[0.0, 1.0], [-1.0, 3.0], [-3.0, 0.5 / 32767], [1.51 / 32767, -1.51 / 32767]], np.float32)
    assert to_int16(frames).tolist() == [[0, 32767], [-32767, 32767], [-32767, 0], [2, -2]]


def test_16_bits_are_read_back_by_scipy_and_wave(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with open_wav(path, RATE_HZ) as writer:
        for start in range(0, 5000, 777):
            writer.write(SAMPLES[start : start + 777])
    rate_hz, samples = scipy.io.wavfile.read(path)
    assert rate_hz == RATE_HZ
    np.testing.assert_array_equal(samples, to_int16(SAMPLES))
    with wave.open(str(path)) as file:
        assert file.getparams()[:4] == (2, 2, RATE_HZ, 5000)
    assert path.stat().st_size == 44 + 5000 * 4
    assert left_in(tmp_path) == ["a.wav"]


def test_24_bits_are_read_back_by_scipy_and_wave(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with open_wav(path, 48_000, Depth.BITS_24) as writer:
        writer.write(SAMPLES)
    rate_hz, samples = scipy.io.wavfile.read(path)  # scipy gives 24 bits as the upper ones of 32
    assert rate_hz == 48_000
    np.testing.assert_array_equal(samples >> 8, np.rint(SAMPLES.astype(np.float64) * 8_388_607))
    with wave.open(str(path)) as file:
        assert file.getparams()[:4] == (2, 3, 48_000, 5000)


def test_no_frames_make_a_whole_file_too(tmp_path: Path) -> None:
    with open_wav(tmp_path / "a.wav", RATE_HZ):
        pass
    with wave.open(str(tmp_path / "a.wav")) as file:
        assert file.getnframes() == 0


@pytest.mark.parametrize("cause", [KeyboardInterrupt, TrainerError, ValueError, OSError, MemoryError])
@pytest.mark.parametrize("existing", list(Existing))
def test_what_ends_a_render_early_leaves_no_half_file(
    tmp_path: Path, cause: type[BaseException], existing: Existing
) -> None:
    path = tmp_path / "a.wav"
    if existing is Existing.REPLACE:
        path.write_bytes(b"before")

    def render() -> None:
        with open_wav(path, RATE_HZ, existing=existing) as writer:
            writer.write(SAMPLES)
            raise cause("from the renderer")

    with pytest.raises(cause, match="from the renderer"):
        render()
    assert left_in(tmp_path) == (["a.wav"] if existing is Existing.REPLACE else [])
    assert not path.exists() or path.read_bytes() == b"before"


def test_an_existing_file_is_refused_and_replaced_only_when_asked(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    path.write_bytes(b"before")
    with pytest.raises(TrainerError, match="was there already"), open_wav(path, RATE_HZ):
        pass
    assert path.read_bytes() == b"before"
    with open_wav(path, RATE_HZ, existing=Existing.REPLACE) as writer:
        writer.write(SAMPLES)
    assert path.read_bytes()[:4] == b"RIFF"
    assert left_in(tmp_path) == ["a.wav"]


def test_a_file_that_appeared_meanwhile_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.wav"
    with pytest.raises(TrainerError, match="was there already"), open_wav(path, RATE_HZ):
        path.write_bytes(b"meanwhile")
    assert path.read_bytes() == b"meanwhile"
    assert left_in(tmp_path) == ["a.wav"]


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (".", "was a folder"),
        ("no/such/folder/a.wav", "no folder"),
        ("a\0.wav", "null"),
        ("x" * 300 + ".wav", "could not be written"),
    ],
)
@pytest.mark.parametrize("existing", list(Existing))
def test_impossible_targets_get_one_line(tmp_path: Path, name: str, said: str, existing: Existing) -> None:
    with pytest.raises(TrainerError, match=said) as caught, open_wav(tmp_path / name, RATE_HZ, existing=existing):
        pass
    assert "\n" not in str(caught.value)
    assert left_in(tmp_path) == []


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_or_device_is_not_replaced(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.wav")
    with (
        pytest.raises(TrainerError, match="no ordinary file"),
        open_wav(tmp_path / "pipe.wav", RATE_HZ, existing=Existing.REPLACE),
    ):
        pass
    assert (tmp_path / "pipe.wav").is_fifo()


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on this system")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.wav").write_bytes(b"before")
    (tmp_path / "link.wav").symlink_to(tmp_path / "real.wav")
    with open_wav(tmp_path / "link.wav", RATE_HZ, existing=Existing.REPLACE) as writer:
        writer.write(SAMPLES)
    assert (tmp_path / "link.wav").is_symlink()
    assert (tmp_path / "real.wav").read_bytes()[:4] == b"RIFF"


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no limits on file size")
@pytest.mark.parametrize("blocks", [1, 40])
def test_a_disk_that_takes_no_more_is_one_line_and_leaves_nothing(tmp_path: Path, blocks: int) -> None:
    """A real refusal by the system: the size a file may have is limited for the moment."""
    import resource

    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, before[1]))
    try:
        with (
            pytest.raises(TrainerError, match=r"a\.wav could not be written: ") as caught,
            open_wav(tmp_path / "a.wav", RATE_HZ) as writer,
        ):
            writer.write(np.tile(SAMPLES, (blocks, 1)))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
    assert "\n" not in str(caught.value)
    assert left_in(tmp_path) == []


def test_more_than_wav_can_hold_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(wav, "MOST_DATA_BYTES", 5000 * 4)
    with pytest.raises(TrainerError, match="longer than a WAV file"), open_wav(tmp_path / "a.wav", RATE_HZ) as writer:
        writer.write(np.tile(SAMPLES, (2, 1)))
    assert left_in(tmp_path) == []


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize(
    ("dtype", "step"), [(np.uint8, 2**-7), (np.int16, 2**-15), (np.int32, 2**-31)], ids=["8", "16", "32"]
)
def test_recordings_written_by_scipy_are_read(tmp_path: Path, dtype: type, step: float, channels: int) -> None:
    samples = SAMPLES[:, :channels]
    middle = 128 if dtype is np.uint8 else 0
    whole = np.rint(samples / step).astype(np.int64) + middle
    scipy.io.wavfile.write(tmp_path / "a.wav", 22_050, whole.astype(dtype))
    recording = read_wav(tmp_path / "a.wav", longest_s=5)
    assert recording.rate_hz == 22_050
    np.testing.assert_allclose(recording.samples, np.broadcast_to(samples, (5000, 2)), atol=max(step, 1e-6))


def test_our_own_24_bits_are_read_back(tmp_path: Path) -> None:
    with open_wav(tmp_path / "a.wav", RATE_HZ, Depth.BITS_24) as writer:
        writer.write(SAMPLES)
    np.testing.assert_allclose(read_wav(tmp_path / "a.wav", longest_s=5).samples, SAMPLES, atol=2**-22)


@pytest.mark.parametrize(
    ("samples", "rate_hz", "said"),
    [
        (np.ones((10, 3), np.int16), 44_100, "3 channels"),
        (np.ones((10, 1), np.int16), 4000, "4000 frames a second"),
        (np.ones((44_101 * 5, 1), np.int16), 44_100, "5.0 s long"),
        (np.zeros((10, 1), np.int16), 44_100, "no sound in it"),
        (np.zeros((0, 1), np.int16), 44_100, "no sound in it"),
        (np.ones((10, 1), np.float32), 44_100, "no plain PCM"),
    ],
)
def test_recordings_we_cannot_use_say_why(tmp_path: Path, samples: np.ndarray, rate_hz: int, said: str) -> None:
    scipy.io.wavfile.write(tmp_path / "a.wav", rate_hz, samples)
    with pytest.raises(TrainerError, match=said):
        read_wav(tmp_path / "a.wav", longest_s=5)


@pytest.mark.parametrize("length", [0, 3, 11, 30, 43, 45, 47])
def test_cut_off_recordings_never_end_in_a_traceback(tmp_path: Path, length: int) -> None:
    with open_wav(tmp_path / "a.wav", RATE_HZ) as writer:
        writer.write(SAMPLES)
    (tmp_path / "b.wav").write_bytes((tmp_path / "a.wav").read_bytes()[:length])
    with pytest.raises(TrainerError, match=r"b\.wav"):
        read_wav(tmp_path / "b.wav", longest_s=5)
