"""Published performance tables as they are typed: set-up, printed blocks, and the publication."""
