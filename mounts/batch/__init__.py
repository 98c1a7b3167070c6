"""Many parts at once: what was made before is kept, what is new is made side by side, what fails costs only itself."""
