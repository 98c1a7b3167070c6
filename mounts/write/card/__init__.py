"""Pages to write on: the measuring card, and the sheet of a coupon.

Takes the readings of `load.readings` and a coupon's plan; gives PDF bytes. It may import reportlab and `write`.
"""
