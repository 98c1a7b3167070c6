r"""The coupon: a star of bars with holes, pegs, ribs and insert pockets in steps, which calibrates a printer.

It takes a printer, a material and an insert, and gives a plan and two scenes: the star and its loose plug.

              Y  fits 6.0 … 6.3
     pegs  \  |  /  insert pockets
            \ | /
  holes ------(20)------ X  holes      every bar 120 over its ends, 3 thick
            / | \
     ribs  /  |  \  pegs
              fits 6.4 … 6.7           and a loose plug of 6.0 that goes into the fits
"""
