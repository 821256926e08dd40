"""The mass of an article or group, and where it comes from."""

from triplog.securement.finding import Basis
from triplog.securement.model import MassBasis

# A mass given without a basis was still given by somebody.
MASS_BASIS: dict[MassBasis | None, Basis] = {
    MassBasis.WEIGHED: Basis.MEASURED,
    MassBasis.STATED: Basis.STATED,
    MassBasis.ESTIMATED: Basis.ESTIMATED,
    None: Basis.STATED,
}
