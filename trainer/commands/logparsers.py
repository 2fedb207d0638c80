"""The commands of `throwbeat log`: their words, and where each is done."""

from __future__ import annotations

import argparse

from trainer.commands.parsers import Words, add_pattern, parser_of

EXPORTED = """\
What the ending of FILE asks for:
  .csv   a line for each attempt, removed ones too; empty is none; RFC 4180, UTF-8. A text that a spreadsheet could
         take for a formula has an apostrophe before it, which importing takes away again.
  .json  the same fields, and climbs, plan runs and corrections too
The fields: uid (the same in every logbook), session_started_at, started_at (ISO 8601 with the offset from UTC),
juggler, pattern, name, objects, prop, tempo_bpm (beats a minute, whole or p/q), dwell_ratio, counted_by (beat, taps,
hand), taps_unit (catch, right, round), catches, seconds, ended (drop, collected, goal, given-up, time),
flash_at_catches, qualify_at_catches, hiccups, fair, removed, climb_uid, plan_run_uid, plan_block (from 0), note."""


def log_list() -> Words:
    parser = parser_of("log", "The attempts you have made, oldest first.")
    add_pattern(parser, "*")
    parser.add_argument("--limit", metavar="N", help="only the last N")
    parser.add_argument("--json", action="store_true", help="print them as JSON")
    from trainer.commands.log import run

    return parser, run


def _log_progress() -> Words:
    parser = parser_of("log progress", "How catches and tempo have grown: bests, rates, a learning curve, days.")
    add_pattern(parser, "*")
    add_figure(parser)
    parser.add_argument("--json", action="store_true", help="print all figures as JSON")
    from trainer.commands.log_progress import run

    return parser, run


def _log_chart() -> Words:
    parser = parser_of("log chart", "A picture of progress to share; of the figure practised last unless one is named.")
    parser.add_argument("--out", required=True, metavar="FILE", help="the file to write: .svg or .png")
    parser.add_argument("--pattern", nargs="+", metavar="PATTERN", help="a name or a siteswap, such as 531")
    add_figure(parser)
    parser.add_argument("--force", action="store_true", help="write over a file that is there")
    from trainer.commands.log_chart import run

    return parser, run


def _log_best() -> Words:
    parser = parser_of("log best", "The most catches of each figure, and how often it was flashed and qualified.")
    parser.add_argument("--json", action="store_true", help="print them as JSON")
    from trainer.commands.log_best import run

    return parser, run


def _log_calendar() -> Words:
    parser = parser_of("log calendar", "What was practised on each day, oldest first.")
    parser.add_argument("--juggler", metavar="NAME", help="only by this juggler")
    parser.add_argument("--limit", metavar="N", help="only the last N days")
    parser.add_argument("--json", action="store_true", help="print them as JSON")
    from trainer.commands.log_calendar import run

    return parser, run


def _log_export() -> Words:
    parser = parser_of("log export", "Write all that is in the logbook to a file.")
    parser.formatter_class, parser.epilog = argparse.RawDescriptionHelpFormatter, EXPORTED
    parser.add_argument("file", metavar="FILE", help="ends in .csv or .json")
    parser.add_argument("--force", action="store_true", help="write over a file that is there")
    from trainer.commands.log_files import run_export

    return parser, run_export


def _log_import() -> Words:
    parser = parser_of("log import", "Take in what is new in an exported file: all of it, or none if it has a mistake.")
    parser.add_argument("file", metavar="FILE", help="ends in .csv or .json; see “throwbeat log export --help”")
    parser.add_argument("--dry-run", action="store_true", help="only say what would be imported")
    from trainer.commands.log_files import run_import

    return parser, run_import


def _log_backup() -> Words:
    parser = parser_of("log backup", "Copy the logbook; without FILE make today's backup and list the last seven.")
    parser.add_argument("file", nargs="?", metavar="FILE", help="the copy to write")
    parser.add_argument("--force", action="store_true", help="write over a file that is there")
    from trainer.commands.log_files import run_backup

    return parser, run_backup


def _log_restore() -> Words:
    parser = parser_of("log restore", "Put a backup in the place of the logbook, which is kept under another name.")
    parser.add_argument("file", metavar="FILE", help="a backup; “throwbeat log backup” lists them")
    from trainer.commands.log_files import run_restore

    return parser, run_restore


LOG_COMMANDS = {
    "list": log_list,
    "best": _log_best,
    "progress": _log_progress,
    "calendar": _log_calendar,
    "chart": _log_chart,
    "export": _log_export,
    "import": _log_import,
    "backup": _log_backup,
    "restore": _log_restore,
}


def add_figure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--prop", metavar="PROP", help="only with this prop")
    parser.add_argument("--count", metavar="WAY", help="only counted this way: beat, taps or hand")
    parser.add_argument("--juggler", metavar="NAME", help="only of this juggler")
