"""Texts for widgets that read markup."""

from __future__ import annotations


def escape(text: str) -> str:
    """Mark the brackets of a text as plain brackets, not markup."""
    return text.replace("[", r"\[")
