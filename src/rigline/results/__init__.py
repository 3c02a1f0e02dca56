"""What the public functions return: each also says itself as text, in the forms of its command, and in a notebook.

A notebook shows a result that is the last line of a cell through its `_repr_html_`. One kind of result is one file, so
that a command loads no more than its own; the types of their fields are loaded with them, for `help` to name.
"""
