"""The ring: a base that sits on the panel's fixings and carries a speaker on a seat that may be tilted.

It takes a `RingJob` and gives a `RingPlan`, or a `FlatPlan` for a ring cut from sheet, its scenes and its papers.

seat (tilted plane, w = 0)      ______----
                          _----|  |
speaker pockets, gasket  |  |__|  |  band: straight below the seat, as deep as the pockets
                         |  /     |
tower (leans)            | / flare|
base        _____________|/       |__________
face z = 0  |____[recess]__]  bore [__[groove]__|
"""
