"""The find screen: fill in what to look for, see patterns as they are found, and practise one."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from threading import Lock

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.widgets import Checkbox, Input, Label, Static
from textual.worker import get_current_worker

from trainer.library.catalogue import Choice
from trainer.library.page import to_lines
from trainer.screens.parts.browse import BrowseScreen, QueryLine
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines, Listing
from trainer.siteswap.query import Only, SearchError, SearchQuery, texts_to_query
from trainer.siteswap.search import survey
from trainer.siteswap.throws import Rhythm

MOST_LISTED = 500
"""Rows of the list: more would be slow to draw, and nobody looks at them."""

MOST_COUNTED = 100_000
"""Patterns after which a search ends: it need not keep a processor busy for a number nobody reads."""

REPORT_EVERY_S = 0.05
NARROWEST = 20

NUMBERS = (("objects", "3"), ("period", "5"), ("highest", "7"), ("lowest", "0"))
"""A field each, and what stands in it at first."""

BOXES = {"ground": Only.GROUND, "prime": Only.PRIME, "no-zip": Only.NO_ZIP, "sync": Rhythm.SYNC}
WORDS = {"objects": "object", "highest": "siteswap", "lowest": "siteswap", "contains": "siteswap", "no-zip": "zip"}
"""A field → the term that explains it, where that is not its name."""


@dataclass
class Hunt:
    """A search that can be stopped and gone on with. count: found so far. ended: nothing more will be found."""

    query: SearchQuery
    texts: Iterator[str | None] = field(init=False)
    count: int = 0
    ended: bool = False
    lock: Lock = field(default_factory=Lock)

    def __post_init__(self) -> None:
        self.texts = survey(self.query)

    def go_on(self, is_cancelled: Callable[[], bool], report: Callable[[list[str]], None]) -> None:
        """Search until it ends or is cancelled, reporting now and then the texts to be listed."""
        with self.lock:  # one thread at a time: the one before may not have ended yet
            to_list: list[str] = []
            report_at_s = 0.0
            for text in self.texts:
                if text is not None:
                    self.count += 1
                    if self.count <= MOST_LISTED:
                        to_list.append(text)
                if is_cancelled() or self.count == MOST_COUNTED:
                    break
                if self.count and time.monotonic() >= report_at_s:
                    report(to_list)
                    to_list, report_at_s = [], time.monotonic() + REPORT_EVERY_S
            self.ended = not is_cancelled()
            report(to_list)


class NumberLine(QueryLine):
    """A field for a number; letters, and so q, are left to others."""

    def is_left_to_others(self, key: str) -> bool:
        return key in ("question_mark", "q")


class Box(Checkbox):
    """A box to tick with the space bar; Enter is for the list. A letter shows it, not a colour."""

    BINDINGS = [Binding("enter", "screen.practise", "practise", show=False)]  # noqa: RUF012 (the library's own way)

    def render(self) -> Content:
        """Brackets in the label's own colour: the library draws its sides in the colour of what lies behind them."""
        label = self.label.pad(1, 1).stylize_before(self.get_visual_style("toggle--label"))
        return Content.assemble("[x]" if self.value else "[ ]", label)


