"""What holds in the tests themselves, read from their sources."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
IN_REAL_TIME = ("live", "bench")
OF_LIBRARIES = frozenset(
    {
        # textual: what is drawn, whether the app has been left, and what keeps it busy
        "_animations", "_batch_count", "_compositor", "_display", "_exception", "_exit", "_filters",
        "_message_queue", "_next_callbacks", "_parse_rules", "_registry", "_sequence_to_key_events", "_variables",
        "_visible_widgets",
        # asyncio: what the event loop does next
        "_ready", "_scheduled",
        # Python: a named tuple's way to change a field, the end of a fork
        "_replace",
    }
)  # fmt: skip
"""The private names that the tests may use: none is ours."""

MAY_SLEEP = {
    "screens/rest.py": "the one place that waits, for the event loop",
    "screens/renamed.py": "an app in a process of its own, waited for with a bound",
    "logbook/test_crash.py": "chance decides in the middle of what a process is killed",
}


def sources() -> Iterator[tuple[str, ast.Module]]:
    for file in sorted(TESTS.rglob("*.py")):
        yield file.relative_to(TESTS).as_posix(), ast.parse(file.read_text(encoding="utf-8"))


def private_names(tree: ast.Module) -> Iterator[str]:
    """Private names of other objects: looked up, or patched."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and not (isinstance(node.value, ast.Name) and node.value.id == "self"):
            name = node.attr
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "setattr":
            texts = [each.value for each in node.args if isinstance(each, ast.Constant) and isinstance(each.value, str)]
            name = texts[0].split(".")[-1] if texts else ""
        else:
            continue
        if name.startswith("_") and not name.endswith("__"):
            yield name


def test_no_test_leans_on_a_private_name_of_ours() -> None:
    found = {(file, name) for file, tree in sources() for name in private_names(tree)}
    assert ("screens/picture.py", "_compositor") in found
    assert {each for each in found if each[1] not in OF_LIBRARIES} == set()


def test_no_usual_test_sleeps() -> None:
    found = set()
    for file, tree in sources():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and not file.startswith(IN_REAL_TIME):
                called = ast.unparse(node.func)
                if called.split(".")[-1] == "sleep" or (called.endswith("pilot.pause") and node.args):
                    found.add(file)
    assert found - {"pictures.py"} == MAY_SLEEP.keys()


def test_helpers_stand_in_modules_of_their_own() -> None:
    """No test file is imported by another."""
    for file, tree in sources():
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                assert not node.module.split(".")[-1].startswith("test_"), file


@pytest.mark.parametrize(("text", "names"), [("a._b", ["_b"]), ("self._b", []), ("m.setattr(a, '_b', 1)", ["_b"])])
def test_a_private_name_is_found(text: str, names: list[str]) -> None:
    assert list(private_names(ast.parse(text))) == names
