"""The command line: reads which command is meant, imports its module and nothing else, and prints its errors.

A command's module has `words()`, the parser of its words, and `run(asked)`, which carries it out and returns the exit
status: 0 done, 1 done with something found wanting, 2 refused with one clear message on standard error.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module

from trainer.commands.terminal import complain, let_go, open_streams, warn
from trainer.commands.words import COMMANDS, LOG_COMMANDS
from trainer.errors import AlreadyThere, TrainerError

REFUSED = 2


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command line; returns the exit status. Errors meant for the user end in one message, never a traceback."""
    open_streams()
    try:
        name, words = _split(list(sys.argv[1:] if argv is None else argv))
        command = import_module(f"trainer.commands.{name}")
        status: int = command.run(command.words().parse_args(words))
        return status
    except TrainerError as error:
        _print_error(error)
    except BrokenPipeError:
        return 0  # whoever read along has enough
    except KeyboardInterrupt:
        complain("Stopped.")
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        complain(f"{where}{error.strerror or error}.")
    except Exception as error:  # noqa: BLE001 - a fault of ours: told in a line, kept in full for its mending
        _keep_fault(error)
    finally:
        let_go()
    return REFUSED


def _keep_fault(error: Exception) -> None:
    """A fault of the trainer's own: one line for the user, the whole of it in a file for whoever mends it."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="throwbeat-", suffix=".txt", delete=False) as file:
        file.write("".join(traceback.format_exception(error)))
    complain(f"Something went wrong in the trainer itself: {error!r}. It is told in full in {file.name}.")


def _split(line: list[str]) -> tuple[str, list[str]]:
    """The name of the module that carries out a line, and the words left for it."""
    match line:
        case ["log", "list", *words]:
            return "log", words
        case ["log", name, *words] if name in LOG_COMMANDS:
            return f"log_{name}", words
        case [name, *words] if name in COMMANDS:
            return name, words
    return "practise", line


def _print_error(error: TrainerError) -> None:
    """The message, and what helps: --force, or under a pattern that doesn't work a mark and one that would."""
    remedy = " Give --force to write over it." if isinstance(error, AlreadyThere) else ""
    complain(f"{error}{remedy}")
    from trainer.siteswap.grammar import NotationError

    if isinstance(error, NotationError):
        from trainer.siteswap.refusal import point_out

        warn(*point_out(error))


if __name__ == "__main__":
    sys.exit(main())
