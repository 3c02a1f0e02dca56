"""Ink: symbols, lines and lettering, and the sheet round them, from placed numbers to SVG, PDF and PNG."""
