"""What the readers of scores share, whatever the notation: measures, their form, their chords."""
