"""The words of the checks as values: findings with their verdicts, clearances, walls."""
