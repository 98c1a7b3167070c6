"""The papers for the bench, as values: drawings, hardware, the work in order, checks and the return sheet.

Takes what was made, with its plan and findings; gives chapters and a `Booklet` of plain text and drawings, nothing of
a page's format. It stands above the checks and below `write/`; it may import both kernels, `kinds` and `findings`.
"""
