"""The command line: reads the words, imports what their command needs and nothing else, and prints its errors.

Exit status: 0 done, 1 done with something found wanting, 2 refused with one clear message on standard error.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

from trainer import __version__
from trainer.commands.logparsers import LOG_COMMANDS, log_list
from trainer.commands.parsers import Parser, Words, add_counting, add_pattern, add_tempo, parser_of
from trainer.errors import AlreadyThere, TrainerError

REFUSED = 2
COMMANDS = ("plan", "sheet", "explain", "find", "link", "render", "pack", "sounds", "log", "terms", "check", "demo")
INTRODUCTION = """\
A practice trainer for toss jugglers and their teachers.

  throwbeat                 open the full-screen trainer
  throwbeat PATTERN         practise a pattern at once: 531, "(4,4)", "mills mess"
  throwbeat PATTERN --plain the same in lines of text and sound only, without a screen
  throwbeat plan [PLAN]     practise by a plan: first-week, a TOML file of yours
  throwbeat explain PATTERN what a pattern asks of you: throws, heights, how to begin
  throwbeat find --objects N --period P
                            all patterns of so many objects and beats
  throwbeat link FROM TO    the shortest throws from one pattern to another, and back
  throwbeat render PATTERN --out FILE.wav
                            write the beat to a sound file
  throwbeat pack PLAN --out DIR
                            a practice sheet as sound files with a page
  throwbeat sounds [NAME]   the kits of sounds, and one of them played
  throwbeat sheet           the last judged attempts as a sheet to print
  throwbeat log             the attempts you have made
  throwbeat log best | calendar | export FILE | import FILE | backup | restore FILE
                            bests, days; the logbook out to a file and in again
  throwbeat log progress    how catches and tempo have grown, and what follows from it
  throwbeat log chart --out FILE.png
                            that as a picture to share
  throwbeat terms [WORD]    what a word of the trade means
  throwbeat check           whether sound, pedal, logbook and library work here
  throwbeat demo            the trainer with the logbook of a made-up group

Each command has its own --help."""

RENDERED = """\
What the ending of FILE asks for:
  .wav   sound, stereo
  .mid   notes: the tempo map, a track for each hand's throws and one for its catches, one for the count-in
  .vtt   captions for a video (WebVTT): each throw's hand and value, and the catches so far, at their times
  .srt   the same captions (SRT)
  .csv   every event: at_s (seconds), at_frame (seconds × --rate, rounded half up), beat (from the first throw,
         whole or p/q), kind, voice (what sounds), juggler, hand, value (beats), object, catch (its number), goal
  .json  the same as a list, one event a line
A file that is there is kept unless --force is given; a render that is stopped leaves no half file."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command line; returns the exit status. Errors meant for the user end in one message, never a traceback."""
    words = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        return _dispatch(words)
    except TrainerError as error:
        _print_error(error)
    except BrokenPipeError:
        # Whoever read along has enough. What is still buffered must not be written when Python ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("throwbeat: Stopped.", file=sys.stderr)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(f"throwbeat: {where}{error.strerror or error}.", file=sys.stderr)
    except Exception as error:  # noqa: BLE001 - a fault of ours: told in a line, kept in full for its mending
        _keep_fault(error)
    return REFUSED


def _keep_fault(error: Exception) -> None:
    """A fault of the trainer's own: one line for the user, the whole of it in a file for whoever mends it."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="throwbeat-", suffix=".txt", delete=False) as file:
        file.write("".join(traceback.format_exception(error)))
    print(
        f"throwbeat: Something went wrong in the trainer itself: {error!r}. It is told in full in {file.name}.",
        file=sys.stderr,
    )


def _dispatch(words: list[str]) -> int:
    if words[:1] == ["log"] and words[1:2] and words[1] in LOG_COMMANDS:
        parser, run = LOG_COMMANDS[words[1]]()
        return run(parser.parse_args(words[2:]))
    if words and words[0] in COMMANDS:
        makers = {
            "plan": _plan,
            "sheet": _sheet,
            "explain": _explain,
            "find": _find,
            "link": _link,
            "render": _render,
            "pack": _pack,
            "sounds": _sounds,
            "log": log_list,
            "terms": _terms,
            "check": _check,
            "demo": _demo,
        }
        parser, run = makers[words[0]]()
        return run(parser.parse_args(words[1:]))
    parser, run = _practise()
    return run(parser.parse_args(words))


def _print_error(error: TrainerError) -> None:
    """The message, and what helps: --force, or under a pattern that doesn't work a mark and one that would."""
    remedy = " Give --force to write over it." if isinstance(error, AlreadyThere) else ""
    print(f"throwbeat: {error}{remedy}", file=sys.stderr)
    from trainer.siteswap.grammar import NotationError

    if isinstance(error, NotationError):
        from trainer.siteswap.pointer import point_out

        for line in point_out(error):
            print(line, file=sys.stderr)


def _plan() -> Words:
    parser = parser_of("plan", "Practise by a plan, block after block; without one, choose it on the screen.")
    parser.add_argument("plan", nargs="*", metavar="PLAN", help="a TOML file, or the name of a plan")
    parser.add_argument("--list", action="store_true", help="print the plans there are, or the blocks of the one named")
    add_counting(parser)
    parser.set_defaults(dwell=None)
    from trainer.commands.plan import run

    return parser, run


def _sheet() -> Words:
    parser = parser_of("sheet", "The last judged attempts, or longest runs, of a plan as a sheet to print and sign.")
    parser.add_argument("--out", metavar="FILE", help="write it to a file: .html to print from a browser, or .txt")
    parser.add_argument("--force", action="store_true", help="write over a file that is there")
    from trainer.commands.sheet import run

    return parser, run


