"""What a finished mesh tells of itself: soundness, walls, and whose mount it is."""
