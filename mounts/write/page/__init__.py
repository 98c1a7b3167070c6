"""One page a part, to turn, cut and measure it in its surroundings; it needs a browser and nothing else."""
