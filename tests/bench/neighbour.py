"""Another program beside the trainer: restores, imports, corrections, and files written by somebody else's editor."""

from __future__ import annotations

import contextlib
import io
import random
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tests.bench.witness import WitnessedTries, row_of, rows_in
from trainer import config
from trainer.commands import line
from trainer.errors import TrainerError
from trainer.files.places import bundled
from trainer.logbook.store import Logbook
from trainer.records.attempt import Ended
from trainer.session.sitting import Sitting

PATTERNS = (
    "",
    "[[pattern]]\nsiteswap = '531'\n",
    "[[pattern]]\nname = 'Mine'\nsiteswap = '3'\n",
    "not = [toml",
    "\x00\xff",
)
SETTINGS = ({"volume": 0.5}, {"counted_by": "taps"}, {"counted_by": "beat"}, {"rest_s": 1}, {"juggler": "Ona"})


@dataclass
class Neighbour:
    """What else is done to the files of a sitting."""

    sitting: Sitting
    chance: random.Random

    def act(self) -> str:
        """Do one thing; what it was."""
        deed = self.chance.choice((self._restore, self._take_in, self._correct, self._correct, self._keep_copy,
                                   self._settings, self._plan, self._pattern))  # fmt: skip
        return f"NEIGHBOUR {deed.__name__} {deed()}"

    @property
    def _tries(self) -> WitnessedTries:
        tries = self.sitting.tries
        assert isinstance(tries, WitnessedTries)
        return tries

    @property
    def _copies(self) -> list[Path]:
        return sorted(self.sitting.places.logbook.parent.glob("copy-*.sqlite"))

    def _keep_copy(self) -> str:
        """A backup, by the command."""
        path = self.sitting.places.logbook.with_name(f"copy-{self.chance.randrange(5)}.sqlite")
        path.unlink(missing_ok=True)
        with Logbook.open_to_read(self.sitting.places.logbook):
            from trainer.logbook.backups import copy

            copy(self.sitting.places.logbook, path)
        return path.name

    def _restore(self) -> str:
        if not self._copies:
            return "nothing"
        from trainer.logbook.backups import restore

        chosen, place = self.chance.choice(self._copies), self.sitting.places.logbook
        before = restore(place, chosen, datetime.fromtimestamp(self.chance.randrange(2**31), UTC))
        if before is not None:
            before.unlink()
        self._tries.restored(place)
        return chosen.name

    def _take_in(self) -> str:
        """What another logbook exported, by the command."""
        place = self.sitting.places.logbook
        source = self.chance.choice([place, *self._copies])
        target = place.with_name("exported.json")
        target.unlink(missing_ok=True)
        with Logbook.open_to_read(source) as book:
            from trainer.logbook.exchange import exported

            target.write_text("".join(exported(book, ".json")), encoding="utf-8")
        with contextlib.redirect_stdout(io.StringIO()) as said, contextlib.redirect_stderr(said):
            status = line.main(["log", "import", str(target)])
        assert status == 0, said.getvalue()
        told = self._tries.told
        told.rows = {**rows_in(place), **told.rows}
        return source.name

    def _correct(self) -> str:
        told, place = self._tries.told, self.sitting.places.logbook
        there = sorted(set(told.rows) & set(rows_in(place)) - {self._tries.ending})
        if not there:
            return "nothing"
        uid, at = self.chance.choice(there), self.sitting.now()
        with Logbook.open(place, now=at) as book:
            try:
                match self.chance.randrange(4):
                    case 0:
                        changed = book.correct(uid, corrected_at=at, catches=self.chance.randrange(50))
                    case 1:
                        changed = book.correct(uid, corrected_at=at, fair=False, ended=Ended.DROP)
                    case 2:
                        changed = book.remove(uid, corrected_at=at)
                    case _:
                        changed = book.restore(uid, corrected_at=at)
            except TrainerError as error:
                return f"refused: {error}"
        told.rows[uid] = row_of(changed)
        return uid

    def _settings(self) -> str:
        path = self.sitting.places.settings
        if self.chance.random() < 0.2:
            path.write_text(self.chance.choice(("broken = [", "tour = false\n", "")), encoding="utf-8")
            return "by hand"
        with contextlib.suppress(TrainerError):
            config.save(path, self.chance.choice(SETTINGS))
        return "saved"

    def _plan(self) -> str:
        folder = self.sitting.places.patterns / "plans"
        folder.mkdir(parents=True, exist_ok=True)
        target = folder / f"plan-{self.chance.randrange(4)}.toml"
        source = self.chance.choice(sorted((bundled("patterns") / "plans").glob("*.toml")))
        if self.chance.random() < 0.3:
            target.unlink(missing_ok=True)
        else:
            shutil.copy(source, target)
            if self.chance.random() < 0.2:
                target.write_text(target.read_text(encoding="utf-8")[:200], encoding="utf-8")
        return target.name

    def _pattern(self) -> str:
        folder = self.sitting.places.patterns
        folder.mkdir(parents=True, exist_ok=True)
        target = folder / f"mine-{self.chance.randrange(3)}.toml"
        target.write_text(self.chance.choice(PATTERNS), encoding="latin-1")
        return target.name
