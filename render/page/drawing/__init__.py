"""What pages are drawn with: items, typefaces, symbols, grids, the neck map, blocks."""
