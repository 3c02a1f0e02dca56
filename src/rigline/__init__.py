"""Rigline reads a component list, checks the wiring and draws it."""
