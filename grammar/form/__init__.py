"""The form of a sheet: repeats, endings and jumps, and the order in which its bars are played."""
