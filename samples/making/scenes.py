"""The two invented plants: their buses, and the machines on each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Service:
    """Machines of one kind on one bus; one position for each letter of `starting`.

    The letters are those of the catalogue: A across the line, Y star-delta, T autotransformer,
    B soft starter with internal bypass, S solid-state soft starter, D drive.
    """

    area: str
    bus: str
    name: str
    load_kind: str
    starting: str
    sizes: tuple[float, ...]
    poles: int = 4
    coupling: str = "direct"
    surge: str = "no"
    fragile: str = "no"
    speeds: str = "fixed"


@dataclass(frozen=True, slots=True)
class Scene:
    """A plant: its site row, its buses, its machines."""

    folder: str
    site: dict[str, object]
    buses: tuple[dict[str, object], ...]
    services: tuple[Service, ...]

    @property
    def practice(self) -> str:
        """`us` or `iec`."""
        return str(self.site["practice"])


def _bus(bus: str, about: str, kva: float, fault_ka: float, **more: object) -> dict[str, object]:
    return {
        "bus": bus,
        "bus_description": about,
        "bus_voltage_v": 480,
        "fault_current_ka": fault_ka,
        "x_over_r": 6.5,
        "upstream_fault_mva": 350,
        "transformer_kva": kva,
        "transformer_z_pct": 5.75,
        "transformer_x_over_r": 6.6,
        "lineup_withstand_ka": 42,
        "main_kind": "breaker",
        "bus_rating_a": 2000,
        "feeder_ampacity_a": 2000,
        "main_breaker_pickup_a": 2000,
        "main_breaker_delay_s": 14,
        "main_breaker_instantaneous_a": 16000,
        "dip_limit_pct": 15,
        "system_earthing": "solid wye",
        "main_ground_fault_trip": "yes",
        "voltage_unbalance_pct": 0.6,
    } | more


def _services(area: str, bus: str, lines: str) -> tuple[Service, ...]:
    """`name; load kind; letters; sizes; poles; coupling; marks`, one service a line."""
    found = []
    for line in lines.strip().splitlines():
        name, kind, letters, sizes, poles, coupling, marks = (w.strip() for w in line.split(";"))
        surge, fragile = ("yes" if mark in marks else "no" for mark in ("surge", "fragile"))
        speeds = "two-speed" if "two-speed" in marks else "fixed"
        found.append(
            Service(
                area,
                bus,
                name,
                kind,
                letters,
                tuple(map(float, sizes.split())),
                int(poles),
                coupling,
                surge,
                fragile,
                speeds,
            )
        )
    return tuple(found)


_WOODYARD = _services(
    "Woodyard",
    "MCC-11",
    """
    log infeed conveyor; conveyor; AAAB; 15 20; 4; gear;
    bark conveyor; conveyor; AAAA; 7.5 10; 4; gear;
    debarking drum; other; BB; 100 125; 4; gear;
    chipper feed roll; other; AAA; 10 15; 6; gear;
    slab saw; saw; AAY; 20 25; 2; belt;
    chip screen; other; AAA; 15 20; 4; belt;
    chip conveyor; conveyor; AABD; 20 30; 4; gear;
    chip bin discharge screw; screw conveyor; DDDD; 10 15; 4; gear;
    stray wood crusher; crusher; S; 75; 4; belt;
    dust fan; centrifugal fan; AAB; 15 25; 4; belt;
    sprinkler pump; centrifugal pump; BB; 30 40; 2; direct; surge
    hydraulic unit pump; positive-displacement pump; AAAA; 5 10; 4; direct;
    sump pump; centrifugal pump; AAA; 3 5; 4; direct;
    chip washer agitator; agitator; AA; 5 7.5; 4; gear; two-speed
""",
)
_PULP = _services(
    "Pulp house",
    "MCC-21",
    """
    digester circulation pump; centrifugal pump; BBSB; 60 75; 4; direct; surge
    blow tank agitator; agitator; BBS; 40 50; 4; belt;
    brown stock pump; centrifugal pump; DDBB; 50 60; 4; direct; surge
    washer drum; other; DDDD; 15 20; 4; gear;
    filtrate pump; centrifugal pump; ABBB; 30 40; 4; direct; surge
    knotter; other; AAA; 10 15; 4; belt;
    refiner feed screw; screw conveyor; DD; 15 20; 4; gear;
    liquor transfer pump; centrifugal pump; AAA; 10 15; 4; direct;
    vacuum pump; vacuum pump; TTYB; 100 125; 4; direct;
    hood exhaust fan; centrifugal fan; AAAB; 20 25; 4; belt;
    reject press; other; SA; 25 30; 4; gear;
    chemical dosing pump; positive-displacement pump; DDAA; 2 3; 4; gear;
    gland water pump; centrifugal pump; AAA; 5 7.5; 2; direct;
    sealing water pump; centrifugal pump; A; 10; 2; direct;
