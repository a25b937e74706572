"""Draining: how long it takes, what still clings, and whether waiting pays.

Falling head from a vessel of constant plan area: t = 2 A (sqrt h1 - sqrt h2) / (Cd a sqrt(2 g)); a lower
bound, for thick fluid and what stands in the way make it longer. Film on a wall (Jeffreys 1930):
V = 2/3 W L sqrt(nu L / (g t)), so it falls with 1 / sqrt(t), the rate is q = V / (2 t), and what is still
to come from the film is 2 q t, t since the stream broke into drops. Pockets that do not drain are not
in it. Known to about half.

Drop intervals 0.2 to 600 s, times to 24 h, drops 0.01 to 0.2 mL. Raises WrongInput naming the key.
"""

from __future__ import annotations

from uncertainties import nominal_value, ufloat, umath

from assistant.reckoning.figure import Also, Figure, Formula, Verdict, figure_of, told, value_of, verdict_of
from assistant.reckoning.given import checked, exact, plain_quantity, read, refuse
from assistant.units import UNITS, Measure, Quantity, compare, kind_of, pint_unit

FALLING = Formula(
    "t = 2 A (sqrt h1 - sqrt h2) / (Cd a sqrt(2 g))",
    "constant plan area, sharp-edged hole, thin fluid: a lower bound",
    "Torricelli; discharge 0.60 to 0.62 measured (Encyclopaedia Britannica 1911, Hydraulics)",
)
FILM = Formula(
    "V = 2/3 W L sqrt(nu L / (g t))",
    "vertical wetted walls, one temperature, late times",
    "Jeffreys 1930, The draining of a vertical plate (formula from memory, checked against its equation)",
)
DRIP = Formula(
    "still to come = 2 q t, q = drop / interval; after a further wait w the rest is * sqrt(t / (t + w))",
    "film only, interval 0.2 to 600 s, up to 24 h; known to about half",
    "from the film formula; a drop is 0.033 to 0.05 mL (trade pages), 0.05 mL by pharmacopoeia for water",
)
WARM = Formula(
    "what clings warm / cold = sqrt(nu warm / nu cold)",
    "film only, the same time to drain",
    "from the film formula",
)

_G = UNITS.Quantity(9.80665, "metre / second ** 2")
_HALF = ufloat(1.0, 0.5)
DROP = Measure("0.05", "millilitre")
NEXT_WAIT = Measure("10", "minute")


def drip_rate(*, interval: Measure, drop: Measure = DROP) -> Figure:
    """Return the flow of one drop every `interval`, in mL/min, to about half."""
    rate = _rate(interval, drop)
    return figure_of(
        "drip-rate",
        rate * _HALF,
        "millilitre_per_minute",
        inputs=told(interval=interval, drop=drop),
        by=DRIP,
        notes=("half-or-double",),
    )


def _rate(interval: Measure, drop: Measure) -> Quantity:
    """Return drop volume over interval."""
    every = exact("interval", interval, "second", "0.2", "600")
    return exact("drop", drop, "millilitre", "0.01", "0.2") / every


def _film_left(interval: Measure, since_drops: Measure, drop: Measure) -> Quantity:
    """Return 2 q t as a quantity of volume without its doubt."""
    since = exact("since_drops", since_drops, "second", "10", "86400")
    return (2 * _rate(interval, drop) * since).to("millilitre")


def still_to_come(
    *, interval: Measure, since_drops: Measure, drop: Measure = DROP, wait: Measure = NEXT_WAIT
) -> Figure:
    """Return the millilitres still to come from the film, and what a further `wait` would bring of them.

    `since_drops` is the time since the stream broke into drops. `also`: 'next-wait'.
    """
    left = _film_left(interval, since_drops, drop)
    since = exact("since_drops", since_drops, "second", "10", "86400").magnitude
    more = exact("wait", wait, "second", "1", "86400").magnitude
    brings = left * (1 - (since / (since + more)) ** 0.5)
    also: Also = (("next-wait", value_of(brings, "millilitre")),)
    return figure_of(
        "still-to-come",
        left * _HALF,
        "millilitre",
        inputs=told(interval=interval, since_drops=since_drops, drop=drop, wait=wait),
        by=DRIP,
        notes=("film-only", "half-or-double"),
        also=also,
    )


