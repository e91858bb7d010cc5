"""The design: the whole system in one frozen document, from site to breaker in hand.

Every record has a stable id; paths name ids, never list positions (``arrays.south.strings``). A field that
was not entered is ``None``. Units are canonical; a quantity keeps its text as typed (``units.Quantity``).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache

from engine.fields import (
    Record,
    coefficient,
    count,
    flag,
    points,
    quantities,
    quantity,
    ref,
    size,
    text,
    word,
)
from engine.sizes import Size
from engine.units import Coefficient, Quantity

FORMAT = 1
FAMILIES = ("nec-2017", "nec-2020", "nec-2023", "iec")
COMMON = "common practice"
INCHES = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4", "5", "6")
OUTSIDE = ("16", "20", "25", "32", "40", "50", "63")

Points = tuple[tuple[Quantity, Quantity], ...]


@dataclass(frozen=True, kw_only=True)
class About(Record):
    """The head of the file: what the design is called and how it is read."""

    name: str | None = text("Name")
    story: str | None = text("Story", help="What this place is and what the system must do.", long=True)
    invented: bool | None = flag("Invented example", help="Yes for a demo or an exercise.")
    rules: str | None = word(
        "Rule family",
        *FAMILIES,
        default="nec-2023",
        why="the family for new sites",
        help="The code that the wiring is judged by. The authority having jurisdiction decides.",
    )
    units: str | None = word("Units shown", "us", "metric", default="metric", why="habit")


@dataclass(frozen=True, kw_only=True)
class Site(Record):
    """The place and its climate."""

    latitude: Quantity | None = quantity("deg", "Latitude", low=-90, high=90)
    longitude: Quantity | None = quantity("deg", "Longitude", low=-180, high=180)
    elevation: Quantity | None = quantity("m", "Elevation", low=-430, high=6000)
    design_low: Quantity | None = quantity(
        "degC",
        "Design low",
        low=-70,
        high=40,
        help="Mean of the yearly lowest air temperatures: decides the voltage class.",
    )
    design_low_from: str | None = text("Design low from")
    record_low: Quantity | None = quantity(
        "degC",
        "Record low",
        low=-80,
        high=40,
        help="The 50-year lowest air temperature: decides whether a controller survives.",
    )
    record_low_from: str | None = text("Record low from")
    design_high: Quantity | None = quantity(
        "degC", "Design high", low=-10, high=60, help="Mean of the yearly highest air temperatures."
    )
    design_high_from: str | None = text("Design high from")
    weather_file: str | None = text("Weather file", advanced=True)
    sun: tuple[Quantity, ...] | None = quantities(
        "Wh/m^2",
        "Sun by month, a day on level ground",
        length=12,
        low=0,
        high=15000,
        help="Mean daily sunshine on level ground, January to December. Where none is entered, the balance "
        "takes a coarse default for latitude and longitude, on land.",
        advanced=True,
    )
    sun_from: str | None = text("Sun by month from", advanced=True)
    air_temperature: tuple[Quantity, ...] | None = quantities(
        "degC", "Air by month", length=12, low=-70, high=60, advanced=True
    )
    air_temperature_from: str | None = text("Air by month from", advanced=True)
    wind_speed: Quantity | None = quantity("m/s", "Mean wind speed", low=0, high=30, advanced=True)
    wind_height: Quantity | None = quantity(
        "m", "Wind measured at", above=0, high=300, default=10.0, why=COMMON, advanced=True
    )
    wind_months: tuple[Quantity, ...] | None = quantities(
        "m/s", "Wind by month", length=12, low=0, high=40, advanced=True
    )
    wind_from: str | None = text("Wind from", advanced=True)
    wind_shape: Quantity | None = quantity(
        "1", "Weibull shape", low=1, high=5, default=2.0, why=COMMON, advanced=True
    )
    shear_exponent: Quantity | None = quantity(
        "1",
        "Shear exponent",
        low=0,
        high=0.6,
        default=0.2,
        why="farmland; over water and bare ground 0.1, and less wind at a high hub",
        advanced=True,
    )
    gust: Quantity | None = quantity(
        "m/s",
        "Strongest gust in 50 years",
        above=0,
        high=120,
        help="Of three seconds, 10 m over open ground, as the wind maps of building codes give it.",
        advanced=True,
    )
    lightning: Quantity | None = quantity(
        "1", "Ground flashes, per km² and year", low=0, high=100, advanced=True
    )
    building: str | None = word(
        "Building that is served",
        "dwelling",
        "other building",
        default="dwelling",
        why="the stricter answer",
        help="A dwelling for one or two families, or any other building: bounds the sources' voltage.",
        advanced=True,
    )
    electrode: str | None = word(
        "Earth electrode",
        "rod",
        "concrete-encased",
        "water-pipe",
        "plate",
        "ring",
        "none",
        help="What the system is earthed by.",
        advanced=True,
    )
    electrode_conductor: Size | None = size(
        "Electrode conductor, if it is fixed", help="From the system to its earth electrode.", advanced=True
    )
    electrodes_joined: bool | None = flag(
        "All earth electrodes joined",
        help="Those of the house, the array, the turbine's tower or house and the generator, by a conductor.",
        advanced=True,
    )


@dataclass(frozen=True, kw_only=True)
class Load(Record):
    """One row of the load table."""

    id: str
    label: str | None = text("Name")
    power: Quantity | None = quantity("W", "Power", low=0, high=1e6, help="Of one piece, running.")
    current: Quantity | None = quantity(
        "A", "or current", above=0, high=2000, help="Of one piece of a dc load, in place of its power."
    )
    kind: str | None = word("Supply", "ac", "dc", default="ac", why=COMMON)
    number: int | None = count("Number", default=1, why="one piece")
    hours: Quantity | None = quantity(
        "h",
        "Hours or energy a day",
        low=0,
        high=24,
        help="On a day when it is used. An energy a day, such as 0.9 kWh, is turned into hours by the power.",
    )
    starts: Quantity | None = quantity(
        "h",
        "Starts at",
        low=0,
        high=24,
        help="Hour of the day, 0 to 24. Where none is entered, its hours are spread over day and night.",
    )
    days_a_week: Quantity | None = quantity("1", "Days a week", low=0, high=7, default=7.0, why=COMMON)
    months: tuple[Quantity, ...] | None = quantities(
        "1", "Share by month", length=12, low=0, high=1, help="0 for a month without it, 1 for a whole one."
    )
    surge_factor: Quantity | None = quantity(
        "1",
        "Starting power or factor",
        low=1,
        high=20,
        default=1.0,
        why=COMMON,
        help="Starting power over running power; a power, such as 2.6 kW, is turned into the factor.",
    )
    standby: Quantity | None = quantity(
        "W",
        "Standby",
        low=0,
        high=1e5,
        default=0.0,
        why="none entered",
        help="Of one piece, in all hours in which it does not run.",
    )
    together: bool | None = flag(
        "May run with others",
        default=True,
        why="the safe side",
        help="No: of all loads of which this is said, one runs at a time.",
    )
    critical: bool | None = flag("Critical", default=False, why="none entered")
    lowest_voltage: Quantity | None = quantity(
        "V", "Lowest supply voltage", above=0, high=1000, help="Of a dc load: it stops below.", advanced=True
    )
    highest_voltage: Quantity | None = quantity(
        "V",
        "Highest supply voltage",
        above=0,
        high=1500,
        help="Of a dc load: the most that it stands, by the maker.",
        advanced=True,
    )


@dataclass(frozen=True, kw_only=True)
class Module(Record):
    """The data sheet of a PV module, at standard test conditions. The maker's sheet decides."""

    id: str
    label: str | None = text("Name")
    voc: Quantity | None = quantity("V", "Open circuit", above=0, high=500)
    isc: Quantity | None = quantity("A", "Short circuit", above=0, high=100)
    vmp: Quantity | None = quantity("V", "Voltage at maximum power", above=0, high=500)
    imp: Quantity | None = quantity("A", "Current at maximum power", above=0, high=100)
    beta_voc: Coefficient | None = coefficient("V/K", "Open-circuit voltage coefficient", high=0)
    alpha_isc: Coefficient | None = coefficient("A/K", "Short-circuit current coefficient")
    gamma_pmp: Coefficient | None = coefficient("W/K", "Power coefficient", high=0)
    beta_vmp: Coefficient | None = coefficient(
        "V/K",
        "Maximum-power voltage coefficient",
        high=0,
        help="Seldom printed; derived from the power coefficient when absent.",
        advanced=True,
    )
    series_fuse: Quantity | None = quantity("A", "Largest series fuse", above=0, high=100)
    system_voltage: Quantity | None = quantity("V", "Largest system voltage", above=0, high=2000)
    cells: int | None = count("Cells in series", high=400, advanced=True)
    noct: Quantity | None = quantity(
        "degC", "Nominal operating cell temperature", low=30, high=80, advanced=True
    )
    silicon: bool | None = flag(
        "Crystalline silicon",
        help="The code's voltage table holds only for crystalline silicon.",
        advanced=True,
    )
    data_from: str | None = text("Data from", advanced=True)


