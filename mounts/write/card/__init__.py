"""Pages to write on: the measuring card, and the sheet of a coupon."""
