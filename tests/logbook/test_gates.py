"""What an import and a restore open and hold, texts as long as they come, and the guard against formulas."""

from __future__ import annotations

import csv
import io
import json
import os
import sys
import tracemalloc
import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import islice
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.commands import log
from trainer.commands.log import COLUMNS, LONGEST_CELL, cell_width, to_columns
from trainer.logbook import backups
from trainer.logbook.errors import LogbookError
from trainer.logbook.exchange import exported, import_file
from trainer.logbook.fields import FIELDS
from trainer.logbook.formats import FORMAT, LONGEST_RECORD, is_guarded, read_csv, read_json, to_csv
from trainer.logbook.store import Logbook
from trainer.records.attempt import Attempt, Ended

MOST_MEASURED = 8 * LONGEST_CELL
"""Signs of a cell: twice that of letters with a sign of its own above, looked at to cut it and to fill it up."""

AT = datetime(2026, 3, 1, 18, 5, tzinfo=UTC)
PLAIN = Attempt(
    session_id=1, started_at=AT, pattern="531", objects=3, tempo=Fraction(180), dwell=Fraction(2, 3), flash_at=3,
    qualify_at=6, catches=4, seconds=2.5, ended=Ended.DROP,
)  # fmt: skip
HERE = Path("given")


@pytest.fixture
def book(tmp_path: Path, empty_logbook: bytes) -> Iterator[Logbook]:
    (tmp_path / "logbook.sqlite").write_bytes(empty_logbook)
    with Logbook.open(tmp_path / "logbook.sqlite", now=AT) as book:
        book.begin_session(AT)
        yield book


# -- what is opened ---------------------------------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform == "win32", reason="pipes and devices of another kind")
@pytest.mark.parametrize("ending", [".csv", ".json", ".sqlite"])
def test_only_an_ordinary_file_of_a_size_that_can_be_is_opened(book: Logbook, tmp_path: Path, ending: str) -> None:
    pipe, zero, folder, large = (tmp_path / f"{name}{ending}" for name in ("pipe", "zero", "folder", "large"))
    os.mkfifo(pipe)
    zero.symlink_to("/dev/zero")
    folder.mkdir()
    with large.open("wb") as file:
        file.truncate(10**11)  # a hole: it takes no room

    def take(path: Path) -> None:
        if ending == ".sqlite":
            backups.restore(tmp_path / "other.sqlite", path, AT)
        else:
            import_file(book, path, ending)

    for path, says in (
        (pipe, "This was not an ordinary file."),
        (zero, "This was not an ordinary file."),
        (folder, "This was a folder, not a file."),
        (large, "The file was larger than 4,000,000 kB."),
    ):
        with pytest.raises(LogbookError) as caught:
            take(path)
        assert str(caught.value) == f"{path}: {says}"


# -- how much of it is held -------------------------------------------------------------------------------------------


