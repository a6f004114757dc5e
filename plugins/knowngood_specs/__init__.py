"""The spec library: find a vehicle, see its charge weight and what it rests on, take it in hand."""