@dataclass(frozen=True, kw_only=True)
class Array(Record):
    """A PV array: equal strings of one module on one controller."""

    id: str
    label: str | None = text("Name")
    module: str | None = ref("modules", "Module")
    modules: int | None = count("Modules in a string", high=60)
    strings: int | None = count("Strings", high=200)
    controller: str | None = ref("controllers", "Controller")
    tilt: Quantity | None = quantity("deg", "Tilt", low=0, high=90)
    azimuth: Quantity | None = quantity(
        "deg", "Azimuth", low=-180, high=360, help="Compass bearing of the face: 180 is south."
    )
    mounting: str | None = word(
        "Mounting",
        "open rack",
        "roof rack",
        "close roof",
        "insulated",
        default="close roof",
        why="the hotter of the usual mountings",
        help="Sets how much hotter than the air the cells run.",
    )
    on_building: bool | None = flag("On a building")
    structure: str | None = word(
        "Kind of building",
        "enclosed building",
        "open detached structure",
        default="enclosed building",
        why="the stricter answer",
        help="Where it stands on one: an open detached structure is a carport, a trellis, a shade roof.",
        advanced=True,
    )
    enters: str | None = word(
        "Its conductors enter",
        "no building",
        "equipment building",
        "occupied building",
        default="occupied building",
        why="the stricter answer",
        help="An equipment building holds the system's own equipment and nothing else.",
        advanced=True,
    )
    arc_fault: bool | None = flag("DC arc-fault protection", help="In its controller or beside it.")
    ground_fault: str | None = word(
        "DC ground-fault protection",
        "none",
        "fuse in the bond",
        "monitor that interrupts",
        help="A fuse in the earth bond misses small faults on the earthed pole; a monitor finds them.",
    )
    rapid_shutdown: str | None = word(
        "Rapid shutdown",
        "none",
        "outside the array",
        "outside and inside the array",
        help="How far one action takes the voltage off the array's conductors.",
    )
    current_gain: Quantity | None = quantity(
        "%",
        "Extra current",
        low=0,
        high=1,
        default=0.0,
        why="one-faced modules",
        help="Bifacial, snow or water before the array: raises every current.",
        advanced=True,
    )
    losses: Quantity | None = quantity(
        "%",
        "Dirt, shade, mismatch",
        low=0,
        high=0.9,
        default=0.1,
        why=COMMON,
        help="All year. Heat, wiring, the controller and charging are reckoned by themselves.",
        advanced=True,
    )
    snow: tuple[Quantity, ...] | None = quantities(
        "1",
        "Lost to snow, by month",
        length=12,
        low=0,
        high=1,
        help="0 for a month without snow on the modules, 1 for one under it; on top of the other losses.",
        advanced=True,
    )


