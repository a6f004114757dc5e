"""The book of known-good readings as a whole: how well its ranges hold, patterns, doubtful readings."""
