"""What an aim is worth: tilt against room, angle to the ear and level lost; delays; a plot and a section."""
