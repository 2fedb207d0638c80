"""TODO."""

from __future__ import annotations


def escape(text: str) -> str:
    """Text in which brackets are no markup."""
    return text.replace("[", r"\[")
