"""The screens: each asks the desk, and shows."""
