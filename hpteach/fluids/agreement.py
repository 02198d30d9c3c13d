"""Whether the catalogue and the property library mean the same refrigerant.

What lives here: the comparison made when a refrigerant is first used.  What does not:
the form of the catalogue (catalogue), states (library).
"""

from __future__ import annotations

from CoolProp.CoolProp import get_fluid_param_string

from hpteach.errors import DataError
from hpteach.fluids.catalogue import Listing, folded
from hpteach.units import STANDARD_ATMOSPHERE, show

_SHARE = 5e-4
"""Mass fraction by which a listed composition may differ: the designations give three decimals."""

_CRITICAL = 3.0
"""K by which a listed critical temperature may miss the warmest saturated state found."""


def check_fluid(listing: Listing, state) -> None:  # noqa: ANN001
    """Compare the listing with a state of the property library made by `library_name`.

    Raises `DataError` naming the entry, what is listed and what the library holds.

    >>> from CoolProp.CoolProp import AbstractState
    >>> from hpteach.fluids import listing
    >>> check_fluid(listing("R-32"), AbstractState("HEOS", "R134a"))
    Traceback (most recent call last):
    hpteach.errors.DataError: R-32.library_name = 'R32': the property library means R134a by it: correct library_name in the catalogue
    """
    names = state.fluid_names()
    one = len(names) == 1
    if one != (listing.model != "blend"):
        held = "one fluid" if one else "a mixture"
        raise DataError(
            f"{listing.name}.model = {listing.model!r}: the property library holds {listing.library_name!r} as {held}: "
            "correct model or library_name in the catalogue"
        )
    if one:
        if folded(listing.name) not in _called(names[0]):
            raise DataError(
                f"{listing.name}.library_name = {listing.library_name!r}: the property library means {names[0]} by it: "
                "correct library_name in the catalogue"
            )
        if not state.Ttriple() - 0.05 <= listing.lowest_temperature < state.T_critical():
            raise DataError(
                f"{listing.name}.lowest_temperature = {show(listing.lowest_temperature, 'temperature')}: allowed is from the triple point "
                f"({show(state.Ttriple(), 'temperature')}) to below the critical ({show(state.T_critical(), 'temperature')})"
            )
        return
    shares = dict(zip(names, state.get_mass_fractions()))
    for part, share in listing.composition.items():
        held = [value for name, value in shares.items() if folded(part) in _called(name)]
        if len(shares) != len(listing.composition) or not held or abs(held[0] - share) > _SHARE:
            library = ", ".join(f"{name} {value:.3f}" for name, value in shares.items())
            raise DataError(
                f"{listing.name}.composition.{part} = {share:g}: the property library's {listing.library_name!r} is {library} by mass: "
                "correct composition or library_name in the catalogue"
            )


def check_envelope(listing: Listing, coldest: float, warmest: float) -> None:
    """Compare a blend's listed lowest and critical temperature with the ends (K) of its traced envelope.

    Raises `DataError` where the lowest lies outside it, or the critical is more than 3 K from its top.
    """
    if abs(listing.critical_temperature - warmest) > _CRITICAL:
        raise DataError(
            f"{listing.name}.critical.temperature = {show(listing.critical_temperature, 'temperature')}: the equation of state has saturated "
            f"states up to {show(warmest, 'temperature')}: correct the critical point in the catalogue"
        )
    if not coldest <= listing.lowest_temperature < warmest:
        raise DataError(
            f"{listing.name}.lowest_temperature = {show(listing.lowest_temperature, 'temperature')}: allowed is from "
            f"{show(coldest, 'temperature')} to below {show(warmest, 'temperature')}, where saturated states are found"
        )


def check_sublimation(listing: Listing, lowest_pressure: float) -> None:
    """Compare a listed sublimation point with the lowest saturation pressure (Pa).

    Raises `DataError` where it is listed for what boils at 101.325 kPa, or missing for what does not.
    """
    sublimes = lowest_pressure > STANDARD_ATMOSPHERE
    if sublimes != (listing.sublimation_temperature is not None):
        listed = "is missing, but" if sublimes else "is listed, but"
        does = "is a solid or a gas" if sublimes else "can be liquid"
        raise DataError(
            f"{listing.name}.sublimation {listed} at 101.325 kPa {listing.name} {does}: {'add' if sublimes else 'remove'} it in the catalogue"
        )


def _called(name: str) -> set[str]:
    return {folded(one) for one in (name, *get_fluid_param_string(name, "aliases").split(","))}
