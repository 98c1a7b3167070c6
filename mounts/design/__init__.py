"""What the plans of several mount kinds share."""