@dataclass(frozen=True, kw_only=True)
class Controller(Record):
    """A charge controller between one kind of source and the battery."""

    id: str
    label: str | None = text("Name")
    kind: str | None = word("Kind", "tracking", "direct", "diversion", default="tracking", why=COMMON)
    standoff_limit: Quantity | None = quantity(
        "V",
        "Standoff limit",
        above=0,
        high=2000,
        help="The source voltage it survives without operating; above it, it is destroyed.",
    )
    standoff_above_battery: Quantity | None = quantity(
        "V",
        "Standoff limit above battery",
        above=0,
        high=2000,
        help="Where the maker gives the limit as battery voltage plus a figure.",
        advanced=True,
    )
    operating_limit: Quantity | None = quantity(
        "V", "Operating limit", above=0, high=2000, help="Above it the controller stops and waits."
    )
    start_above_battery: Quantity | None = quantity(
        "V",
        "Starts above battery by",
        low=0,
        high=200,
        help="How far the source must stand above the battery to start.",
    )
    start_voltage: Quantity | None = quantity(
        "V", "Starts at", low=0, high=2000, help="A fixed start voltage, where the maker gives one."
    )
    current_limit: Quantity | None = quantity("A", "Output current limit", above=0, high=2000)
    current_points: Points | None = points(
        "V",
        "A",
        "Output limit by spread",
        help="Source voltage less battery voltage, against the output current limit there.",
        advanced=True,
    )
    input_current_limit: Quantity | None = quantity(
        "A", "Input current limit", above=0, high=2000, advanced=True
    )
    short_circuit_limit: Quantity | None = quantity(
        "A",
        "Source short-circuit limit",
        above=0,
        high=2000,
        help="The largest source short-circuit current at its terminals.",
        advanced=True,
    )
    efficiency_points: Points | None = points(
        "1",
        "%",
        "Efficiency by voltage ratio",
        help="Source voltage over battery voltage, against efficiency.",
        advanced=True,
    )
    back_feed: Quantity | None = quantity(
        "A",
        "Back-feed into a source fault",
        low=0,
        high=10000,
        help="The current it can pass from the battery into a fault on the source side; 0 where the maker "
        "says none.",
    )
    terminal: Quantity | None = quantity("degC", "Terminal temperature", low=50, high=110, advanced=True)
    largest_wire: Size | None = size("Largest wire its terminals take", advanced=True)
    standby: Quantity | None = quantity("W", "Own draw", low=0, high=100, advanced=True)
    battery_limit: Quantity | None = quantity(
        "V",
        "Highest battery voltage",
        above=0,
        high=1500,
        help="The most that its battery terminals stand, by the maker.",
        advanced=True,
    )
    sensor: str | None = word(
        "Temperature sensor",
        "on the battery",
        "in the controller",
        "none",
        help="Where it reads the temperature that its set points follow.",
        advanced=True,
    )
    absorption: Quantity | None = quantity(
        "V", "Absorption, as it is set", above=0, high=1500, help="Of the bank, at 25 °C.", advanced=True
    )
    float_voltage: Quantity | None = quantity(
        "V", "Float, as it is set", above=0, high=1500, help="Of the bank, at 25 °C.", advanced=True
    )
    equalize: Quantity | None = quantity(
        "V", "Equalize, as it is set", above=0, high=1500, help="Of the bank, at 25 °C.", advanced=True
    )
    leads: bool | None = flag(
        "Leads the other chargers",
        help="It alone decides on the stage, and the others follow.",
        advanced=True,
    )
    network: bool | None = flag(
        "Joined to the other chargers by data", help="They share stage and temperature.", advanced=True
    )
    nominal_choice: str | None = word(
        "Battery voltage is",
        "set by hand",
        "found by itself",
        help="At start it may find the nominal voltage by itself, and take a low bank for a smaller one.",
        advanced=True,
    )


@dataclass(frozen=True, kw_only=True)
class WindTurbine(Record):
    """A wind turbine with its rotor, alternator, limiter and brake."""

    id: str
    label: str | None = text("Name")
    controller: str | None = ref("controllers", "Controller")
    diameter: Quantity | None = quantity("m", "Rotor diameter", above=0, high=40)
    hub_height: Quantity | None = quantity("m", "Hub height", above=0, high=150)
    obstacle_height: Quantity | None = quantity(
        "m",
        "Highest thing near it",
        low=0,
        high=200,
        help="Trees and roofs, from the tower's foot; 0 for none.",
    )
    obstacle_distance: Quantity | None = quantity("m", "how far away", low=0, high=5000)
    turbulence: Quantity | None = quantity(
        "%",
        "Turbulence intensity at 15 m/s",
        low=0,
        high=1,
        help="Standard deviation over mean of ten minutes, where it was measured at the hub.",
        advanced=True,
    )
    wind_class: str | None = word(
        "Class that it is made for",
        "I",
        "II",
        "III",
        "IV",
        "S",
        help="Of IEC 61400-2, by its maker; S: the maker's own.",
    )
    survival_wind: Quantity | None = quantity(
        "m/s", "Gust that it stands", above=0, high=120, help="Three seconds, by its maker.", advanced=True
    )
    best_cp: Quantity | None = quantity("1", "Best power coefficient", above=0, high=0.593)
    best_ratio: Quantity | None = quantity("1", "Tip speed ratio there", above=0, high=15)
    cp_points: Points | None = points("1", "1", "Power coefficient by tip speed ratio", advanced=True)
    power_points: Points | None = points("m/s", "W", "Power by wind speed", advanced=True)
    drivetrain: Quantity | None = quantity(
        "%", "Drivetrain efficiency", above=0, high=1, default=0.95, why=COMMON, advanced=True
    )
    rated_power: Quantity | None = quantity("W", "Rated power", above=0, high=1e6)
    rated_wind: Quantity | None = quantity("m/s", "at wind speed", above=0, high=40)
    furling_wind: Quantity | None = quantity("m/s", "Furling begins at", above=0, high=60)
    furling_rest: Quantity | None = quantity("%", "Power left when furled", low=0, high=1, advanced=True)
    volts_per_speed: Quantity | None = quantity("V/rpm", "Open-circuit volts per speed", above=0, high=100)
    resistance: Quantity | None = quantity("ohm", "Alternator resistance, dc side", above=0, high=1000)
    rated_current: Quantity | None = quantity("A", "Rated current", above=0, high=2000)
    iron_loss: Quantity | None = quantity("W", "Iron and friction loss", low=0, high=1e5, advanced=True)
    largest_speed: Quantity | None = quantity("rpm", "Largest rotor speed", above=0, high=10000)
    runaway_speed: Quantity | None = quantity("rpm", "Runaway speed", above=0, high=10000)
    open_voltage: Quantity | None = quantity(
        "V", "Highest open-circuit voltage", above=0, high=5000, help="Brake off, strongest gust."
    )
    brake: str | None = word("Brake", "short circuit", "mechanical", "furling", "none")
    short_current: Quantity | None = quantity(
        "A",
        "Short-circuit current, dc side",
        above=0,
        high=10000,
        help="With its wires shorted, at its fastest: bounds how hard that brakes.",
        advanced=True,
    )
    rectifier_voltage: Quantity | None = quantity(
        "V", "Rectifier's voltage rating", above=0, high=10000, help="Peak reverse voltage.", advanced=True
    )
    speed_cap: Quantity | None = quantity(
        "rpm", "Keep the rotor under", above=0, high=10000, help="For noise or strength.", advanced=True
    )
    load_points: Points | None = points(
        "V",
        "W",
        "Load curve of its controller",
        help="The power that the controller asks for at each voltage; empty: the computed curve.",
        advanced=True,
    )
    limiter_on: Quantity | None = quantity("V", "Limiter begins at", above=0, high=5000, advanced=True)
    limiter_off: Quantity | None = quantity("V", "Limiter lets go at", above=0, high=5000, advanced=True)
    limiter_resistance: Quantity | None = quantity(
        "ohm", "Limiter resistance", above=0, high=1000, advanced=True
    )
    limiter_power: Quantity | None = quantity("W", "Limiter power", above=0, high=1e6, advanced=True)


