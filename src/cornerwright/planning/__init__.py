"""Inverse problems: learn the real car, choose the moves, say what falls short."""
