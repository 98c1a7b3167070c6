"""What a part is drawn of: few primitives, named features, and the envelopes of the things round it."""