@dataclass(frozen=True, kw_only=True)
class HydroTurbine(Record):
    """A hydro turbine with its penstock, wheel and alternator."""

    id: str
    label: str | None = text("Name")
    controller: str | None = ref("controllers", "Controller")
    gross_head: Quantity | None = quantity(
        "m",
        "Gross head",
        above=0,
        high=2000,
        help="From the water at the intake to the nozzle of an impulse wheel, else to the tailwater.",
    )
    below_nozzle: Quantity | None = quantity(
        "m",
        "Of it, below the nozzle",
        low=0,
        high=100,
        default=0.0,
        why="none entered",
        help="Where the gross head was measured to the tailwater: a free jet gets nothing from this part.",
        advanced=True,
    )
    flow: Quantity | None = quantity(
        "m^3/s", "Flow", low=0, high=10, help="Through the turbine, at full work."
    )
    flow_months: tuple[Quantity, ...] | None = quantities(
        "m^3/s",
        "Flow of the stream by month",
        length=12,
        low=0,
        high=1000,
        help="At the intake, before anything is taken, January to December.",
        advanced=True,
    )
    residual_flow: Quantity | None = quantity(
        "m^3/s", "Left in the stream", low=0, high=1000, help="What must stay in it; 0 where nothing must."
    )
    pipe_length: Quantity | None = quantity("m", "Penstock length", above=0, high=20000)
    pipe_diameter: Quantity | None = quantity("mm", "Penstock inside diameter", above=0, high=2000)
    pipe_material: str | None = text("Penstock material")
    pipe_roughness: Quantity | None = quantity("mm", "Penstock roughness", low=0, high=20, advanced=True)
    pipe_wall: Quantity | None = quantity("mm", "Penstock wall", above=0, high=200, advanced=True)
    pipe_pressure: Quantity | None = quantity(
        "Pa", "Penstock pressure class", above=0, high=1e8, advanced=True
    )
    fittings: Quantity | None = quantity("1", "Sum of fitting losses, K", low=0, high=1000, advanced=True)
    closure_time: Quantity | None = quantity(
        "s",
        "Valve closes in",
        low=0,
        high=3600,
        help="The last part counts: most of the flow stops in it. Without it a sudden stop is reckoned.",
        advanced=True,
    )
    air_vent: bool | None = flag(
        "Air vent below the intake valve",
        help="Lets air in behind the water when the intake is shut or blocked.",
        advanced=True,
    )
    intake_deep: bool | None = flag(
        "Intake stays free of ice",
        help="Its screen lies deep under the ice, or the water never freezes.",
        advanced=True,
    )
    turbine: str | None = word("Turbine", "pelton", "turgo", "crossflow", "francis", "kaplan")
    nozzles: int | None = count("Nozzles", high=8)
    nozzle_diameter: Quantity | None = quantity("mm", "Nozzle diameter", above=0, high=500)
    nozzle_coefficient: Quantity | None = quantity(
        "1", "Nozzle coefficient", above=0, high=1, default=0.98, why=COMMON, advanced=True
    )
    wheel_diameter: Quantity | None = quantity("mm", "Wheel pitch diameter", above=0, high=5000)
    efficiency: Quantity | None = quantity(
        "%",
        "Wheel and drive efficiency",
        above=0,
        high=1,
        help="From the jet to the alternator's shaft, at best; the nozzle's loss is in its coefficient.",
    )
    rated_power: Quantity | None = quantity("W", "Rated power", above=0, high=1e6)
    rated_speed: Quantity | None = quantity("rpm", "Rated speed", above=0, high=10000)
    largest_speed: Quantity | None = quantity(
        "rpm",
        "Largest speed",
        above=0,
        high=40000,
        help="What wheel and alternator are made to stand, by their makers.",
    )
    runaway_factor: Quantity | None = quantity("1", "Runaway over rated speed", low=1, high=4)
    volts_per_speed: Quantity | None = quantity("V/rpm", "Open-circuit volts per speed", above=0, high=100)
    resistance: Quantity | None = quantity("ohm", "Alternator resistance, dc side", above=0, high=1000)
    rated_current: Quantity | None = quantity("A", "Rated current", above=0, high=2000)
    iron_loss: Quantity | None = quantity(
        "W",
        "Iron and friction loss",
        low=0,
        high=1e5,
        default=0.0,
        why="in the drive's efficiency",
        help="Of the alternator at the rated speed, where the drive's efficiency leaves it out.",
        advanced=True,
    )
    open_voltage: Quantity | None = quantity("V", "Highest open-circuit voltage", above=0, high=5000)
    limiter_on: Quantity | None = quantity("V", "Limiter begins at", above=0, high=5000, advanced=True)
    limiter_off: Quantity | None = quantity("V", "Limiter lets go at", above=0, high=5000, advanced=True)
    limiter_resistance: Quantity | None = quantity(
        "ohm", "Limiter resistance", above=0, high=1000, advanced=True
    )
    limiter_power: Quantity | None = quantity("W", "Limiter power", above=0, high=1e6, advanced=True)


