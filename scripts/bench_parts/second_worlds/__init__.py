"""Worlds by another hand: a second generator that shares no line with the first.

Figures that were measured on the worlds a program was developed with flatter it. This one is plainer than
`worlds`, with other habits: few engines and many exchanges, long cards, its own clerks, its own errors. No
weight is fitted on it. Some of its worlds were looked into for kinds of error; seeds 11 to 13 were not.
"""
