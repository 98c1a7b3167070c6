"""Steps that the plans of several mount kinds share: fasteners, fits, chances, loads, speaker, lettering, drawings.

Takes sizes and readings as numbers and frozen values; gives dimensions, closed forms and drawings as values. It may
import numpy, scipy, scikit-fem, `geometry`, `shape`, `findings` and the models of `load`; no kernel and no writer.
"""