@dataclass(frozen=True, kw_only=True)
class Bank(Record):
    """The one battery bank that every source charges."""

    label: str | None = text("Name")
    chemistry: str | None = word("Chemistry", "flooded", "agm", "gel", "lithium iron phosphate")
    voltage: Quantity | None = quantity("V", "Nominal voltage", above=0, high=1000)
    lowest_voltage: Quantity | None = quantity(
        "V", "Lowest voltage", above=0, high=1000, help="Where loads or the bank's own protection cut off."
    )
    highest_voltage: Quantity | None = quantity(
        "V",
        "Highest charging voltage",
        above=0,
        high=1500,
        help="The highest a charger drives it to: equalizing, at the coldest compensation.",
    )
    block_voltage: Quantity | None = quantity("V", "Block voltage", above=0, high=1000)
    block_capacity: Quantity | None = quantity("Ah", "Block capacity", above=0, high=20000)
    block_resistance: Quantity | None = quantity(
        "ohm", "Block resistance, new and warm", above=0, high=1, advanced=True
    )
    block_resistance_aged: Quantity | None = quantity(
        "ohm", "Block resistance, aged and cold", above=0, high=1, advanced=True
    )
    series: int | None = count("Blocks in series", high=500)
    strings: int | None = count("Battery strings", high=50)
    cells: int | None = count("Cells in series", high=500, help="2 V lead-acid, 3.2 V lithium.")
    system_earthing: str | None = word(
        "Battery pole that is earthed",
        "negative",
        "positive",
        "none",
        help="Decides how many poles a device must open: one beside an earthed pole, else both.",
    )
    string_device: str | None = word(
        "Overcurrent device",
        "each string",
        "one for all",
        "none",
        default="each string",
        why="a fault in one string is fed by all the others",
        help="Where the overcurrent device nearest to the blocks stands.",
        advanced=True,
    )
    covered: bool | None = flag(
        "Live parts covered", help="Terminals and bus bars that nobody touches by chance.", advanced=True
    )
    place: str | None = text("Place", advanced=True)
    lowest_temperature: Quantity | None = quantity(
        "degC", "Lowest bank temperature", low=-60, high=60, advanced=True
    )
    highest_temperature: Quantity | None = quantity(
        "degC", "Highest bank temperature", low=-60, high=70, advanced=True
    )
    autonomy: Quantity | None = quantity("h", "Autonomy", above=0, high=2000, example="3 d", advanced=True)
    depth: Quantity | None = quantity("%", "Allowed depth of discharge", above=0, high=1, advanced=True)
    growth: Quantity | None = quantity(
        "%",
        "Allowance for growth of the loads",
        low=0,
        high=5,
        help="What people will add before the bank is replaced; counted with every load.",
        advanced=True,
    )
    absorption: Quantity | None = quantity("V", "Absorption, a cell", above=0, high=5, advanced=True)
    float_voltage: Quantity | None = quantity("V", "Float, a cell", above=0, high=5, advanced=True)
    equalize: Quantity | None = quantity("V", "Equalize, a cell", above=0, high=5, advanced=True)
    compensation: Quantity | None = quantity(
        "V/K", "Temperature compensation, a cell", low=-0.01, high=0, advanced=True
    )
    clamp_low: Quantity | None = quantity("V", "Compensation clamp, low", above=0, high=5, advanced=True)
    clamp_high: Quantity | None = quantity("V", "Compensation clamp, high", above=0, high=5, advanced=True)
    charge_current: Quantity | None = quantity(
        "A", "Largest charge current", above=0, high=10000, advanced=True
    )
    discharge_current: Quantity | None = quantity(
        "A", "Largest discharge current", above=0, high=10000, advanced=True
    )
    discharge_surge: Quantity | None = quantity(
        "A",
        "Largest discharge for seconds",
        above=0,
        high=50000,
        help="Of a lithium bank: beyond it its own protection opens while a motor starts.",
        advanced=True,
    )
    equalize_days: int | None = count("Equalize every, days", high=400, advanced=True)
    equalize_grace: int | None = count("Equalize grace days", low=0, high=60, advanced=True)
    equalize_hours: Quantity | None = quantity("h", "Equalize for", low=0, high=48, advanced=True)
    absorption_time: Quantity | None = quantity(
        "h",
        "Absorption ends after",
        above=0,
        high=24,
        help="Or at the end current, if that comes first.",
        advanced=True,
    )
    end_current: Quantity | None = quantity(
        "A",
        "End current",
        above=0,
        high=1000,
        help="Absorption ends when the bank takes no more than this.",
        advanced=True,
    )
    shunt: str | None = word(
        "Shunt that measures the bank's current",
        "at the bank",
        "at one charger",
        "none",
        help="At the bank: in its one lead, so that everything that goes in or out passes it.",
        advanced=True,
    )
    own_protection: bool | None = flag("Bank's own protection can open", advanced=True)
    cutout_signal: str | None = word(
        "Before its own protection opens",
        "it stops the chargers",
        "nothing",
        help="A charger at full current whose battery is gone drives the bus up, and what hangs on it.",
        advanced=True,
    )
    capacity_hours: Quantity | None = quantity(
        "h",
        "Capacity is rated over",
        low=1,
        high=240,
        help="The hours of discharge that the maker quotes the block capacity for: 20 h, 100 h.",
        advanced=True,
    )
    peukert: Quantity | None = quantity(
        "1",
        "Peukert exponent",
        low=1,
        high=2,
        help="How much a fast discharge takes from the capacity; where nothing is entered, by chemistry.",
        advanced=True,
    )
    end_of_life: Quantity | None = quantity(
        "%",
        "Capacity left at end of life",
        low=0.3,
        high=1,
        default=0.8,
        why=COMMON,
        help="The bank is sized to carry its autonomy until no more than this is left.",
        advanced=True,
    )
    charge_efficiency: Quantity | None = quantity(
        "%",
        "Charge efficiency, Ah",
        above=0,
        high=1,
        help="Ampere-hours out over ampere-hours in; where nothing is entered, by chemistry.",
        advanced=True,
    )
    energy_efficiency: Quantity | None = quantity(
        "%",
        "Energy efficiency, Wh",
        above=0,
        high=1,
        help="Watt-hours out over watt-hours in, always less; where nothing is entered, by chemistry.",
        advanced=True,
    )
    cold_charge: str | None = word(
        "Charging in the cold",
        "not blocked",
        "blocked",
        "heated",
        help="What keeps lithium cells from being charged below their lowest charging temperature.",
        advanced=True,
    )
    beside: str | None = word(
        "Another battery on the same bus",
        "none",
        "same kind, other age or size",
        "other chemistry",
        default="none",
        why="one bank is drawn",
        advanced=True,
    )
    takeoff: str | None = word(
        "Leads of parallel strings",
        "opposite ends",
        "a bus with equal leads",
        "one end",
        help="Where + and - leave a group of parallel strings.",
        advanced=True,
    )
    cut_off: str | None = word(
        "What cuts loads off when it is low",
        "each load itself",
        "a relay or contactor",
        "the controller's load output",
        "nothing",
        help="For what runs on dc; inverters have a cut-out of their own.",
        advanced=True,
    )
    cut_off_feeds: str | None = word(
        "It feeds", "dc loads", "dc loads and inverters", default="dc loads", why=COMMON, advanced=True
    )
    cut_off_current: Quantity | None = quantity(
        "A",
        "Its rated current",
        above=0,
        high=5000,
        help="Of the relay, contactor or load output, at the battery's voltage.",
        advanced=True,
    )
    overcharge_stop: bool | None = flag(
        "A second stop of overcharging",
        help="Independent of the charger: it opens or stops it when the charger's own control fails.",
        advanced=True,
    )
    ventilation: str | None = word(
        "Ventilation",
        "natural openings",
        "fan",
        "none",
        help="How the gas of charging leaves the room or box that the battery stands in.",
        advanced=True,
    )
    vent_opening: Quantity | None = quantity(
        "cm^2",
        "Free area of each opening",
        low=0,
        high=1e6,
        help="One low for the air in, one high for the air out, free of grilles.",
        advanced=True,
    )
    vent_airflow: Quantity | None = quantity(
        "m^3/h", "Airflow of its fan", low=0, high=1e5, help="Through its duct and grille.", advanced=True
    )
    vent_proven: bool | None = flag(
        "Charging waits for the fan",
        help="Absorption and equalizing stop when its airflow is not proven.",
        advanced=True,
    )
    room_volume: Quantity | None = quantity(
        "m^3", "Free volume of the room or box", above=0, high=10000, advanced=True
    )
    spark_distance: Quantity | None = quantity(
        "m",
        "Nearest spark or flame",
        low=0,
        high=1000,
        help="From a cell's vent to the nearest switch, fuse, relay, charger, inverter or flame.",
        advanced=True,
    )
    devices_inside: bool | None = flag(
        "Fuse, breaker or switch inside its box",
        help="In the gas of the cells, where it can open with an arc.",
        advanced=True,
    )
    block_mass: Quantity | None = quantity("kg", "Mass of a block", above=0, high=5000, advanced=True)
    block_length: Quantity | None = quantity("mm", "Length of a block", above=0, high=5000, advanced=True)
    block_width: Quantity | None = quantity("mm", "Width of a block", above=0, high=5000, advanced=True)
    tiers: int | None = count("Tiers of the rack", high=10, default=1, why="on the floor", advanced=True)
    floor_limit: Quantity | None = quantity(
        "Pa",
        "Load that the floor takes",
        above=0,
        high=1e6,
        help="A common dwelling floor: 2 kPa.",
        advanced=True,
    )
    block_price: Quantity | None = quantity("money", "Price of a block", low=0, high=1e6, advanced=True)


