"""The screen that makes and changes a plan: its blocks at the left, the fields of a block beside them.

A change that would make no plan is refused and told, and the text stays as it was. Nothing is written before `save`.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Input, Static

from trainer.errors import TrainerError
from trainer.files.texts import PATTERN
from trainer.files.toml import DataError
from trainer.files.whole import Existing
from trainer.keys.commands import commands_of
from trainer.practice.plans.text import PlanText, Value, split_text
from trainer.screens.parts.base import BaseScreen
from trainer.screens.parts.keyline import KeyLine, bindings_of
from trainer.screens.parts.listing import Listing
from trainer.screens.plans.fields import HEAD, NEXT, PREVIOUS, PlanField, fields_of, shown, stepped, typed
from trainer.session.plans import plan_folder_of

CHANGING = ("change", "next_value", "previous_value")
LABEL = 10
MOST_UNDONE = 200


def _left_to_screen(names: tuple[str, ...]) -> list[BindingType]:
    """Bindings of commands whose keys a list would use for itself otherwise; they call the screen's actions."""
    return [
        Binding(key, f"screen.{command.name}", command.label, show=False)
        for command in commands_of("plan")
        if command.name in names
        for key in command.keys
    ]


class BlockList(Listing):
    """The blocks, moved in the plan by the keys that move a page in other lists."""

    BINDINGS: ClassVar[list[BindingType]] = _left_to_screen(("block_up", "block_down"))


class FieldList(Listing):
    """The fields. The keys that change one are the screen's; a list would choose with them."""

    BINDINGS: ClassVar[list[BindingType]] = _left_to_screen(CHANGING)


WORDS = {
    "pattern": "pattern",
    "rule": "staircase",
    "tempo": "tempo",
    "target": "climb",
    "step": "climb",
    "attempts": "run",
    "goal": "flash",
    "times": "flash",
}
"""A field → the word of the trade it is about, where there is one."""


