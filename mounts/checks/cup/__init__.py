"""Findings on a finished cup; takes its job, plan and part, and may import `kinds/cup` and what checks share."""
