"""Published performance tables in their own shape, and what they say for today's conditions.

`table` holds what a publication prints (`grid`, `curves`, `set_up`), `pasted` and `charts` read it from text,
`writing` and `reading` turn it into a document and back, and `answering` says what it gives today. Nothing
here knows of readings: a published table never becomes a statistic of known-good ones, nor the other way.
"""
