"""Books: many charts bound as one, with contents, continuous page numbers and indexes.

- `book`: the values of a book, and the orders that its tunes may stand in
- `indexes`: what the indexes say: keys, areas, grips, difficulty
- `layout`: the pages of a book
- `book_file`: a book as a TOML file that can be kept
"""
