"""Findings on a board and its feet; takes job, plan and part, and may import `kinds/board` and what checks share."""
