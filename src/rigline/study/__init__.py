"""Numbers: what every wire carries, may carry and loses, and what can still flow when something is shorted.

The study computes; it never judges. The checks read it and compare.
"""
