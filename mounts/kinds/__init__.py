"""Mount kinds, each a folder with its plan, its shape and its papers.

A kind takes a resolved job and gives a plan, its drawing as a recipe, its cautions and its papers. Plans and shapes
import `load/models`, `design/`, `geometry/` and `shape/`, never a kernel; only a `review` module imports `checks/` and
`papers/`.
"""
