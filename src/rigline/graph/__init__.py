"""What is joined to what: the pole-level graph of a system, and questions about it.

The only package that knows networkx. A node holds one pole of one terminal, an edge one conductor or one path through
a component; outside this package nobody reads the graph's attributes.
"""
