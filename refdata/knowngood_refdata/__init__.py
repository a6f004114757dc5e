"""The reference database and the reference knowledge that every plugin computes with. No Qt."""
