"""What the files hold, as frozen values whose names are the keys that a person writes."""