def worth_waiting(
    *,
    interval: Measure,
    since_drops: Measure,
    wait: Measure = NEXT_WAIT,
    worth: Measure | None = None,
    drop: Measure = DROP,
) -> Verdict:
    """Return 'wait' or 'enough': whether a further `wait` brings at least `worth` (10 mL when not given).

    `also`: 'next-wait' what it would bring, 'left' what is still to come in all.
    """
    figure = still_to_come(interval=interval, since_drops=since_drops, drop=drop, wait=wait)
    limit = worth or Measure("10", "millilitre")
    checked("worth", limit, "millilitre", "0", "10000", above=True)
    word = "wait" if compare(figure.part("next-wait"), limit) >= 0 else "enough"
    return verdict_of(
        "worth-waiting",
        word,
        inputs=(*figure.inputs, *told(worth=worth)),
        by=DRIP,
        notes=figure.notes,
        also=(*figure.also, ("left", figure.value)),
    )


def time_to_drain(
    *,
    area: Measure,
    hole: Measure,
    volume: Measure | None = None,
    head: Measure | None = None,
    head_left: Measure | None = None,
    discharge: Measure | None = None,
) -> Figure:
    """Return the least time to drain through `hole` (its diameter, or its area), in seconds.

    Either the `volume` above the hole or the `head` over it; `head_left` where it does not run empty;
    `discharge` 0.3 to 1 (0.60 +- 0.03 when not given).
    """
    plan = exact("area", area, "square_metre", "0", "100", above=True)
    if (volume is None) == (head is None):
        raise refuse("volume", volume, "give either volume or head")
    if head is not None:
        high = exact("head", head, "metre", "0", "20", above=True)
    else:
        assert volume is not None
        high = (exact("volume", volume, "litre", "0", "100000", above=True) / plan).to("metre")
    low = (
        plain_quantity(0.0, "metre")
        if head_left is None
        else exact("head_left", head_left, "metre", "0", "20")
    )
    if low >= high:
        raise refuse("head-left", head_left, f"must be under the head of {high.magnitude:.3g} m")
    cd = ufloat(0.60, 0.03) if discharge is None else _discharge(discharge)
    opening = _opening(hole)
    time = 2 * plan * (high**0.5 - low**0.5) / (cd * opening * (2 * _G) ** 0.5)
    return figure_of(
        "time-to-drain",
        time,
        "second",
        inputs=told(area=area, hole=hole, volume=volume, head=head, head_left=head_left, discharge=discharge),
        by=FALLING,
        notes=("lower-bound",),
    )


def _discharge(discharge: Measure) -> float:
    """Return the discharge coefficient given."""
    return float(checked("discharge", discharge, "one", "0.3", "1").exact)


def _opening(hole: Measure) -> Quantity:
    """Return the area of the hole, from its diameter or as given."""
    if kind_of(hole.unit) == "area":
        return exact("hole", hole, "square_metre", "0", "1", above=True)
    across = exact("hole", hole, "metre", "0", "1", above=True)
    return across**2 * (3.141592653589793 / 4)


def clinging(*, width: Measure, height: Measure, viscosity: Measure, after: Measure) -> Figure:
    """Return the film still on a wetted vertical wall of that width and height, in mL."""
    wide = exact("width", width, "metre", "0", "20", above=True)
    tall = exact("height", height, "metre", "0", "5", above=True)
    nu = read("viscosity", viscosity, "centistokes", "1", "5000")
    time = exact("after", after, "second", "10", "86400")
    thick = (nu * tall / (_G * time)).m_as("metre ** 2")
    film = UNITS.Quantity(umath.sqrt(thick), pint_unit("metre"))
    return figure_of(
        "clinging",
        (wide * tall * film * (2 / 3)).to("millilitre"),
        "millilitre",
        inputs=told(width=width, height=height, viscosity=viscosity, after=after),
        by=FILM,
        notes=("film-only",),
    )


def warm_against_cold(*, warm: Measure, cold: Measure) -> Figure:
    """Return how many times more clings cold than warm, from the two viscosities."""
    thin = read("warm", warm, "centistokes", "1", "5000")
    thick = read("cold", cold, "centistokes", "1", "100000")
    if nominal_value(thick.magnitude) < nominal_value(thin.magnitude):
        raise refuse("cold", cold, f"must be at least warm={warm}: oil is thicker cold")
    ratio = umath.sqrt((thick / thin).m_as("dimensionless"))
    return figure_of(
        "warm-against-cold",
        UNITS.Quantity(ratio, pint_unit("one")),
        "one",
        inputs=told(warm=warm, cold=cold),
        by=WARM,
        notes=("film-only",),
    )
