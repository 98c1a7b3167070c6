"""The mount kinds: each a folder with a plan and a shape of its own."""
