"""The converter: what is worked out, from a sheet to its chart, its drills and their words."""
