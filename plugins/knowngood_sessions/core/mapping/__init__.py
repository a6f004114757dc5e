"""What the columns of a log mean: proposed, questioned, changed."""
