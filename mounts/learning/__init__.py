"""Learning from fitted mounts: posterior values from outcomes, pure functions on frozen values.

Takes outcomes as `load/resolve/outcome` reads them; gives posteriors and the answers that nothing can be learned from.
May import `design/`, `geometry/` and the models of `load/`; no file is read or written here.
"""
