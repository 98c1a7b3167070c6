"""Text as a person writes it: YAML with the place of every value, units, and what a message says of a mistake.

Takes text and plain values; gives `Document`, floats in mm, degrees, kg and Hz, and `Problem`. May import pyyaml, the
errors and the words of the mount kinds, nothing else of the package.
"""
