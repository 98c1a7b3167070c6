"""Findings on a ring, printed or cut; takes its job, plan and part, and may import `kinds/ring` and shared checks."""
