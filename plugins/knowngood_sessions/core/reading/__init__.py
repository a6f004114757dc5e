"""What stands between a file as a logger wrote it and a table that a mapping can be put on."""
