"""What pages are drawn with: items, typefaces, sizes, signs, grids, neck maps, blocks."""
