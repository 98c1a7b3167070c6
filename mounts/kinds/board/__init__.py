"""The board: a plate for amplifiers and processors on feet that are glued to the floor lining.

It takes a `BoardJob`, and a `FootJob` for the printed feet under a board that is cut, and gives their plans, scenes and
papers.

     _____________      _______
    |  amplifier  |    | proc. |
 ___|_____________|____|_______|__   top
|______ __________________ _______|  bottom     holes, and slots for cables with rounded edges
    |___|                |___|       feet; under a board that is cut they are parts of their own
===================================  floor lining, z = 0
"""
