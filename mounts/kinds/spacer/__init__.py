"""The spacer: a sleeve that takes up the slack round a smaller body in a panel's opening.

It hangs behind the face, a lip before it:

      lip   ____            ____     front
    ───────|    |  device  |    |───────   face, z = 0
     panel  |   |          |   |
    ────────|bmp|          |   |────────
            |   |__      __|   |     seat: a stop for the device
            |______| cable|____|     back
"""
