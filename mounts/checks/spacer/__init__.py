"""Findings on a spacer; takes its job, plan and part, and may import `kinds/spacer` and what checks share."""
