"""The page of the book."""
