"""Whether a part prints: pose, overhang, bridges, first layer, least feature, bed."""
