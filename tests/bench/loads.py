"""What a machine may be busy with beside the trainer, and a process that only sleeps: it tells when all stood still."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]

SLEEPING = """
import sys, time
sys.setswitchinterval(0.0005)
before = time.monotonic()
while True:
    time.sleep(0.01)
    now = time.monotonic()
    if now - before - 0.01 > 0.02:
        print(now - before - 0.01, flush=True)
    before = now
"""

BUSY = "while True: pass"

MEMORY = """
import mmap, time
while True:
    taken = mmap.mmap(-1, {size})
    for at in range(0, {size}, 4096):
        taken[at] = 1
    taken.close()
    time.sleep(0.2)
"""

DISK = """
import os, sys
place = sys.argv[1]
while True:
    with open(place, "wb") as file:
        for _ in range(512):
            file.write(os.urandom(1 << 10) * 1024)
        file.flush()
        os.fsync(file.fileno())
    os.sync()
    with open(place, "rb") as file:
        while file.read(1 << 20):
            pass
    os.remove(place)
"""

WORK = r"""
cd "$1"
while true; do
    python3 -m venv --clear made && made/bin/python -m compileall -q -f made >/dev/null
    made/bin/python -m pip --version >/dev/null
done
"""

# Of root, a browser would put itself before all others; of a user it may not.
BROWSER = r"""
cd "$1"
cat >page.html <<'PAGE'
<body><script>
setInterval(() => {
  for (let i = 0; i < 3000; i++) {
    const line = document.createElement('p')
    line.textContent = Math.random()
    document.body.append(line)
  }
  if (document.body.children.length > 60000) document.body.replaceChildren()
}, 100)
</script></body>
PAGE
while true; do
    setpriv --bounding-set=-sys_nice timeout 20 chromium --headless --no-sandbox --disable-gpu --no-first-run \
        --disable-background-networking \
        --disable-component-update --disable-sync --user-data-dir="$1/profile" --virtual-time-budget=15000 \
        --screenshot="$1/shot.png" "file://$1/page.html" >/dev/null 2>&1
done
"""


class Sleeper:
    """A process that sleeps 10 ms again and again and notes when it was woken over 20 ms late."""

    def __init__(self) -> None:
        self._said = tempfile.TemporaryFile("w+")  # noqa: SIM115 (closed with the watch)
        self._process = subprocess.Popen([sys.executable, "-c", SLEEPING], stdout=self._said)

    def late_s(self) -> list[float]:
        """By how much it was late, each time."""
        self._said.seek(0)
        return [float(line) for line in self._said]

    def close(self) -> None:
        self._process.kill()
        self._process.wait()
        self._said.close()


@contextmanager
def _running(*commands: list[str]) -> Iterator[None]:
    processes = [
        subprocess.Popen(each, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
        for each in commands
    ]
    try:
        yield
    finally:
        for each in processes:
            os.killpg(each.pid, signal.SIGKILL)
            each.wait()


def quiet(_folder: Path, _many: Path | None) -> AbstractContextManager[None]:
    return _running()


def busy(_folder: Path, _many: Path | None) -> AbstractContextManager[None]:
    return _running(*[[sys.executable, "-c", BUSY]] * (2 * (os.cpu_count() or 1)))


def work(folder: Path, _many: Path | None) -> AbstractContextManager[None]:
    """A browser and installs."""
    places = [Path(tempfile.mkdtemp(dir=folder)) for _ in range(2)]
    scripts = (WORK, BROWSER)
    return _running(*[["bash", "-c", script, "load", str(at)] for script, at in zip(scripts, places, strict=True)])


def memory(_folder: Path, _many: Path | None) -> AbstractContextManager[None]:
    """A gigabyte taken and given back by each of two processes."""
    return _running(*[[sys.executable, "-c", MEMORY.format(size=1 << 30)]] * 2)


def disk(folder: Path, _many: Path | None) -> AbstractContextManager[None]:
    """Half a gigabyte written, synced, read and removed."""
    return _running([sys.executable, "-c", DISK, str(folder / "filled")])


def logbook(folder: Path, many: Path | None) -> AbstractContextManager[None]:
    """A large logbook read by a command again and again, beside the trainer that looks through its own."""
    home = folder / "reader"
    home.mkdir()
    assert many is not None
    os.link(many, home / "logbook.sqlite")
    loop = f"cd {home}; while true; do {sys.executable} -m trainer.commands.line log --json; done"
    environ = f"export THROWBEAT_HOME={home} PYTHONPATH={ROOT}; "
    return _running(["bash", "-c", environ + loop])


LOADS: dict[str, Callable[[Path, Path | None], AbstractContextManager[None]]] = {
    "quiet": quiet,
    "busy": busy,
    "work": work,
    "memory": memory,
    "disk": disk,
    "logbook": logbook,
}
"""work stands for a browser and installs, disk for a disk cache filled and synced."""
