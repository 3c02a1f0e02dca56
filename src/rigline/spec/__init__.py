"""What the author wrote: text in, a checked document out, or every problem in it with file, line and column.

This stage decides only whether the text is a spec at all. Whether the design is sound is the checks' business.
"""
