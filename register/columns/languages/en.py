"""English: what the column's own headings do not say yet."""

CONCEPTS = """
number: no, number, num, nbr, nr, #
code: code, id, ident, identification, identifier
tag: tag, tags, position, pos, loop, kks, functional location, func loc, floc, technical id, plant ref, plant reference, equipment ref, ref no
motor: motor, motors, mtr, mot, machine motor
equipment: technical object, equipment, equip, equpt, eqpt, eq, machine, drive unit, driven unit, consumer
asset: asset, asset no, asset number, asset id, fixed asset, equipment record, object no, object id, sap no, sap equipment, cmms no, cmms id, maximo asset
item: item, line, seq, row
starter: starter, strtr, controller, starting device, soft starter, softstarter, starter unit
device: device, unit
drive: vfd, vsd, drive, inverter, frequency converter
description: description, desc, descr, service, purpose, name, designation, function, text, title, duty service, duty description, served, equipment served, load served
driven: driven, load, driven equipment, driven machine, application
area: area, location, loc, building, bldg, department, dept, zone, section, plant area, process area, room, place, site location, where
bus: bus, mcc, switchboard, swbd, swgr, switchgear, lineup, panel, panelboard, distribution board, board, fed from, feed from, supply from, supplied from, source of supply, power source
cubicle: cubicle, bucket, compartment, cell, comp, drawer, feeder no, feeder cubicle, bkt, unit loc, unit location, unit position, space no, unit no
power: power, horsepower, hp, kw, bhp, kilowatt, output
current: current, amps, amp, ampere, amperes, amperage, i
voltage: voltage, volts, volt, v, potential
speed: speed, rpm, rev, revs, revolutions
frequency: frequency, freq, hz, hertz
poles: poles, pole
phases: phase, phases, ph
rated: rated, nominal, nom, nameplate, np, name plate, rating, rtd, rtg
fullload: fla, flc, fl, full load, full-load, flamps
lockedrotor: locked rotor, locked-rotor, lr, starting, inrush, lra, lrc
noload: no load, no-load, nla, unloaded
ratio: ratio, multiple, times
torque: torque, trq
breakdown: breakdown, pull out, pullout, pull-out
efficiency: efficiency, eff, effy, effic, eta
powerfactor: power factor, pf, cos phi, cosphi, cos fi, p f
servicefactor: service factor, sf, serv factor, svc factor
insulation: insulation, insul, ins, thermal class
class: class, cl, cls
rise: temperature rise, temp rise, rise
enclosure: enc, enclosure, encl, ip, ip rating, ingress protection, protection degree, degree of protection
frame: frame, frame size, fr, frame no
serial: serial, s n, sn, ser, serial no, serial number, ser no, s / n
maker: maker, make, manufacturer, mfr, mfg, mfgr, manuf, brand, vendor, oem, supplier
catalogue: catalogue, catalog, cat, model, part, order, p n, p / n, part no, cat no
type: type, kind, style, typ
method: method of start, method, mode, starting method, start method, method of starting, starting mode, start mode, how started, start type, starting type
designletter: design letter, design, nema design, des
codeletter: code letter, kva code, lr code, nema code, locked rotor code
overload: htr, ol htr, heater size, overload, ol, o / l, olr, heater, heaters, thermal relay, thermal overload, overload relay, th relay
setting: setting, set, settings, set point, setpoint, setpt, dial, adjusted to, setting as found
tripclass: trip class, ol class, overload class, trip cl
breaker: breaker, cb, bkr, brkr, circuit breaker, mccb, mcb, mcp, breaker size
fuse: fuse, fuses, fusing
protection: protection, protective device, scpd, ocpd, branch protection, short circuit protection, sc protection, branch device, line protection, feeder protection
instantaneous: instantaneous, inst, mag, magnetic
interrupting: interrupting, aic, kaic, icu, breaking, breaking capacity, interrupting rating, interrupting capacity
size: size, sz
range: range
minimum: min, minimum, low, from
maximum: max, maximum, high, to
cable: feeder cable, motor cable, power cable, cable, wire, conductor, cond, conductors, cables, wiring, lead
length: length, run, len, lgth, distance
section: cross section, csa, c s a, gauge, awg, cross sectional area
ampacity: ampacity, current carrying capacity
fault: fault, short circuit, sc, isc, icc, ssc, fault level, sccr
available: available, avail, prospective, at bus
withstand: withstand, bracing, braced
transformer: transformer, xfmr, trafo, tx, xfm
impedance: impedance, z
system: system, sys, network
criticality: criticality, crit, priority, importance, abc class, rank
starts: starts, number of starts, no of starts, starts frequency
perhour: per hour, / hr, / h, hr, hour, hourly, an hour, h
ramp: ramp, ramp time, ramp up, acceleration, accel, acceleration time, accel time, ramp up time
time: time, duration, timer
limit: limit, lim
initial: initial, start voltage, pedestal
stop: stop, stopping, decel, deceleration
start: start, startup, start up
ambient: ambient, amb, ambient temperature, ambient temp, surrounding
temperature: temperature, temp
altitude: altitude, elevation, elev, height above sea
inertia: inertia, wk2, wr2, gd2, moment of inertia
duty: duty, duty type, duty cycle
hazard: hazardous, haz, ex, atex, hazardous area, classified, ex area
control: control, ctrl
notes: notes, note, remarks, remark, comments, comment, rem, observation, observations
date: date, day, on, dt
installed: start up, installed, install, commissioned, commissioning, in service since, date installed, inst date
status: status, condition, state
failure: failure, failed, breakdown date, fault report, event, malfunction, incident
happened: reported, occurred, raised, malfunction start, reported date, report date, basic start date, malfunct start, malfunc start, malf start, malfunction date, start of malfunction, event date, wo date, order date, notification date, reportdate, report date, fault date, breakdown reported
reason: cause, reason, root cause, finding, findings, failure cause, damage, long text, short text, problem, symptom, fault description, work description, wo description, order text
downtime: downtime, down time, hours down, hours lost, outage, breakdown duration, breakdown dur, breakdown hours, downtime hrs, downtime hours
order: work order, wo, w o, order, job, notification, notif, job no, ticket, wonum, wo num, wo no, work type, worktype
measured: measured, running, actual, reading, run
bypass: bypass, by-pass, byp
nema: nema
ct: ct, cts, current transformer, ct ratio
coupling: coupling, transmission, drive train
run: run hours, running hours, operating hours, hours per year, hours / yr
year: year, annual, yr, y
capacitor: capacitor, kvar, pf capacitor, capacitors
mode: failure mode, fail mode, mode of failure
stock: stock, on hand, qty, quantity, in stores, bin, stores, reorder, min stock, max stock, qty on hand, warehouse
bearing: bearing, brg, bearings, de bearing, nde bearing, drive end, non drive end, bearing de, bearing nde
weight: weight, wt, mass, kg, lbs
mounting: mounting, mount, mounting arrangement, im code, foot, flange
built: constr year, construction year, year built, yom, year of manufacture, built, manufactured, mfg year, vintage, age
drawing: drawing, dwg, drg, drawing no, dwg no, schematic, p and id, pid, p & id, sheet no, diagram
revision: revision, rev no, issue, last updated, updated, checked, verified, surveyed by, surveyed, reviewed, last inspected, last pm
purchase: purchase order, po, po no, cost centre, cost center, budget, warranty, supplier ref
finished: actfinish, act finish, actual finish, finish date, completed, closed on
effort: laborhrs, labor hrs, labor hours, labour hours, man hours, manhours
synchronous: synch, sync, synchronous, syn
conduit: conduit, conduit size, raceway
colour: colour, color, paint, paint colour
lubrication: grease, lubrication, lube, grease type, regrease
space: space heater, heater voltage, anti condensation heater, ach
vibration: vibration, vib, alarm, noise, sound, db
rotation: rotation, direction of rotation, dor
io: io, i / o, plc, plc address, dcs, dcs tag, interlock, signal
responsible: responsible, owner, planner, crew, technician, engineer, work centre, work center, craft, trade, assigned, reported by, requested by
gear: gearbox, gear ratio, belt size, sheave, pulley
flow: flow, head, capacity, pressure, flowrate, capacity m3/h, absorbed power, bkw, shaft power, absorbed, duty point, demand
efficiencyclass: ie, ie class, efficiency class, ie code, eff class, nema premium, premium, premium efficiency
"""
HEADINGS = """
fla_a: In A, FLA @460, FLA (460V), nameplate FLA, I rated, Ie, ampere rating motor
motor_voltage_v: Volts/Ph/Hz, V/Ph/Hz, V-Ph-Hz, Volts/Phase/Hz, Voltage/Phase/Freq, Un V, U rated, Ue, line volts, volts rated, motor kV
power_kw: RATED_HP, rated kW, Pr, Prated, shaft kW, P rated, mech power
speed_rpm: n rated, N rpm, rated r/min
relay_trip_class: O/L Cl., OL Cl, O/L class, tripping class
fault_current_ka: kA avail, avail kA, kA available, Isc avail, fault kA at bus
relay_set_a: O/L set, O/L setting, OL set A, O/L dial, overload set A
fla_set_a: programmed motor amps, motor FLA parameter, FLA parameter
locked_rotor_ratio: Ist/In, Is/In, LRA/FLA, Ia/In
bus_rating_a: Bus A, bus amp rating
protection_rating_a: trip/frame, trip / frame, frame/trip, AF/AT, AT/AF
nema_size: size, starter size, nema starter size, sz, contactor size
happened_on: malfunction start, reported on, breakdown on
cause: long text, short text, WO description, damage text
downtime_h: hours down, breakdown hours, breakdown duration
position_notes: field notes, survey notes, remarks / comments
tag: tag number, equipment tag no, TAG_NO, item tag, motor tag number, unit tag
"""
WORDS = """
device_kind / across-the-line: FVNR starter, full volt, ACL, across the line starter, contactor starter, direct-on-line, direct online, D.O.L., online, combination starter, line start, XL
device_kind / across-the-line: FVR, reversing, DOL reversing, DOL rev, 2S1W, 2S2W, combo starter, magnetic starter, mag starter
device_kind / star-delta: star delta starter, star-delta starter, Y-delta starter, wye delta starter, S/D, S-D, YD, Y / D, star delta open, star delta closed, open transition star delta
device_kind / autotransformer: auto-transformer starter, auto transformer starter, AT, A/T, korndorffer, RVAT closed
device_kind / soft starter: softstarter, soft-starter, S/S, SST, solid-state, solid state reduced voltage, SSRVS, electronic soft starter, elec soft start, RVS
device_kind / drive: VF drive, AC inverter, freq converter, frequency inverter, variable speed, VS drive, AFC, V.F.D., V.S.D., variable freq drive, AC VFD
protection_kind / instantaneous breaker: MCP breaker, motor ckt protector, mag-only breaker, magnetic breaker, HMCP type
protection_kind / inverse-time breaker: thermal-mag, TM, TMCB, TMCCB, T/M CB, thermal-magnetic breaker, T/M, T-M, thermomagnetic, CB, breaker, MCCB TM, molded case breaker, moulded case breaker, circuit breaker, MCB, MPCB, motor protection circuit breaker
protection_kind / fuse: HRC, HRC fuse, HRC fuses, cartridge fuse, BS88, BS 88
protection_kind / time-delay fuse: TD, dual element, time-delay, slow blow, slow-blow fuse
overload_place / device: in drive, in VFD, in starter, by drive, by VFD, electronic in starter, drive internal, VFD internal, in soft start, in SS, SS internal, electronic (drive)
overload_place / relay: thermal, OL relay, therm, bi-metal, thermal overload, eutectic, melting alloy, electronic relay, solid state relay, TOR
overload_place / thermistor: PTC, thermistors, PTC relay
overload_place / motor: klixon, in motor, motor protector, inherent
motor_status / in service: ok, in operation, good, in use, run, duty
motor_status / in store: spare in store, in stock, in spares, warehouse spare
motor_status / failed: failed in service, burnt, to be rewound, tripped out, seized, out for repair, at repair shop, in repair
motor_status / scrapped: scrapped
motor_type / cage: squirrel cage, SCIM, induction, cage induction, squirrel cage induction, asynchronous, 3ph induction, TEFC induction, SQ cage, SC, sqc
motor_type / wound rotor: WRIM, slip ring, slipring, wound
motor_type / synchronous: sync, syn, synchronous motor
motor_type / permanent magnet: PM, PMSM, IPM, permanent-magnet
motor_type / reluctance: SynRM, SRM
motor_type / direct current: DC, D.C.
load_kind / centrifugal pump: pump, pumps, centrifugal, CP
load_kind / centrifugal fan: fan, ID fan, FD fan, fans, ventilator, cooling fan
load_kind / conveyor: belt conveyor, apron conveyor, chain conveyor, drag conveyor
load_kind / mixer: blender
load_kind / agitator: stirrer
load_kind / hoist: crane, lift, winch
load_kind / blower: roots blower, roots
load_kind / screw compressor: rotary screw, rotary screw compressor
load_kind / mill: ball mill, grinder, refiner, hammer mill
system_earthing / solid wye: solidly grounded, solidly earthed, TN, TN-S, TN-C-S, solid grounded wye
system_earthing / resistance: HRG, LRG, high resistance, resistance grounded
system_earthing / isolated: IT, ungrounded, unearthed, delta ungrounded
control_current / AC: ~, VAC
control_current / DC: VDC
capacitor_side / none: none
criticality / critical: vital
duty_type / S1: continuous, cont, continuous duty, cont., dauerbetrieb, continu, continuo, contínuo, continua, service continu, servicio continuo, servizio continuo, continubedrijf, S1 100%
"""
BLANKS = """
not surveyed: nil data, t.b.d., t.b.c., to confirm, to check, check, to be checked, not found, missing, n/r, pending, ----, ., .., …, see drawing, not visible, no access, nn, n.n.
illegible: not legible., unreadable plate, plate unreadable, plate illegible, rusted, corroded
not applicable: not app, n-a, /, not used, not fitted, not required, n/req
"""
PASSED = """
words: of, the, at, in, a, an, for, per, and, as, is, by, with, /, &, or, total, if, any, existing, value, values, data, unit, units, information, info, details, detail, site
"""
MONTHS = """
months: jan, feb, mar, apr, may, jun, jul, aug, sep, oct, nov, dec
"""
LINES = """
total: total, totals, subtotal, sub total, grand total, sum, count, average, number of, no of motors, qty total, connected load
group: main, incomer, incoming, main breaker, tie, mcc, swgr, switchgear, lineup, panel, board, bus, substation, area, dept, department, unit, section, building, feeder, switchboard, zone, train, line, system, plant
ditto: ditto, do, dto, same, same as above, as above, see above, idem, id
empty: spare, space, blank, empty, vacant, future, unused, spare bucket, blank bucket
stores: spare, spares, stores, storeroom, stock, warehouse, in store, spare motors, store list, inventory
attribute: attribute, characteristic, parameter, property, field, attribute name, char name, characteristic name, specification, spec
value: value, val, char value, attribute value, reading, entry
unit: unit, units, uom, unit of measure
"""
