"""Small invented systems that the tests of the page change while it is open."""

LIGHTS = """\
rigline: 1
title: Cabin lights
profile: us-rv
components:
  B1: {kind: battery, chemistry: lifepo4, voltage: 12.8 V, capacity: 50 Ah, short-circuit: 1.8 kA}
  F1: {kind: fuse, style: terminal, rating: 40 A}
  DC1: {kind: fuse-block, rating: 75 A}
  FA: {kind: fuse, style: blade, rating: 5 A}
  LT1: {kind: dc-load, name: Lights, power: 24 W, use: 3 h/day}
  GND: {kind: chassis}
runs:
  - {id: W1, path: [B1, F1, DC1], lengths: [0.1 m, 0.6 m], wire: 8 AWG}
  - {id: W2, path: [DC1, FA, LT1], length: 2 m, wire: 16 AWG}
  - {id: W3, path: [DC1-, GND], length: 0.3 m, carries: bond, wire: 8 AWG}
"""
"""Sound; made for the tests."""

OVERSIZED = LIGHTS.replace("style: blade, rating: 5 A", "style: blade, rating: 40 A")
"""The same with a fuse that its wire does not bear."""

MISSPELT = LIGHTS.replace("profile:", "profil:")
"""The same with a key that there is not: two problems, on line 1 and 3."""

MARKUP = """<img src=x onerror="document.title='owned'"><script>document.title='owned'</script>"""
HOSTILE = LIGHTS.replace("Cabin lights", f"'{MARKUP.replace(chr(39), chr(39) * 2)}'").replace(
    "name: Lights", f"name: '{MARKUP.replace(chr(39), chr(39) * 2)}'"
)
"""The same with names that would run if anything let them."""