class PlanEditScreen(BaseScreen):
    """A plan in the making. text: the plan so far, always one that can be read. existing: may the file be there.

    on_disk: what stands in the file, as far as is known here; None for no file. What another program wrote there
    meanwhile is left as it is, and the plan goes into a file beside it.
    """

    BINDINGS = bindings_of("plan")
    NAME = "plan"
    AUTO_FOCUS = "#list"

    def __init__(self, text: str, path: Path, existing: Existing, on_disk: str | None = None) -> None:
        super().__init__()
        self.path, self._existing, self._on_disk = path, existing, on_disk
        self.text = split_text(text, path)
        self._saved = self.text
        self._before: tuple[PlanText, ...] = ()
        self._warned = False
        self._row = 0

    def compose(self) -> ComposeResult:
        yield Static(id="title", markup=False)
        with Horizontal(id="browse"):
            yield BlockList(id="list")
            yield FieldList(id="fields")
        yield Input(id="typed", max_length=PATTERN.longest)
        yield Static(id="sentence", markup=False)
        yield Static(id="notice", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        self._show(1)
        self.set_interval(0.5, self.show_trouble)

    # -- where one is ---------------------------------------------------------------------------------------

    @property
    def block(self) -> int | None:
        """The block under the cursor, from 0; None for the plan itself."""
        row = self.query_one("#list", Listing).highlighted or 0
        return row - 1 if row else None

    @property
    def fields(self) -> tuple[PlanField, ...]:
        """The fields of the block under the cursor, or of the plan."""
        return HEAD if self.block is None else fields_of(self.text.fields(self.block))

    @property
    def field(self) -> PlanField:
        """The field under the cursor."""
        return self.fields[min(self.query_one("#fields", FieldList).highlighted or 0, len(self.fields) - 1)]

    def word_at_hand(self) -> str:
        """The term that the field under the cursor is about."""
        return WORDS.get(self.field.name, "")

    def value(self, field: PlanField) -> Any:
        """What stands in a field of the block, or of the plan."""
        return self.text.fields(self.block).get(field.name)

    # -- what comes in --------------------------------------------------------------------------------------

    @on(Listing.Moved, "#list")
    def moved(self, event: Listing.Moved) -> None:
        if event.index != self._row:  # else the list was only shown anew
            self._row = event.index
            self._show_fields(0)

    @on(Listing.Picked, "#list")
    def chosen(self) -> None:
        self.query_one("#fields").focus()

    @on(Input.Submitted, "#typed")
    def line_submitted(self, event: Input.Submitted) -> None:
        if self._set(typed(self.field, event.value)):
            self._close_line()

    @on(Listing.Picked, "#fields")
    def action_change(self) -> None:
        """Open the line to type a value in; a kind takes its next value instead."""
        if self.focused is self.query_one("#list"):
            self.query_one("#fields").focus()
        elif self.field.name == "kind":
            self.action_next_value()
        else:
            line = self.query_one("#typed", Input)
            value = self.value(self.field)
            line.value = "" if value is None else str(value)
            line.add_class("shown")
            line.focus()
            self._tell()

    def action_next_value(self) -> None:
        self._set(stepped(self.field, self.value(self.field), NEXT))

    def action_previous_value(self) -> None:
        self._set(stepped(self.field, self.value(self.field), PREVIOUS))

    def action_add_block(self) -> None:
        place = 0 if self.block is None else self.block + 1
        self._take(self.text.added(place), place + 1)

    def action_remove_block(self) -> None:
        if self.block is not None:
            self._take(self.text.removed(self.block), self.block + 1)

    def action_block_up(self) -> None:
        if self.block:
            self._take(self.text.moved(self.block, self.block - 1), self.block)

    def action_block_down(self) -> None:
        if self.block is not None and self.block + 1 < len(self.text.blocks):
            self._take(self.text.moved(self.block, self.block + 1), self.block + 2)

    def action_undo_edit(self) -> None:
        if not self._before:
            self.say("There is nothing to undo.")
            return
        self.text, self._before = self._before[-1], self._before[:-1]
        self._show((self.block or 0) + (self.block is not None))

    def action_save_plan(self) -> None:
        path, existing, said = self.path, self._existing, ""
        try:
            plan_folder = plan_folder_of(self.sitting)
            if existing is Existing.REFUSE:  # a new plan's file is named by the plan and replaces no other
                path = plan_folder.new_place(plan_folder.check(self.text.text, path).name)
            elif plan_folder.is_changed(path, self._on_disk):
                said = f"{path} was written by another program meanwhile and was left as it is. "
                path, existing = plan_folder.new_place(path.stem), Existing.REFUSE
            plan_folder.write(self.text.text, path, existing)
        except TrainerError as error:
            self.say(str(error))
            return
        self.path, self._saved, self._existing, self._on_disk = path, self.text, Existing.REPLACE, self.text.text
        self._show_title()
        self.say(f"{said}Saved as {path}.")

    def action_back(self) -> None:
        if self.query_one("#typed").has_class("shown"):
            self._close_line()
        elif self.focused is self.query_one("#fields"):
            self.query_one("#list").focus()
        elif self.text != self._saved and not self._warned:
            self._warned = True
            self.say("There are changes that are not saved: s saves them, Esc again leaves without them.")
        else:
            self.app.pop_screen()

    # -- changing -------------------------------------------------------------------------------------------

    def _set(self, value: Value) -> bool:
        """Put a value into the field under the cursor; True if the result is a plan."""
        field = self.field
        if value == self.value(field):
            return True
        if self.block is None:
            return self._take(self.text.with_field(field.name, value), 0)
        return self._take(self.text.with_block_field(self.block, field.name, value), self.block + 1)

    def _take(self, text: PlanText, row: int) -> bool:
        """Take a changed text over if it is a plan, and put the cursor on a row; else tell why not."""
        try:
            plan_folder_of(self.sitting).check(text.text, self.path)
        except DataError as error:
            self.say(f"{error.field}: {error.message}")
            return False
        self._before = (*self._before, self.text)[-MOST_UNDONE:]
        self.text, self._warned = text, False
        self._show(row)
        return True

    # -- what is shown --------------------------------------------------------------------------------------

    def _show(self, row: int) -> None:
        """Show everything anew, with the cursor on a row of the blocks and where it was in the fields."""
        plan = plan_folder_of(self.sitting).check(self.text.text, self.path)
        at = self.query_one("#fields", FieldList).highlighted or 0
        rows = ["the plan itself"]
        rows += [f"{number:>2} {block.kind:<9} {block.title if block.choice else ''}".rstrip()
                 for number, block in enumerate(plan.blocks, start=1)]  # fmt: skip
        listing = self.query_one("#list", Listing)
        listing.show(rows)
        listing.highlighted = row
        self._row = listing.highlighted or 0
        self._show_fields(at)
        self._show_title()

    def _show_fields(self, at: int) -> None:
        fields = self.query_one("#fields", FieldList)
        fields.show([f"{field.name:<{LABEL}}{shown(self.value(field))}" for field in self.fields])
        fields.highlighted = at
        self._tell()

    def _show_title(self) -> None:
        name = self.text.fields(None)["name"]
        unsaved = "" if self.text == self._saved and self._existing is Existing.REPLACE else "  · not saved yet"
        self.query_one("#title", Static).update(f"{name}{unsaved}")

    @on(Input.Blurred, "#typed")
    def _close_line(self) -> None:
        line = self.query_one("#typed", Input)
        if line.has_class("shown"):
            line.remove_class("shown")
            if self.focused is line:
                self.query_one("#fields").focus()
        self._tell()

    @on(events.DescendantFocus)
    @on(Listing.Moved, "#fields")
    def _tell(self) -> None:
        """Explain the field under the cursor, and how it is changed."""
        field = self.field
        if self.query_one("#typed").has_class("shown"):
            how = "Enter keeps it, Esc does not. Empty, it is left out."
        elif self.focused is self.query_one("#list"):
            how = "Enter or Tab goes to the fields."
        elif field.choices:
            how = "→ for the next, ← for the one before." + (" Enter to type it." if field.name == "goal" else "")
        else:
            how = "Enter to type it." + (" → for more, ← for less." if field.step else "")
        self.query_one("#sentence", Static).update(f"{field.name}: {field.sentence}\n{how}")
