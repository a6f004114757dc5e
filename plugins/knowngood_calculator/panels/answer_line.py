"""One answer: a name, a number that can be copied, and words below it."""

from __future__ import annotations

from knowngood.widgets.answer_line import AnswerLine, sentence

__all__ = ["AnswerLine", "sentence"]
