"""Register cards of many forms, hands and machines for the bench, with what truly stands on them.

Half of the forms and half of the faces are *unseen*: they are drawn for the last measurement only, never
while the reader is worked on.
"""