@dataclass(frozen=True, kw_only=True)
class Inverter(Record):
    """An inverter from the battery to ac loads."""

    id: str
    label: str | None = text("Name")
    power: Quantity | None = quantity("W", "Power", above=0, high=1e6)
    surge: Quantity | None = quantity("W", "Surge power", above=0, high=1e6)
    surge_time: Quantity | None = quantity(
        "s",
        "Surge lasts",
        above=0,
        high=3600,
        default=30.0,
        why="the long end of usual ones",
        help="How long it gives its surge power: the device on its battery cable must ride through.",
        advanced=True,
    )
    efficiency: Quantity | None = quantity("%", "Efficiency at full power", above=0, high=1)
    efficiency_points: Points | None = points("%", "%", "Efficiency by load share", advanced=True)
    idle: Quantity | None = quantity("W", "Idle draw", low=0, high=1000)
    lowest_voltage: Quantity | None = quantity("V", "Cuts out below", above=0, high=1000)
    highest_voltage: Quantity | None = quantity("V", "Cuts out above", above=0, high=1500)
    ac_voltage: Quantity | None = quantity("V", "AC voltage", above=0, high=1000)
    phases: int | None = count("AC phases", high=3, default=1, why=COMMON)
    fault_current: Quantity | None = quantity(
        "A", "Largest AC fault current", above=0, high=10000, advanced=True
    )
    neutral_bond: str | None = word(
        "Neutral bond",
        "in inverter",
        "in panel",
        "switched",
        "none",
        help="Where neutral meets earth; switched: bonded only while it inverts.",
        advanced=True,
    )
    residual_device: str | None = word(
        "Residual-current device",
        "type AC",
        "type A",
        "type F",
        "type B",
        "class A",
        "none",
        help="On its output; class A is the ground-fault protection for people under NEC.",
        advanced=True,
    )
    multiwire: bool | None = flag(
        "Feeds circuits that share a neutral",
        help="Multiwire branch circuits: two line conductors, one neutral.",
        advanced=True,
    )
    isolated: bool | None = flag(
        "AC output isolated from the battery", help="By a transformer.", advanced=True
    )
    terminal: Quantity | None = quantity("degC", "Terminal temperature", low=50, high=110, advanced=True)
    largest_wire: Size | None = size("Largest wire its dc terminals take", advanced=True)


@dataclass(frozen=True, kw_only=True)
class Generator(Record):
    """A generator and its battery charger."""

    id: str
    label: str | None = text("Name")
    power: Quantity | None = quantity("W", "Power", above=0, high=1e6)
    ac_voltage: Quantity | None = quantity("V", "AC voltage", above=0, high=1000)
    charger_current: Quantity | None = quantity("A", "Charger current", above=0, high=2000)
    charger_efficiency: Quantity | None = quantity(
        "%", "Charger efficiency", above=0, high=1, default=0.85, why=COMMON
    )
    phases: int | None = count("AC phases", high=3, default=1, why=COMMON, advanced=True)
    fault_current: Quantity | None = quantity(
        "A", "Largest AC fault current", above=0, high=10000, help="The first cycles.", advanced=True
    )
    sustained_current: Quantity | None = quantity(
        "A", "Sustained AC fault current", above=0, high=10000, help="After a few cycles.", advanced=True
    )
    neutral_bond: str | None = word(
        "Neutral bond",
        "bonded",
        "bonded, neutral switched",
        "floating",
        help="Neutral switched: the transfer switch parts the inverter's neutral from it.",
        advanced=True,
    )
    residual_device: str | None = word(
        "Residual-current device",
        "type AC",
        "type A",
        "type F",
        "type B",
        "class A",
        "none",
        help="On its output; class A is the ground-fault protection for people under NEC.",
        advanced=True,
    )
    feeds: str | None = word(
        "Feeds",
        "its charger only",
        "the inverter's input",
        "a transfer switch",
        "the panel",
        help="What its ac reaches; the panel that an inverter feeds may never be fed by both at once.",
    )


@dataclass(frozen=True, kw_only=True)
class Diversion(Record):
    """A diversion (dump) load and what drives it."""

    id: str
    label: str | None = text("Name")
    controller: str | None = ref("controllers", "Controller")
    rated_power: Quantity | None = quantity("W", "Rated power", above=0, high=1e6)
    rated_voltage: Quantity | None = quantity("V", "at voltage", above=0, high=1000)
    resistance: Quantity | None = quantity("ohm", "Resistance", above=0, high=1000)
    kind: str | None = word("Kind", "air heater", "water heater", "other")
    own_thermostat: bool | None = flag(
        "Thermostat in series", help="Anything of its own that opens when it is hot, a high limit too."
    )
    diverts_at: Quantity | None = quantity(
        "V",
        "Diverts at",
        above=0,
        high=1500,
        help="Battery voltage at which its controller drives it fully; a relay that drives it says its own.",
    )
    fed_from: str | None = word(
        "Fed from",
        "battery",
        "inverter output",
        default="battery",
        why="as it is drawn",
        help="An inverter that trips takes a load on its output along.",
    )
    relief: bool | None = flag(
        "Relief valve or open vent",
        help="Of a water heater: where steam goes when nothing cuts it off.",
    )
    contact_voltage: Quantity | None = quantity("V", "Contact DC voltage", above=0, high=1500)
    contact_current: Quantity | None = quantity("A", "Contact DC current", above=0, high=2000)


