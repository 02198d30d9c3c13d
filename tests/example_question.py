"""How an example question of a test begins: everything above its prompt."""

from __future__ import annotations


def head(lesson: str = "00", covers: str = "1.01", topic: str = "start") -> str:
    """The keys above the prompt: the lesson, the topic of annex I that is practised, the folder."""
    return f'title = "Example"\nversion = 1\ntopic = "{topic}"\nlevel = 1\nlesson = "{lesson}"\ncovers = ["EU 2024/2215 Annex I {covers}"]\n'
