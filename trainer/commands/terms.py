"""The command terms: what a word of the trade means, or the list of all the words there are."""

from __future__ import annotations

import argparse
import textwrap
from typing import Any, Final

from trainer.commands.terminal import tell, tell_json
from trainer.commands.words import add_json, parser_of
from trainer.errors import TrainerError
from trainer.files.checks import shown
from trainer.files.texts import one_line
from trainer.library.terms import Term, Terms, read_terms

WIDTH: Final = 79
GUTTER: Final = 2
MORE: Final = "“throwbeat terms WORD” tells what one of them means."


def words() -> argparse.ArgumentParser:
    parser = parser_of("terms", "What a word of the trade means; without a word, all there are.")
    parser.add_argument("word", nargs="*", metavar="WORD", help="the word, such as flash")
    add_json(parser, "print names, text and links as JSON")
    return parser


def run(asked: argparse.Namespace) -> int:
    """Print a term, or the titles of all; an unknown word raises TrainerError."""
    terms = read_terms()
    word = " ".join(asked.word)
    term = to_term(word, terms) if asked.word else None
    if asked.json:
        found = {"terms": list(map(to_json, terms.terms))} if term is None else to_json(term)
        tell_json(found, ensure_ascii=False)
    else:
        tell(*to_page(term) if term is not None else [*to_columns(terms), "", MORE])
    return 0


def to_term(word: str, terms: Terms) -> Term:
    """The term a word names. Raises TrainerError, naming the nearest where there is one."""
    term = terms.find(word)
    if term is not None:
        return term
    near = terms.nearest(word)
    hint = f"Was “{near.title}” meant?" if near else "“throwbeat terms” lists them all."
    raise TrainerError(f"No term was called {one_line(shown(word))}. {hint}")


def to_json(term: Term) -> dict[str, Any]:
    """Every field of a term under its name."""
    return {
        "names": list(term.names),
        "text": term.text,
        "see": list(term.see),
        "patterns": list(term.patterns),
    }


def to_page(term: Term) -> list[str]:
    """A term with its other names, what it means, its relatives, and patterns that show it."""
    paragraphs = [", ".join(term.names), term.text]
    if term.see:
        paragraphs.append(f"See also: {', '.join(term.see)}.")
    if term.patterns:
        paragraphs.append(f"To try it: {', '.join(term.patterns)}.")
    return [line for paragraph in paragraphs for line in textwrap.wrap(paragraph, WIDTH, break_on_hyphens=False)]


def to_columns(terms: Terms) -> list[str]:
    """The titles of all terms, to be read down each column in turn."""
    titles = [term.title for term in terms.terms]
    width = max(map(len, titles)) + GUTTER
    columns = max(1, (WIDTH + GUTTER) // width)
    rows = -(-len(titles) // columns)
    return ["".join(title.ljust(width) for title in titles[row::rows]).rstrip() for row in range(rows)]
