"""Practice: rhythms and choruses, and a tune as timed strokes."""
