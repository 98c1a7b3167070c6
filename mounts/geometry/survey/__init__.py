"""Survey of a hole pattern: least-squares positions, covariances and outliers from caliper readings of one panel.

Takes `Readings` in mm and degrees, gives a `Survey` or raises `SurveyError`; it may import numpy and geometry only.
"""
