"""Screws, washers, torque, and what a slammed door does to them."""
