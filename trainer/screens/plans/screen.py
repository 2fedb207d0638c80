"""The list of plans: runs that were left, a plan suggested from the logbook, and all plans there are."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from pathlib import Path

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Static

from trainer.errors import TrainerError
from trainer.files.texts import one_line
from trainer.files.toml import DataError
from trainer.files.whole import Existing
from trainer.library.terms import read_terms
from trainer.practice.plans.page import plan_to_lines
from trainer.practice.plans.plan import Plan
from trainer.records.courses import PlanRun
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Lines, Listing
from trainer.session.plans import close_run, open_runs, plan_folder_of, suggested, write_sheet

SUGGESTED = Path("suggested.toml")


@dataclass(frozen=True, slots=True)
class Item:
    """A row of the list. plan: None for a file that is wrong. text: the plan's own. run: one that was left."""

    label: str
    plan: Plan | None = None
    text: str = ""
    run: PlanRun | None = None
    error: DataError | None = None


class PlanList(Listing):
    """The plans there are."""

    BINDINGS = [Binding("enter", "choose", "start")]  # noqa: RUF012 (the library's own way to declare them)


class PlansScreen(BaseScreen):
    """A list of plans, and the page of the one under the cursor."""

    BINDINGS = bindings_of("plans")
    NAME = "plans"
    AUTO_FOCUS = "#list"

    def __init__(self) -> None:
        super().__init__()
        self.items: tuple[Item, ...] = ()

    def compose(self) -> ComposeResult:
        with Horizontal(id="browse"):
            yield PlanList(id="list")
            yield Lines(id="explained")
        yield Static(id="notice", markup=False)
        yield KeyLine(compact=True)

    def on_mount(self) -> None:
        self.set_interval(0.5, self.show_trouble)

    def word_at_hand(self) -> str:
        """The first term in the page of the plan under the cursor."""
        mentions = read_terms().in_text(self.query_one("#explained", Lines).text)
        return mentions[0].term.title if mentions else ""

    def on_screen_resume(self) -> None:
        """List the plans anew: plans may have been written meanwhile, and runs gone on with."""
        self.fill()

    def on_resize(self, _: events.Resize) -> None:
        self.call_after_refresh(self.show_page)

    def fill(self, label: str = "") -> None:
        """List the plans anew; the cursor goes to the row of a label, or stays where it was."""
        label = label or (self.item.label if self.item else "")
        self.items = tuple(self._items())
        listing = self.query_one("#list", Listing)
        listing.show([item.label for item in self.items])
        labels = [item.label for item in self.items]
        listing.highlighted = labels.index(label) if label in labels else 0
        self.show_page()

    def _items(self) -> list[Item]:
        items = []
        for run in open_runs(self.sitting):
            try:
                path = Path(f"{run.name}.toml")
                plan = plan_folder_of(self.sitting).check(run.plan, path)
            except DataError as error:
                items.append(Item(f"✗ {one_line(run.name)}", run=run, error=error))
            else:
                items.append(Item(f"▶ {plan.name}", plan, run.plan, run))
        if text := suggested(self.sitting):
            plan = plan_folder_of(self.sitting).check(text, SUGGESTED)
            items.append(Item(f"★ {plan.name}", plan, text))
        plans, errors = plan_folder_of(self.sitting).plans()
        items += [Item(f"  {plan.name}", plan) for plan in plans]
        return [*items, *(Item(f"✗ {one_line(error.path.name)}", error=error) for error in errors)]

    @property
    def item(self) -> Item | None:
        """The row under the cursor; None for none."""
        index = self.query_one("#list", Listing).highlighted
        return self.items[index] if index is not None and index < len(self.items) else None

    @on(Listing.Moved, "#list")
    def show_page(self) -> None:
        """Show the page of the plan under the cursor."""
        page, item = self.query_one("#explained", Lines), self.item
        width = max(20, page.width)
        if item is None:
            page.show(textwrap.wrap("There is no plan yet. Press n to make one.", width))
            return
        page.set_class(item.error is not None, "refused")
        lines = []
        if item.error is not None:
            lines = [*textwrap.wrap(str(item.error), width, break_long_words=True), "", "The others go on working."]
        elif item.plan is not None:
            lines = [*textwrap.wrap(self._first_line(item), width), ""]
            lines += plan_to_lines(item.plan, width, item.run.block if item.run else None)
        page.show(lines)

    def _first_line(self, item: Item) -> str:
        if item.run is not None:
            run, (minutes, seconds) = item.run, divmod(round(item.run.elapsed_s), 60)
            left = f"Begun on {run.started_at:%Y-%m-%d}, left in block {run.block + 1} after {minutes}:{seconds:02}."
            return f"{left} Enter goes on there, a begins anew."
        if item.text:
            return "From your logbook, each block with its reason. Enter starts it, s keeps it as a plan of yours."
        whose = "Yours" if item.plan and plan_folder_of(self.sitting).is_own(item.plan.path) else "Brought along"
        return f"{whose}. Enter starts it; then the pedal is all you need. e changes it."

    # -- what can be done -----------------------------------------------------------------------------------

    @on(Listing.Picked, "#list")
    def action_start(self) -> None:
        self._start(self.item.run if self.item else None)

    def action_anew(self) -> None:
        self._start(None)

    def _start(self, run: PlanRun | None) -> None:
        """Start the plan under the cursor, or go on with a run of it."""
        item = self.item
        if item is None or item.plan is None:
            return
        try:
            text = item.text or plan_folder_of(self.sitting).open(item.plan.path).text
            if item.run is not None and run is None:
                close_run(self.sitting, item.run)
            self.navigator.practise_plan(text, item.plan.path, run)
        except TrainerError as error:
            self.say(str(error))

    def action_new_plan(self) -> None:
        from trainer.practice.plans.text import new_text

        path = plan_folder_of(self.sitting).own / "a-plan-of-mine.toml"
        self._edit(new_text("A plan of mine", "Me.").text, path, Existing.REFUSE)

    def action_edit_plan(self) -> None:
        item = self.item
        if item is None or item.plan is None or item.run is not None:
            self.say("A run under way keeps the plan it began with. Change the plan itself, further down.")
            return
        plan_folder = plan_folder_of(self.sitting)
        if item.text:
            self._edit(item.text, plan_folder.own / SUGGESTED.name, Existing.REFUSE)
            return
        try:
            text = plan_folder.open(item.plan.path).text
            on_disk = text if plan_folder.is_own(item.plan.path) else None
            self._edit(text, plan_folder.place_for(item.plan), Existing.REPLACE, on_disk)
        except TrainerError as error:
            self.say(str(error))

    def _edit(self, text: str, path: Path, existing: Existing, on_disk: str | None = None) -> None:
        from trainer.screens.plans.edit import PlanEditScreen

        self.app.push_screen(PlanEditScreen(text, path, existing, on_disk))

    def action_keep(self) -> None:
        item = self.item
        if item is None or not item.text or item.plan is None or item.run is not None:
            self.say("Only a suggested plan needs to be kept; the others are.")
            return
        try:
            plan_folder = plan_folder_of(self.sitting)
            plan = plan_folder.write(
                item.text, plan_folder.new_place(f"suggested {self.sitting.now():%Y-%m-%d}"), Existing.REFUSE
            )
        except TrainerError as error:
            self.say(str(error))
            return
        self.fill()
        self.say(f"Kept as {plan.path}.")

    def action_write_sheet(self) -> None:
        try:
            path, notices = write_sheet(self.sitting)
        except TrainerError as error:
            self.say(str(error))
            return
        said = f"The last judged attempts are in {path}: open it in a browser to print it."
        self.say(" ".join((said, *notices)))

    def action_back(self) -> None:
        self.app.pop_screen()
