"""Layout of parts on printers' beds, and estimates of print time and material.

Takes triangles in print pose, mm, and a printer's settings; gives `BedPlacement`s on as few beds as possible and
`Estimate`s. It may import numpy, Pillow, manifold3d, `findings` and models of `load`.
"""
