"""Where a ring lets its speaker look: tilt, direction, height and offset chosen together."""