""",
)
_STOCK = _services(
    "Stock preparation",
    "MCC-31",
    """
    pulper; mixer; BS; 150 200; 4; belt;
    pulper dump pump; centrifugal pump; BB; 60 75; 4; direct; surge
    stock chest agitator; agitator; AAABB; 20 30; 4; belt;
    stock chest pump; centrifugal pump; DDBB; 40 50; 4; direct; surge
    refiner; mill; TT; 150 200; 4; direct;
    deflaker; mill; YYT; 75 100; 2; direct;
    pressure screen; other; AAB; 40 50; 4; belt;
    cleaner feed pump; centrifugal pump; BBD; 75 100; 4; direct; surge
    broke conveyor; conveyor; AABD; 10 15; 4; gear;
    starch cooker mixer; mixer; ADD; 5 7.5; 4; gear;
    size dosing pump; positive-displacement pump; DDD; 2 3; 4; gear;
    thickener; other; AAD; 10 15; 6; gear;
    trim blower; blower; AB; 25 30; 2; direct;
    floor sump pump; centrifugal pump; AAAA; 3 5; 4; direct;
""",
)
_MACHINE = _services(
    "Board machine",
    "MCC-41",
    """
    fan pump; centrifugal pump; DD; 150 200; 4; direct; surge
    white water pump; centrifugal pump; BAA; 40 50; 4; direct;
    wire pit agitator; agitator; AAB; 15 20; 4; belt;
    couch pit agitator; agitator; BS; 40 50; 4; belt;
    shower pump; centrifugal pump; AABB; 25 30; 2; direct; surge
    dryer hood supply fan; centrifugal fan; DDDB; 40 60; 4; belt;
    dryer hood exhaust fan; centrifugal fan; DDYB; 40 50; 4; belt;
    vacuum blower; blower; BTS; 100 125; 2; direct;
    lubrication oil pump; positive-displacement pump; AAAA; 3 5; 4; direct;
    condensate pump; centrifugal pump; AAA; 7.5 10; 2; direct;
    reel drum; other; DD; 20 25; 4; gear;
    web inspection roll; other; BB; 2; 4; belt; fragile
    trim saw; saw; AY; 10 15; 2; belt;
    broke pulper; mixer; SB; 100; 4; belt;
    hydraulic unit pump; positive-displacement pump; AAAA; 10 15; 4; direct;
""",
)
_EFFLUENT = _services(
    "Effluent plant",
    "MCC-51",
    """
    effluent lift pump; centrifugal pump; BA; 25 30; 4; direct;
    aeration blower; blower; BA; 50; 4; direct;
    sludge pump; slurry pump; DA; 10; 4; belt;
""",
)

DEMO = Scene(
    folder="demo-plant",
    site={
        "site": "Ombrecliff Board Mill",
        "practice": "us",
        "site_frequency_hz": 60,
        "site_altitude_m": 310,
        "site_ambient_c": 38,
        "currency": "USD",
        "time_zone": "America/Chicago",
    },
    buses=(
        _bus("MCC-11", "woodyard lineup, east end of the chipper house", 1500, 27.5, system_earthing="resistance"),
        _bus("MCC-21", "pulp house lineup, first floor", 2000, 34),
        _bus("MCC-31", "stock preparation lineup, ground floor", 2500, 38),
        _bus("MCC-41", "board machine lineup, dry end", 2000, 34),
        _bus(
            "MCC-51",
            "effluent plant lineup, old pump house",
            2000,
            36,
            main_breaker_pickup_a=300,
            system_earthing="resistance",
        ),
    ),
    services=_WOODYARD + _PULP + _STOCK + _MACHINE + _EFFLUENT,
)

_IEC_BUS = {
    "bus_voltage_v": 400,
    "transformer_z_pct": 6,
    "upstream_fault_mva": 250,
    "main_breaker_pickup_a": 1250,
    "main_breaker_instantaneous_a": 10000,
    "dip_limit_pct": 10,
}
_QUARRY = _services(
    "Crushing",
    "LV-A",
    """
    primary crusher; crusher; S; 90; 4; belt;
    crusher feed conveyor; conveyor; BA; 15 22; 4; gear;
    screen; other; BA; 11 15; 4; belt;
    product conveyor; conveyor; AAB; 11 18.5; 4; gear;
    fines mill; mill; S; 110; 4; belt;
    dust filter fan; centrifugal fan; YB; 30 37; 4; belt;
""",
)
_WATER = _services(
    "Water and slurry",
    "LV-B",
    """
    raw water pump; centrifugal pump; BB; 45 55; 4; direct; surge
    wash water pump; centrifugal pump; BD; 30; 4; direct; surge
    slurry pump; slurry pump; DDA; 15 22; 4; belt;
    clarifier rake; other; AA; 1.5 2.2; 4; gear;
    flocculant pump; positive-displacement pump; DD; 0.75 1.5; 4; gear;
    compressor; screw compressor; Y; 55; 4; direct;
    drainage pump; centrifugal pump; AA; 4 5.5; 4; direct;
""",
)

SMALL = Scene(
    folder="small-plant",
    site={
        "site": "Kvernhalla Stone Works",
        "practice": "iec",
        "site_frequency_hz": 50,
        "site_altitude_m": 180,
        "site_ambient_c": 32,
        "currency": "EUR",
        "time_zone": "Europe/Oslo",
    },
    buses=(
        _bus("LV-A", "crushing, switch room 1", 1000, 22, **_IEC_BUS),
        _bus("LV-B", "water and slurry, switch room 2", 630, 15, **_IEC_BUS),
    ),
    services=_QUARRY + _WATER,
)
