"""The grammar: what is read, from text, ABC and MusicXML to the written sheet."""