@dataclass(frozen=True, kw_only=True)
class Relay(Record):
    """A relay output as logic that one can test. On: its coil, or its control input, has power."""

    id: str
    label: str | None = text("Name")
    purpose: str | None = word(
        "Purpose",
        "diversion load",
        "battery fan",
        "generator start",
        "low-voltage disconnect",
        "surplus load",
        "brake",
    )
    watches: str | None = word(
        "Watches",
        "battery voltage",
        "state of charge",
        "source voltage",
        "stage",
        "temperature",
        "time of day",
        "daylight",
    )
    on_at: str | None = text(
        "On at",
        help="29.6 V, 45 %, 40 degC, 22:30, absorption or dusk: by what it watches. Above Off at it comes on "
        "rising, below it falling.",
    )
    off_at: str | None = text("Off at", help="The distance from On at is its hysteresis.")
    on_delay: Quantity | None = quantity("s", "On-delay", low=0, high=86400)
    least_on: Quantity | None = quantity("s", "Least on-time", low=0, high=86400)
    off_delay: Quantity | None = quantity("s", "Off-delay", low=0, high=86400)
    diversion: str | None = ref("diversions", "Diversion load that it drives")
    load: str | None = ref("loads", "or load")
    inverter: str | None = ref("inverters", "or inverter")
    generator: str | None = ref("generators", "or generator that it starts")
    power: Quantity | None = quantity(
        "W",
        "Power through its contact",
        low=0,
        high=1e6,
        help="Where it is none of these, or is switched through another: a fan, a coil, a start input.",
    )
    rest_state: str | None = word("At rest", "open", "closed", help="Its contact, while the relay is off.")
    solid_state: bool | None = flag("Solid-state")
    solid_state_dc: bool | None = flag(
        "Solid-state relay is made for dc", help="One made for ac never lets go of a direct current."
    )
    pulse_width: bool | None = flag(
        "Proportional, by pulses",
        default=False,
        why="on or off",
        help="A solid-state relay that drives from nothing at Off at to the whole at On at.",
    )
    contact_voltage: Quantity | None = quantity("V", "Contact DC voltage", above=0, high=1500)
    contact_current: Quantity | None = quantity("A", "Contact DC current", above=0, high=2000)


@dataclass(frozen=True, kw_only=True)
class Circuit(Record):
    """What the designer says about one circuit; circuits themselves are derived from the design."""

    id: str
    length: Quantity | None = quantity("m", "One-way length", low=0.1, high=5000)
    place: str | None = word(
        "Runs through",
        "indoors",
        "attic",
        "roof",
        "buried",
        "battery room",
        "outdoors",
        default="outdoors",
        why="the usual run of a source",
    )
    method: str | None = word(
        "Laid in",
        "raceway",
        "free air",
        "A1",
        "A2",
        "B1",
        "B2",
        "C",
        "D1",
        "E",
        "F",
        "G",
        help="Raceway or free air under NEC; a method of IEC 60364-5-52 under iec.",
    )
    ambient: Quantity | None = quantity(
        "degC", "Ambient", low=-40, high=90, help="Hottest air about the conductor."
    )
    above_roof: Quantity | None = quantity("mm", "Height above roof", low=0, high=5000, advanced=True)
    conductors: int | None = count(
        "Conductors sharing the raceway", low=2, high=100, help="Current-carrying ones; two make one circuit."
    )
    grouped: int | None = count("Circuits grouped", high=50, advanced=True)
    insulation: Quantity | None = quantity(
        "degC", "Insulation temperature", low=60, high=120, default=90.0, why=COMMON
    )
    insulation_voltage: Quantity | None = quantity(
        "V",
        "Insulation voltage",
        above=0,
        high=5000,
        default=600.0,
        why="usual building wire",
        advanced=True,
    )
    sunlight: bool | None = flag("Sunlight resistant", advanced=True)
    wet: bool | None = flag("Wet-rated", advanced=True)
    fine_strand: bool | None = flag("Fine-stranded", advanced=True)
    fine_ends: bool | None = flag(
        "Ends made for fine strands",
        help="Lugs, ferrules or terminals that their maker lists for fine strands, at both ends.",
        advanced=True,
    )
    terminal: Quantity | None = quantity("degC", "Terminal temperature", low=50, high=110, advanced=True)
    material: str | None = word("Material", "copper", "aluminium", default="copper", why=COMMON)
    strand: str | None = word("Strand", "stranded", "solid", default="stranded", why=COMMON, advanced=True)
    metal: bool | None = flag(
        "Metal raceway or armour",
        help="Holds an arc in; decides where arc-fault protection may be left out.",
        advanced=True,
    )
    parallel: int | None = count("Conductors in parallel", high=8, default=1, why=COMMON, advanced=True)
    covering: str | None = word(
        "Kind of insulation",
        "THWN-2",
        "XHHW-2",
        "RHW-2",
        "PV wire",
        "H07V",
        "H1Z2Z2-K",
        help="Decides how thick it is, and so its conduit.",
        advanced=True,
    )
    diameter: Quantity | None = quantity(
        "mm",
        "Outside diameter",
        above=0,
        high=120,
        help="The maker's, of one conductor over its insulation: goes before any table.",
        advanced=True,
    )
    earthing_bare: bool | None = flag("Earthing conductor bare", advanced=True)
    conduit: str | None = word(
        "Conduit, if it is fixed",
        *(f"{inches} in" for inches in INCHES),
        *(f"{outside} mm" for outside in OUTSIDE),
        help="Trade size: checked instead of chosen.",
        advanced=True,
    )
    conduit_kind: str | None = word(
        "Kind of conduit",
        "PVC 80",
        "PVC 40",
        "EMT",
        "RMC",
        default="PVC 80",
        why="the narrowest of the usual kinds",
        help="Where trade sizes are in inches.",
        advanced=True,
    )
    allowed_drop: Quantity | None = quantity("%", "Allowed drop", above=0, high=0.5)
    unprotected: Quantity | None = quantity(
        "m",
        "Length before its device",
        low=0,
        high=100,
        help="From the battery's terminal to the device: nothing protects it, so as short as practicable.",
        advanced=True,
    )
    earthing: Size | None = size("Earthing conductor, if it is fixed", advanced=True)
    size: Size | None = size("Conductor, if it is fixed", help="Pinned: checked instead of sized.")
    device: str | None = ref("devices", "Device, if it is fixed")
    device_pole: str | None = word(
        "Pole that a single-pole device opens",
        "not earthed",
        "earthed",
        default="not earthed",
        why="as it is drawn",
        advanced=True,
    )
    device_ambient: Quantity | None = quantity(
        "degC", "Hottest air about its device", low=-40, high=90, advanced=True
    )
    disconnect: str | None = ref(
        "devices", "Disconnect, if it is another device", help="Where a fuse guards, a switch must open."
    )
    surge: str | None = word(
        "Surge protective devices", "none", "at the source", "at the controller", "both ends", advanced=True
    )
    surge_voltage: Quantity | None = quantity(
        "V",
        "Surge devices' continuous voltage",
        above=0,
        high=5000,
        help="The highest that they stand for ever without conducting.",
        advanced=True,
    )


