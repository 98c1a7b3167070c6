"""The listener: where the ears are, what level is lost off the speaker's axis, when its sound arrives.

Takes panels, speakers and frames; gives angles, levels and delays. It may import numpy and `geometry`, not scipy.
"""
