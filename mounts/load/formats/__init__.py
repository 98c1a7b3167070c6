"""Files from elsewhere: outlines in DXF, meshes in STL, 3MF and OBJ, letters in a TrueType font.

Takes a path; gives an `Outline`, a `Part` or a `Glyph` in mm. May import `parse/`, `geometry/` and the formats'
libraries; every reader refuses a file that is too large before it makes room for it.
"""
