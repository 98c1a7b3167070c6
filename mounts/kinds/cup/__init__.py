"""The heat-staked tweeter cup behind a panel with moulded pins.

It takes a `CupJob` and gives a `CupPlan`, its scene and its papers; `sleeve` makes a spacer for a smaller tweeter in an
old cup, and is the only module here that runs the whole pipeline.
"""