@dataclass(frozen=True, kw_only=True)
class Device(Record):
    """A breaker, fuse or switch in hand: what is printed on it."""

    id: str
    label: str | None = text("Name")
    kind: str | None = word("Kind", "breaker", "fuse", "switch", "limiter")
    supply: str | None = word("Marked for", "dc", "ac", "ac and dc")
    current: Quantity | None = quantity("A", "Rated current", above=0, high=6000)
    dc_voltage: Quantity | None = quantity("V", "DC voltage rating", above=0, high=3000)
    ac_voltage: Quantity | None = quantity("V", "AC voltage rating", above=0, high=3000)
    breaking: Quantity | None = quantity("A", "Breaking capacity at that voltage", above=0, high=1e6)
    poles: int | None = count("Poles", high=4)
    polarity: str | None = word("Polarity", "marked", "none")
    continuous: bool | None = flag("Rated for 100 % duty")
    curve: str | None = text("Class or curve", advanced=True)
    altitude_voltage: Quantity | None = quantity(
        "V",
        "Voltage rating at the site's elevation",
        above=0,
        high=3000,
        help="By its maker; asked for above 2,000 m.",
        advanced=True,
    )
    altitude_current: Quantity | None = quantity(
        "A",
        "Rated current at the site's elevation",
        above=0,
        high=6000,
        help="By its maker; asked for above 2,000 m.",
        advanced=True,
    )
    terminal: Quantity | None = quantity("degC", "Terminal temperature", low=50, high=110, advanced=True)
    largest_wire: Size | None = size("Largest wire its terminals take", advanced=True)
    price: Quantity | None = quantity("money", "Price", low=0, high=1e6, advanced=True)


@dataclass(frozen=True, kw_only=True)
class Wire(Record):
    """What a size of conductor costs."""

    id: str
    size: Size | None = size("Size")
    material: str | None = word("Material", "copper", "aluminium", default="copper", why=COMMON)
    price: Quantity | None = quantity("money", "Price a metre", low=0, high=10000)


@dataclass(frozen=True, kw_only=True)
class Prices(Record):
    """The designer's prices, in the designer's money."""

    currency: str | None = text("Money")
    array_watt: Quantity | None = quantity("money", "A watt of array", low=0, high=1000)
    stored_kwh: Quantity | None = quantity("money", "A kWh of battery", low=0, high=100000)
    generator_kwh: Quantity | None = quantity("money", "A kWh from the generator", low=0, high=1000)
    pipe_metre: Points | None = points(
        "mm",
        "money",
        "A metre of penstock",
        help="By its inside diameter: the pipes that one can buy, with what a metre of each costs.",
        advanced=True,
    )


@lru_cache(maxsize=1024)
def _unsaid(id: str) -> Circuit:
    return Circuit(id=id)


@dataclass(frozen=True, kw_only=True)
class Design:
    """The whole design. ``origin`` is the text it was read from, kept so that comments survive a save."""

    about: About = About()
    site: Site = Site()
    bank: Bank = Bank()
    prices: Prices = Prices()
    loads: tuple[Load, ...] = ()
    modules: tuple[Module, ...] = ()
    arrays: tuple[Array, ...] = ()
    wind: tuple[WindTurbine, ...] = ()
    hydro: tuple[HydroTurbine, ...] = ()
    controllers: tuple[Controller, ...] = ()
    inverters: tuple[Inverter, ...] = ()
    generators: tuple[Generator, ...] = ()
    diversions: tuple[Diversion, ...] = ()
    relays: tuple[Relay, ...] = ()
    circuits: tuple[Circuit, ...] = ()
    devices: tuple[Device, ...] = ()
    wires: tuple[Wire, ...] = ()
    origin: str = dataclasses.field(default="", compare=False, repr=False)

    @property
    def rules(self) -> str:
        return str(self.about.use("rules"))

    def find(self, table: str, id: str | None) -> Record | None:
        """The record of a table with that id, or ``None``."""
        index = self._by_id.get(table)
        if index is None:
            index = self._by_id[table] = {item.id: item for item in reversed(getattr(self, table))}
        return index.get(id)

    @cached_property
    def _by_id(self) -> dict[str, dict[str | None, Record]]:
        return {}

    def circuit(self, id: str) -> Circuit:
        """What the designer said about a circuit; an empty record where nothing was said."""
        found = self.find("circuits", id)
        return found if isinstance(found, Circuit) else _unsaid(id)


SINGLE: dict[str, type[Record]] = {"site": Site, "bank": Bank, "prices": Prices}
"""Tables that stand once; the fields of ``About`` stand at the top of the file without a table."""

KEYED: dict[str, type[Record]] = {
    "loads": Load,
    "modules": Module,
    "arrays": Array,
    "wind": WindTurbine,
    "hydro": HydroTurbine,
    "controllers": Controller,
    "inverters": Inverter,
    "generators": Generator,
    "diversions": Diversion,
    "relays": Relay,
    "circuits": Circuit,
    "devices": Device,
    "wires": Wire,
}
"""Tables keyed by id: ``[arrays.south]``."""

PIECES = ("arrays", "wind", "hydro", "controllers", "inverters", "generators", "diversions", "relays")
"""Tables whose ids may not repeat in one another: they name the pieces of the line, and circuits by them."""

CIRCUIT_ENDS: dict[str, tuple[str, ...]] = {
    "arrays": ("string", "run"),
    "wind": ("alternator", "brake", "run", "limiter"),
    "hydro": ("alternator", "brake", "run", "limiter"),
    "controllers": ("battery",),
    "diversions": ("load",),
    "generators": ("charger", "battery"),
    "inverters": ("battery", "output"),
    "loads": ("branch",),
}
"""The circuits that a piece can have: ``south-string`` and ``south-run`` belong to ``arrays.south``."""

COMMON_CIRCUITS = ("bank-string", "panel-battery")
"""The circuits that belong to the bank: each of its strings to its bus, and the bus to the dc panel."""

RESERVED = ("bank", "panel")
"""Ids that no piece may have, since circuits are called by them."""


def circuit_ids(design: Design) -> tuple[str, ...]:
    """Every circuit id that the pieces of the design allow, in the order of the line."""
    of_pieces = (
        f"{item.id}-{end}"
        for table, ends in CIRCUIT_ENDS.items()
        for item in getattr(design, table)
        for end in ends
    )
    return (*of_pieces, *COMMON_CIRCUITS)


def records(design: Design) -> Iterator[tuple[str, Record]]:
    """Every record with its path: ``""`` for the head, ``site``, ``arrays.south`` and so on."""
    yield "", design.about
    for table in SINGLE:
        yield table, getattr(design, table)
    for table in KEYED:
        for item in getattr(design, table):
            yield f"{table}.{item.id}", item


def label(record: Record) -> str:
    """What people call a record: its label, else its id."""
    return str(getattr(record, "label", None) or getattr(record, "id", "") or "")
