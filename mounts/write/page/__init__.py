"""One HTML page a part, to turn, cut and measure it in its surroundings; it needs a browser and nothing else.

Takes a part with its scene, plan and findings; gives the page as bytes. It may import the kernels and `data/view`.
"""
