"""The concepts of each column's headings: what it needs, and what may stand beside it in [ ].

`asset number` and `note` are no columns: the first joins sheets, the second is kept as a note.
"""

from __future__ import annotations

import re
from functools import cache

NOTE, ASSET, STOCK = "note", "asset number", "stock"

PATTERNS = """
tag: tag [number code motor equipment]
tag: motor number [code tag]
tag: motor code
tag: equipment number [code tag]
tag: equipment code
tag: equipment
tag: item number
tag: number
tag: item
tag: tag item
asset number: asset [number code equipment]
description: description [motor equipment driven]
description: equipment description
description: driven description
area: area [code number motor equipment description]
bus: bus [number code description]
cubicle: cubicle [number code bus]
power_kw: power [rated motor maximum fullload]
fla_a: rated current [motor fullload]
fla_a: fullload [motor rated current]
fla_a: motor current [fullload]
fla_a: current
rated_current_a: starter current [rated]
rated_current_a: drive current [rated]
rated_current_a: starter rated
device_power_kw: starter power [rated]
motor_voltage_v: rated voltage [motor]
motor_voltage_v: motor voltage
motor_voltage_v: voltage
bus_voltage_v: system voltage [rated]
bus_voltage_v: bus voltage [rated]
speed_rpm: speed [rated motor fullload]
motor_frequency_hz: frequency [rated motor system]
poles: poles [motor number]
phases: phases [motor number]
efficiency_pct: efficiency [rated motor fullload]
power_factor: powerfactor [rated motor fullload]
service_factor: servicefactor [motor]
locked_rotor_ratio: lockedrotor current ratio [rated]
locked_rotor_ratio: lockedrotor current
locked_rotor_torque_pct: lockedrotor torque [ratio]
breakdown_torque_pct: breakdown torque [ratio]
no_load_current_a: noload current
insulation_class: insulation class [motor]
insulation_class: insulation [motor]
temperature_rise_c: rise [motor]
design_letter: designletter [motor nema]
code_letter: codeletter [motor nema]
duty_type: duty [class motor type]
motor_type: motor type
motor_enclosure: enclosure [motor class rated]
frame: frame [motor size number]
motor: serial [motor number maker]
motor_maker: maker [motor]
device: starter serial [number]
device: drive serial [number]
model: starter catalogue [number]
model: starter type catalogue
model: drive catalogue [number]
model_maker: starter maker
model_maker: drive maker
device_kind: starter
device_kind: starter type
device_kind: device type
device_kind: starter method
device_kind: method [motor]
device_kind: motor method
device_kind: drive type
nema_size: nema size [starter]
nema_size: starter size
protection_kind: protection [type]
protection_kind: breaker type
protection_kind: fuse type
protection_rating_a: breaker [rated current size setting]
protection_rating_a: fuse [rated current size]
protection_rating_a: breaker fuse [rated current size]
protection_rating_a: protection rated
protection_rating_a: protection current [rated]
protection_rating_a: protection size
fuse_class: fuse class
instantaneous_a: instantaneous [breaker setting current protection]
interrupting_ka: interrupting [breaker rated current protection]
relay_set_a: overload setting [current motor]
relay_set_a: overload current [setting]
overload_place: overload type
overload_place: overload
relay_min_a: overload range
relay_min_a: overload minimum [range setting]
relay_max_a: overload maximum [range setting]
relay_trip_class: tripclass [overload]
relay_trip_class: overload class
ct_primary_a: ct [ratio current]
cable_length_m: cable length [motor]
cable_length_m: length
cable_size: cable [section size type motor]
cable_size: section [cable motor]
cable_size: cable catalogue
cable_ampacity_a: ampacity [cable]
fault_current_ka: fault available [current system bus]
fault_current_ka: fault current [available system bus]
fault_current_ka: fault [bus system]
lineup_withstand_ka: withstand [bus fault]
transformer_kva: transformer power [rated]
transformer_kva: transformer
transformer_z_pct: transformer impedance
criticality: criticality [class]
starts_per_hour: starts perhour [maximum number rated]
starts_per_hour: starts
ramp_s: ramp [time start]
ramp_s: start ramp [time]
stop_ramp_s: stop ramp [time]
current_limit_xfla: current limit [start lockedrotor]
initial_voltage_pct: initial voltage [start]
ambient_c: ambient [temperature maximum]
altitude_m: altitude
load_inertia_kgm2: inertia [driven]
rotor_inertia_kgm2: motor inertia
load_kind: driven type
load_kind: driven
coupling: coupling [type]
control_voltage_v: control voltage [rated]
position_notes: notes [motor equipment tag starter]
motor_installed_on: installed [motor date]
motor_status: status [motor equipment]
device_status: status starter
happened_on: failure date
happened_on: happened [failure date]
happened_on: order date
cause: reason [failure order]
cause: failure description
cause: order description
cause: failure
downtime_h: downtime [failure order]
failure_mode: mode [failure code]
running_current_a: measured current [motor]
capacitor_kvar: capacitor
run_hours_per_year: run year
bypass_arrangement: bypass [type starter]
thermal_device: temperature motor
note: bearing [number type motor catalogue class size code minimum]
note: weight [motor]
note: conduit [size]
note: finished [date order]
note: effort [order]
note: synchronous speed [motor rated]
note: mounting [motor type code frame class]
note: built [motor date]
note: drawing [number code]
note: revision [date number]
note: purchase [number date order]
note: colour [number code]
note: lubrication [motor type bearing]
note: space [motor power voltage current]
note: vibration [motor]
note: rotation [motor]
note: io [code number control]
note: responsible [description]
note: gear [ratio type maker size]
note: flow [rated driven power]
note: efficiencyclass [motor]
note: driven maker
note: driven catalogue
note: motor catalogue [number type code]
note: order number
note: order
note: order type
note: order status
note: order criticality
note: overload maker
note: overload catalogue [number]
note: hazard [class area code]
stock: stock [minimum maximum number area]
"""


@cache
def patterns() -> tuple[tuple[str, frozenset[str], frozenset[str]], ...]:
    """(column, what its heading needs, what may stand beside it)."""
    made = []
    for line in PATTERNS.strip().splitlines():
        column, _, rest = line.partition(": ")
        beside = re.search(r"\[(.*)\]", rest)
        needs = rest.partition("[")[0].split()
        made.append((column, frozenset(needs), frozenset(beside[1].split() if beside else ())))
    return tuple(made)
