"""Choice of a speaker for a panel, and the start of its job: the room there is, the margin of every speaker.

Takes a library, a panel and a workshop's means; gives `Room`s, `Choices` and job files, and texts for screen and JSON.
It stands above the kinds and may import them, `load`, `findings` and `geometry`; it builds nothing.
"""
