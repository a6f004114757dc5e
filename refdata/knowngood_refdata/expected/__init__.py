"""Expected ranges from known-good readings, and the rule of like with like."""
