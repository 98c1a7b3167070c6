"""Choice of a speaker for a panel: the room there is, and the margin of every speaker in the library.

Takes a library, a panel and a workshop's means; gives `Room`s and `Choices`, and texts for screen and JSON.
It stands above the kinds and may import them, `load` and `findings`; it builds nothing.
"""