class Endless(io.RawIOBase):
    """A file of `head` and then of `body` again and again, without end. given: how many bytes were handed out."""

    def __init__(self, head: bytes, body: bytes) -> None:
        self._content, self._body, self.given = head, body, 0

    def readable(self) -> bool:
        return True

    def tell(self) -> int:
        return self.given

    def readinto(self, buffer: bytearray | memoryview) -> int:  # type: ignore[override]
        size = len(buffer)
        if len(self._content) < size:
            self._content += self._body * (size // len(self._body) + 1)
        buffer[:] = self._content[:size]
        self._content = self._content[size:]
        self.given += size
        return size


HEADER = ",".join(field.name for field in FIELDS).encode() + b"\r\n"
HEAD = f'{{"format": "{FORMAT}", "version": 1, "attempts": ['.encode()

TOO_MUCH = {
    "a text without end": (read_json, HEAD + b'{"note": "', b"x", "The record was longer than"),
    "a table without end": (read_json, HEAD + b"{", b'"note": 1,' + b" " * 50, "The record was longer than"),
    "a list without end": (read_json, HEAD + b'{"note": [1', b",1", "The record was longer than"),
    "lists in lists": (read_json, HEAD, b"[", "The record could not be read"),
    "a number without end": (read_json, HEAD, b"9", "The record could not be read"),
    "a wrong word": (read_json, HEAD + b'{"note": nothing', b"x", "The file was no JSON"),
    "bytes that are no text": (read_json, HEAD + b'{"note": "', b"\xff", "The file was no UTF-8"),
    "no JSON at all": (read_json, b"", b"\0", "The file was no JSON"),
    "a line without end": (read_csv, HEADER, b"x", "The record was longer than"),
    "a line of no fields": (read_csv, HEADER, b",", "The record was longer than"),
    "a quoted text without end": (read_csv, HEADER + b'"', b"x\r\n", "The record was longer than"),
    "fields over many lines": (read_csv, HEADER, b'"\n",', "The record was longer than"),
    "a header without end": (read_csv, b"", b"uid,", "The record was longer than"),
}


@pytest.mark.parametrize("what", TOO_MUCH)
def test_a_file_without_end_is_refused_before_it_fills_the_memory(what: str) -> None:
    reader, head, body, says = TOO_MUCH[what]
    raw = Endless(head, body)
    with io.BufferedReader(raw) as file, pytest.raises(LogbookError, match=says) as caught:
        for _ in reader(HERE, file, lambda _read: None):
            pass
    assert str(caught.value).startswith(f"{HERE}:")
    assert "\n" not in str(caught.value)
    assert raw.given < 5 * LONGEST_RECORD


@pytest.mark.parametrize("reader", [read_csv, read_json])
def test_of_a_million_records_one_at_a_time_is_held(reader: object, book: Logbook) -> None:
    book.add(replace(PLAIN, note="a note"))
    ending = ".csv" if reader is read_csv else ".json"
    head, _, row = "".join(exported(book, ending)).rpartition("\r\n" if ending == ".csv" else '"attempts": [\n')
    if ending == ".csv":
        head, row = head.splitlines(keepends=True)[0], head.splitlines()[1] + "\r\n"
    else:
        head, row = head + '"attempts": [\n', row.splitlines()[0] + ",\n"
    read = read_csv if ending == ".csv" else read_json
    with io.BufferedReader(Endless(head.encode(), row.encode())) as file:
        records = read(HERE, file, lambda _read: None)
        next(records)
        tracemalloc.start()
        kind, line, values = next(islice(records, 19_999, None))
        peak_bytes = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    assert (kind, values["note"]) == ("attempts", "a note")
    assert line == 20_000 + head.count("\n") + 1
    assert peak_bytes < 5_000_000


def test_a_record_over_many_pieces_is_read_whatever_they_cut(book: Logbook, tmp_path: Path) -> None:
    """Pieces end within words, escapes, numbers and signs of several bytes; a walk by the character sees it all."""
    odd = 'é🤹\\" \u2028' * 400 + "\t\r\n" + "=1"
    for number in range(30):
        book.add(replace(PLAIN, started_at=AT + timedelta(seconds=number), note=f"{number} {odd}"))
    text = "".join(exported(book, ".json"))
    told = json.loads(text)["attempts"]
    for ascii_only in (False, True):
        path = tmp_path / f"out-{ascii_only}.json"
        path.write_text(json.dumps(json.loads(text), ensure_ascii=ascii_only, indent=1), encoding="utf-8")
        for piece in (1, 7, 1 << 16):
            walked = []
            with pytest.MonkeyPatch.context() as patch, path.open("rb") as file:
                patch.setattr("trainer.logbook.formats.PIECE", piece)
                walked = list(read_json(path, file, lambda _read: None))
            assert [values for _, _, values in walked] == told
            lines = path.read_text(encoding="utf-8").split("\n")
            assert all(lines[line - 1].strip() == "{" for _, line, _ in walked)


def test_a_mistake_far_into_a_file_has_its_line(tmp_path: Path, book: Logbook) -> None:
    book.add_all(replace(PLAIN, started_at=AT + timedelta(seconds=number)) for number in range(500))
    lines = "".join(exported(book, ".json")).splitlines()
    for place, spoil in ((480, "{]"), (300, '{"uid": 1, "uid": 2},'), (499, lines[499].replace('"prop"', "prop"))):
        path = tmp_path / "spoilt.json"
        path.write_text("\n".join([*lines[:place], spoil, *lines[place + 1 :]]), encoding="utf-8")
        with pytest.raises(LogbookError) as caught:
            import_file(book, path, ".json")
        assert str(caught.value).startswith(f"{path}:{place + 1}: ")


# -- texts that are longer than any -----------------------------------------------------------------------------------


@pytest.mark.parametrize("length", [10_000, 100_000])
def test_long_texts_of_an_older_logbook_are_read_quickly_and_come_in_no_more(
    book: Logbook, tmp_path: Path, length: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    measured: list[int] = []

    def counted(text: str) -> int:
        measured.append(len(text))
        return cell_width(text)

    monkeypatch.setattr(log, "cell_width", counted)
    names = ["x" * length, "小" * length, "e\u0301" * (length // 2), "a b " * (length // 4), "\x1b[" * (length // 2)]
    book.add_all(
        replace(PLAIN, started_at=AT + timedelta(seconds=number), juggler=name, prop=name, name=name, note=name)
        for number, name in enumerate(names * 40)
    )
    attempts = book.attempts()
    lines = to_columns(COLUMNS, attempts)
    assert sum(measured) < MOST_MEASURED * len(COLUMNS) * len(attempts), "no more of a text is looked at than is shown"
    assert max(map(len, lines)) < 400
    path = tmp_path / "out.csv"
    path.write_text("".join(exported(book, ".csv")), encoding="utf-8", newline="")
    with Logbook.open(tmp_path / "other.sqlite", now=AT) as other:
        with pytest.raises(
            LogbookError, match=rf"out\.csv:2: juggler: The text had {length} characters\. Give at most"
        ):
            import_file(other, path, ".csv")
        assert other.attempts() == ()


# -- the guard of the CSV export --------------------------------------------------------------------------------------

FORMULAS = ("=1+1", "+1", "-1", "@SUM(A1)", "＝1", "＋1", "－1", "＠x", "﹦1", "﹢1", "﹣1", "﹫x", "−1", "⁺1")
BEFORE = (
    "", " ", "\t", "\r", "\n", "\r\n", "\u00a0", "\u3000", "\u200b", "\u200d", "\ufeff", "\u2060", "\u202e", "\u00ad",
    "\ufe0f", "\u034f", "  \u200b\t ", "\x0b",
)  # fmt: skip


@pytest.mark.parametrize("before", BEFORE, ids=ascii)
def test_no_formula_passes_whatever_stands_before_it(before: str) -> None:
    for formula in FORMULAS:
        assert is_guarded(before + formula)
        assert is_guarded(f"'{before}{formula}")


@pytest.mark.parametrize(
    "text", ["", "531", " 531", "Ada", "(4,4)", "1=1", "小林", "🤹\u200d♀️", "a\n=1", "–", "·", "/x"]
)
def test_what_is_none_is_written_as_it_is(text: str) -> None:
    assert not is_guarded(text)


@given(st.lists(st.sampled_from([*BEFORE, *FORMULAS, "'", "''", "a", ",", '"']), max_size=5).map("".join))
def test_a_guarded_text_comes_back_as_it_was(text: str) -> None:
    row = dict.fromkeys((field.name for field in FIELDS), "") | {"note": text}
    content = "".join(to_csv([row]))
    (cells,) = list(csv.reader(io.StringIO(content, newline=""), strict=True))[1:]
    cell = cells[-1]
    shown = next((sign for sign in cell if unicodedata.category(sign)[0] not in "CMZ"), "")
    assert unicodedata.normalize("NFKC", shown) not in set("=+-@−")
    assert not cell.startswith(("\t", "\r", "\n"))
    with io.BytesIO(content.encode("utf-8", "surrogatepass")) as file:
        ((_, _, values),) = read_csv(HERE, file, lambda _read: None)
    assert values["note"] == text


def test_an_older_export_that_guarded_less_reads_as_it_was_written() -> None:
    """Before, only a text that itself began with a formula's sign or an apostrophe was guarded."""
    for text, cell in ((" =1", " =1"), ("＝1", "＝1"), ("=1", "'=1"), ("'=1", "''=1"), ("' =1", "'' =1")):
        with io.BytesIO(f"note,{','.join(f.name for f in FIELDS[:-1])}\r\n{cell}{',' * 23}\r\n".encode()) as file:
            ((_, _, values),) = read_csv(HERE, file, lambda _read: None)
        assert values["note"] == text
