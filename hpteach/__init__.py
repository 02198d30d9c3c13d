"""State points, charts and exercises of the reversible vapour-compression cycle.

What lives here: the rooms of the library, from the ground up (docs/house.md draws
the whole house).  Importing this package loads none of them; import the room you need:

    errors, tables, units   sentences that refuse, tables that print, quantities with units
    circuit                 which way the refrigerant flows, with no thermodynamics
    fluids                  properties of refrigerants
    cycle                   conditions to state points, heat, work and COP
    diagrams, live, panels  drawing, live pictures, the views that lessons call
    questions               exercises that are dealt, read and checked
    cli                     the command line

What does not: anything that computes or draws.
"""

__version__ = "0.1.0"