def _explain() -> Words:
    parser = parser_of("explain", "What a pattern asks of you: each throw, how high, how long, how to begin.")
    add_pattern(parser, "+")
    add_tempo(parser)
    parser.add_argument("--json", action="store_true", help="print the figures as JSON")
    from trainer.commands.explain import run

    return parser, run


def _find() -> Words:
    parser = parser_of("find", "All patterns of so many objects and beats, each once, as they are found.")
    parser.add_argument("--objects", required=True, metavar="N", help="how many objects")
    parser.add_argument("--period", required=True, metavar="P", help="after how many beats they repeat")
    parser.add_argument("--highest", metavar="H", help="no throw above this value")
    parser.add_argument("--lowest", metavar="L", help="no throw below this value")
    parser.add_argument("--ground", action="store_true", help="only those a cascade or fountain goes straight into")
    parser.add_argument("--prime", action="store_true", help="only those that don't fall into shorter patterns")
    parser.add_argument("--no-zip", action="store_true", help="without the quick throw straight across: 1, in sync 2x")
    parser.add_argument("--contains", metavar="VALUES", help="throws they must have, such as 5,1")
    parser.add_argument("--limit", metavar="K", help="stop after this many")
    parser.add_argument("--count", action="store_true", help="only how many there are")
    parser.add_argument("--sync", action="store_true", help="both hands throw together, every second beat")
    parser.add_argument("--json", action="store_true", help="print them as JSON")
    from trainer.commands.find import run

    return parser, run


def _link() -> Words:
    parser = parser_of("link", "The shortest throws from the end of one pattern to the start of another, and back.")
    parser.add_argument("start", metavar="FROM", help="a name or a siteswap; a name of several words in quotes")
    parser.add_argument("goal", metavar="TO", help="a name or a siteswap")
    parser.add_argument("--highest", metavar="H", help="no throw of the links above this value")
    parser.add_argument("--any-point", action="store_true", help="leave and join at any beat, wherever it is shortest")
    parser.add_argument("--json", action="store_true", help="print the links as JSON; beats counted from 0")
    from trainer.commands.link import run

    return parser, run


def _render() -> Words:
    parser = parser_of("render", "Write the beat of a pattern to a file: sound, notes, captions or a table.")
    parser.formatter_class, parser.epilog = argparse.RawDescriptionHelpFormatter, RENDERED
    add_pattern(parser, "+")
    add_tempo(parser)
    parser.add_argument("--out", required=True, metavar="FILE", help="the file to write, by one of the endings below")
    parser.add_argument("--force", action="store_true", help="write over a file that is there")
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--beats", metavar="N", help="how long, in beats after the count-in")
    length.add_argument("--rounds", metavar="N", help="how long, in rounds of the pattern")
    length.add_argument("--seconds", metavar="S", help="how long, in seconds after the count-in (60)")
    parser.add_argument("--count-in", metavar="N", help="beats counted in before the first throw (4)")
    parser.add_argument("--kit", metavar="NAME", help="the kit of sounds")
    parser.add_argument("--hear", metavar="WHAT", help="throws, catches or both (throws; in a .mid file both)")
    parser.add_argument("--bits", metavar="N", help="of a .wav file: 16 or 24 (16)")
    parser.add_argument("--rate", metavar="HZ", help="frames a second: 44100 or 48000 (44100)")
    parser.add_argument("--json", action="store_true", help="print every event with its frame as JSON")
    from trainer.commands.render import run

    return parser, run


def _pack() -> Words:
    parser = parser_of("pack", "Write a practice sheet to a folder: numbered sounds and a page to play, read or print.")
    parser.add_argument("plan", nargs="+", metavar="PLAN", help="a TOML file, or the name of a plan")
    parser.add_argument("--out", required=True, metavar="DIR", help="the folder to write to")
    parser.add_argument("--kit", metavar="NAME", help="the kit of sounds")
    parser.add_argument("--force", action="store_true", help="write over files that are there")
    from trainer.commands.pack import run

    return parser, run


def _sounds() -> Words:
    parser = parser_of("sounds", "The kits of sounds there are; one of them played, sound by sound.")
    parser.add_argument("kit", nargs="*", metavar="NAME", help="the kit to play")
    parser.add_argument("--json", action="store_true", help="print the list as JSON")
    from trainer.commands.sounds import run

    return parser, run


def _demo() -> Words:
    parser = parser_of("demo", "The trainer with the logbook of a made-up group, apart from yours; leaving removes it.")
    from trainer.commands.demo import run

    return parser, run


def _terms() -> Words:
    parser = parser_of("terms", "What a word of the trade means; without a word, all there are.")
    parser.add_argument("word", nargs="*", metavar="WORD", help="the word, such as flash")
    parser.add_argument("--json", action="store_true", help="print names, text and links as JSON")
    from trainer.commands.terms import run

    return parser, run


def _check() -> Words:
    parser = parser_of("check", "Whether sound, pedal, logbook and library work here, and what to do if not.")
    from trainer.commands.check import run

    return parser, run


def _practise() -> Words:
    parser = Parser(
        prog="throwbeat",
        usage=f"throwbeat [PATTERN] [options] | {' | '.join(COMMANDS)}",
        description=INTRODUCTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"throwbeat {__version__}")
    add_pattern(parser, "*")
    add_tempo(parser)
    add_counting(parser)
    parser.add_argument("--plain", action="store_true", help="lines of text and sound only; keys as on the screen")

    def run(asked: argparse.Namespace) -> int:
        from trainer.commands.practise import run as practise

        return practise(asked)

    return parser, run


if __name__ == "__main__":
    sys.exit(main())
