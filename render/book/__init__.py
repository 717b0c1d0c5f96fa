"""Books: many charts bound as one, with contents, continuous page numbers, drills and indexes.

The modules in reading order; each imports only modules listed before it.

- `book`: the values of a book, and the orders that its tunes may stand in
- `indexes`: what the indexes say: keys, areas, grips, difficulty
- `part`: a tune's part of a book, made without the others; pages that wait as bytes
- `pieces`: blocks one under the other with links
- `front`: title page and contents
- `back`: the pages of the indexes
- `layout`: the pages of a book
- `book_file`: a book as a TOML file that can be kept
"""