class FindScreen(BrowseScreen):
    """A form, the patterns that fit it as they are found, and the explanation of the one under the cursor."""

    BINDINGS = bindings_of("find")
    NAME = "find"
    PICK = "practise"
    AUTO_FOCUS = "#objects"

    @dataclass
    class Found(Message):
        """A search has come further. texts: more to be listed."""

        hunt: Hunt
        texts: list[str]

    def __init__(self) -> None:
        super().__init__()
        self.hunt: Hunt | None = None
        self.choice: Choice | None = None
        self.listed: list[str] = []

    def compose(self) -> ComposeResult:
        with Horizontal(classes="form"):
            for name, value in NUMBERS:
                yield Label(name)
                yield NumberLine(value, restrict="[0-9]*", max_length=3, id=name, classes="number")
        with Horizontal(classes="form"):
            for name in BOXES:
                yield Box(name.replace("-", " "), id=name, compact=True)
            yield Label("contains")
            yield QueryLine(placeholder="such as 5,1", id="contains")
        yield Static(id="found", markup=False)
        with Horizontal(id="browse"):
            yield Listing(id="list")
            yield Lines(id="explained")
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        self.look()
        self.set_interval(0.5, self.show_trouble)

    # -- what comes in --------------------------------------------------------------------------------------

    async def on_key(self, event: events.Key) -> None:
        """Arrows up and down move in the list, wherever the cursor is in the form."""
        event.prevent_default()  # screens with one line to type in send letters there; here are several
        if self.focused is not self.listing:
            await self.move(event)

    @on(Input.Changed)
    @on(Checkbox.Changed)
    def look(self) -> None:
        """Begin to look for what the form asks for, or tell what is wrong with it."""
        self.stop()
        self.hunt = None
        self.listed = []
        self.listing.show(())
        self._show(None)
        try:
            self.hunt = Hunt(self.wanted())
        except SearchError as error:
            self._tell(str(error), "refused")
            return
        self._tell("Searching…")
        self.go_on()

    @on(Input.Submitted)
    def submitted(self) -> None:
        self.action_practise()

    def on_screen_suspend(self) -> None:
        self.stop()

    def on_screen_resume(self) -> None:
        self.go_on()

    def on_resize(self, _: events.Resize) -> None:
        self.call_after_refresh(lambda: self._show(self.choice))

    def action_practise(self) -> None:
        if self.choice is not None:
            self.navigator.practise(self.choice)

    def action_next_field(self) -> None:
        self.focus_next()

    def action_back(self) -> None:
        """Leave the screen, whatever is typed."""
        self.app.pop_screen()

    def word_at_hand(self) -> str:
        """The term for the field under the cursor."""
        name = self.focused.id if self.focused is not None and self.focused.id != "list" else None
        return WORDS.get(name, name) if name else ""

    # -- the search -----------------------------------------------------------------------------------------

    def wanted(self) -> SearchQuery:
        """What the form asks for. Raises SearchError."""
        typed = {name: self.query_one(f"#{name}", Input).value for name, _ in (*NUMBERS, ("contains", ""))}
        ticked = [what for name, what in BOXES.items() if self.query_one(f"#{name}", Box).value]
        return texts_to_query(
            **typed,
            only=[what for what in ticked if isinstance(what, Only)],
            rhythm=Rhythm.SYNC if Rhythm.SYNC in ticked else Rhythm.ASYNC,
        )

    def go_on(self) -> None:
        """Search in a thread, from where it was left."""
        hunt = self.hunt
        if hunt is None or hunt.ended:
            return

        def search() -> None:
            worker = get_current_worker()

            def report(texts: list[str]) -> None:
                self.post_message(self.Found(hunt, texts))

            hunt.go_on(lambda: worker.is_cancelled, report)

        self.run_worker(search, thread=True, group="search", exclusive=True)

    def stop(self) -> None:
        """Stop the search, so that it can go on later."""
        self.workers.cancel_group(self, "search")

    @on(Found)
    def found(self, event: Found) -> None:
        if event.hunt is not self.hunt:
            return  # an earlier search
        self.listing.extend(event.texts)
        self.listed += event.texts
        if self.listed and self.listing.highlighted is None:
            self.choose(0)
        self._tell(_progress(event.hunt.count, event.hunt.ended))

    # -- what is shown --------------------------------------------------------------------------------------

    def _tell(self, text: str, kind: str = "") -> None:
        found = self.query_one("#found", Static)
        found.update(text)
        found.set_class(kind == "refused", "refused")

    def choose(self, index: int) -> None:
        if index < len(self.listed):
            self.listing.highlighted = index
            self._show(self.sitting.library.to_choice(self.listed[index]))

    def _show(self, choice: Choice | None) -> None:
        self.choice = choice
        width = max(NARROWEST, self.page.width)
        self.page.show(to_lines(self.sitting.explain(choice), width) if choice else ())


def _progress(count: int, ended: bool) -> str:
    """How far the search has come, in a line."""
    shown = f"; the first {MOST_LISTED} are listed" if count > MOST_LISTED else ""
    if not ended:
        return f"{count:,} so far{shown}…"
    if count >= MOST_COUNTED:
        return f"{count:,} and more{shown}; ask for less"
    if count == 0:
        return "There is no such pattern."
    return f"{count:,} pattern{'' if count == 1 else 's'}{shown}"
