"""Evaluation of an aim: tilt against room, angle to the ears and level lost; delays; a plot and a section.

Takes one job a side or a kit; gives an `AimReport` or `AimedKit`, drawings, JSON text and tables for the screen. It
stands above the pipeline and may import everything; it plans, draws and builds no part with the CAD kernel.
"""
