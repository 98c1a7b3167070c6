"""The spacer: a sleeve that fills the gap between a body and a larger opening in a panel.

It takes a `SpacerJob` and gives a `SpacerPlan`, its scene and its papers. It hangs behind the face, a lip before it:

      lip   ____            ____     front
    ───────|    |  device  |    |───────   face, z = 0
     panel  |   |          |   |
    ────────|bmp|          |   |────────
            |   |__      __|   |     seat: a stop for the device
            |______| cable|____|     back
"""
