"""A simple temporal network: events as variables, what binds them as constraints, conflicts as sets of
claims.

Source: R. Dechter, I. Meiri and J. Pearl, "Temporal constraint networks", Artificial Intelligence 49 (1991).
"""
