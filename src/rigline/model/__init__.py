"""What the spec means: components, runs and their conductors, in base units, with every terminal decided.

Nothing here knows pydantic, files or positions in them, apart from the marks that are carried along for messages.
"""
