"""Worlds by another hand: a second generator that shares no line with the first.

Figures that were measured on the worlds a program was developed with flatter it. This one is plainer than
`worlds`, with other habits: few engines and many exchanges, long cards, its own clerks, its own errors. It is
only measured on, and its worlds are not looked into.
"""
