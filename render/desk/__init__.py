"""The desk: a folder of tunes in a browser. Each tune's text, its page as it prints, and practice.

NiceGUI (extra `desk`) serves it on this machine alone. State is frozen values; what is heard and
drawn is made by `converter` and the other folders of `render`.

- `folder`: the folder's tunes as plain files, saved whole and never over a foreign change
- `shelf`: the tunes of a folder as they are listed, and how they are searched
- `drafts`: unsaved texts, which survive a crash
- `players`: the player files of the folder
- `choices`: for whom and on what paper a tune is set, as a value and as an address
- `kept`: the choices of a folder and of each tab, from one day to the next
- `work`: from text and choices to mistakes or pages
- `page_changes`: what of a page changed, to be sent in place of the whole
- `highlight`: what the editor marks in the text: kinds of words, and mistakes with their fixes
- `text_places`: which bar a place of the text is in, and the pin behind a chord
- `session`: what one open tune is, and how typing becomes a page
- `server`: serving the desk safely on this machine
- `views`: the pages of the desk, which put the panels together
- `shelf_panel`, `text_panel`, `page_panel`, `chord_card`, `choices_panel`, `player_panel`, `stand`:
  one panel or view each
- `fold`: the button before a part of a panel that narrow windows hide
- `chord_facts`: what is said of a chord
- `take_away`: PDFs that the browser prints, the open tune in every format
- `practice`, `practice_panel`: drills, lessons and books, and their dialogs
- `dialog`: the frame of these dialogs, and work that is done in a thread
- `playback`: the bar that a tab plays, which the stands of the tune follow
- `share`: the stand for a class, on the local network, for reading alone
"""
