"""Dutch. Compounds are taken apart into the words below."""

CONCEPTS = """
number: nummer, nr, num, volgnr, volgnummer
code: code, aanduiding, codering
tag: tagnummer, tag, positie, positienummer, pos, positie nr, functieplaats, plaatsnummer, tag nr, componentcode, motornummer, objectcode, objectnummer
motor: motor, motoren, elektromotor
equipment: apparaat, machine, installatiedeel, verbruiker, aandrijving, toestel, component
asset: equipmentnummer, equipment nr, objectnummer, assetnummer, asset nr, inventarisnummer, sap nummer, object nr, installatienummer, equipment
starter: starter, aanloper, aanloopapparaat, motorstarter, softstarter
drive: fo, frequentieregelaar, omvormer, regelaar, frequentieomvormer, frequentie omvormer
description: omschrijving, benaming, functie, beschrijving, naam
driven: aangedreven, aangedreven machine, aangedreven werktuig, belasting, werktuig
area: afdeling, gebouw, ruimte, locatie, zone, installatie, gebied, sectie, plaats, hal, opstelling
bus: verdeler, verdeelkast, mcc, schakelkast, kast, gevoed uit, rail, hoofdverdeler, voeding, gevoed vanuit, schakelinstallatie, verdeelinrichting, paneel
cubicle: lade, veld, vak, cel, kolom, uitrijlade, veldnummer
power: vermogen, kw, pk, asvermogen
current: stroom, ampère, ampere, stroomsterkte
voltage: spanning, volt
speed: toerental, toeren, omw / min, omwentelingen, tpm
frequency: frequentie, freq
poles: polen, poolaantal, aantal polen, pooltal
phases: fasen, aantal fasen
rated: nominaal, nominale, nom, nenn, typeplaat, kenplaat, toegekende
fullload: vollast
lockedrotor: aanloop, inschakel, aanzet, aanzets
noload: nullast
ratio: verhouding
torque: koppel
breakdown: kip
efficiency: rendement, rend
powerfactor: arbeidsfactor, cos phi, cosphi, cos
servicefactor: servicefactor
insulation: isolatie
class: klasse, kl
rise: temperatuurstijging
enclosure: beschermingsgraad, ip, ip klasse, beschermingsklasse, dichtheid
frame: bouwgrootte, ashoogte, bouwmaat, framemaat
serial: serienummer, serie nr, fabrieksnummer, serienr, fabrieks nr, ser nr
maker: fabrikant, merk, leverancier, fabricaat
catalogue: bestelnummer, artikelnummer, typenummer, bestel nr
type: type, soort
method: aanloopwijze, startmethode, aanloopmethode, startwijze, wijze van aanlopen, inschakelwijze, aanloop soort
overload: thermisch relais, motorbeveiliging, overbelasting, thermische beveiliging, motorbeveiligingsschakelaar, thermiek, overbelastingsrelais, thermisch, bimetaal, therm
setting: instelling, ingesteld, instelwaarde, afstelling, ingesteld op
tripclass: uitschakelklasse, afschakelklasse, tripklasse
breaker: vermogensschakelaar, automaat, schakelaar, installatieautomaat
fuse: zekering, zekeringen, smeltveiligheid, voorzekering, patroon
protection: beveiliging, kortsluitbeveiliging
instantaneous: magnetisch, magnetische
interrupting: afschakelvermogen, uitschakelvermogen
size: grootte, maat
minimum: min, minimum
maximum: max, maximum
cable: kabel, leiding, voedingskabel, motorkabel
length: lengte, lg
section: doorsnede, aderdoorsnede, doorsn
fault: kortsluit, kortsluiting, ik
available: beschikbaar
transformer: transformator, trafo
system: net, systeem
criticality: kritikaliteit, prioriteit, belang, criticaliteit
starts: starts, aantal starts, schakelingen, aanlopen
perhour: per uur, / uur, uur, h, / h
ramp: ramp, aanlooptijd, ramptijd, acceleratie, hellingtijd, startramp, aanloopramp, versnellingstijd
time: tijd, duur
limit: begrenzing, limiet
initial: begin, start spanning
stop: stop, uitloop
ambient: omgeving, omgevings, omgevingstemperatuur
temperature: temperatuur, temp
altitude: hoogte
inertia: massatraagheid, traagheidsmoment
duty: bedrijf, bedrijfssoort
hazard: atex, ex, ex zone
control: stuur, besturing
notes: opmerking, opmerkingen, bemerkingen, notitie, toelichting, notities, opm
date: datum, dag
installed: geplaatst, in bedrijf gesteld, ingebouwd, plaatsing, inbedrijfstelling, plaatsingsdatum
status: status, toestand, staat
failure: storing, defect, falen
happened: storingsdatum, meldingsdatum, datum storing, opgetreden, datum melding, datum wo, datum opdracht
reason: oorzaak, bevinding, storingsomschrijving, omschrijving storing, meldtekst, tekst, klacht, omschrijving melding, opdrachtomschrijving, korte tekst, schadebeeld
downtime: stilstand, stilstandtijd, stilstanduren, uitval, uitvaltijd, uren stilstand, storingsduur
order: werkorder, wo, opdracht, ordernummer, werkordernummer, melding, wo nr, werkordernr
measured: gemeten
bypass: bypass, overbrugging
ct: stroomtransformator, stroomtrafo
coupling: koppeling, overbrenging
run: draaiuren, bedrijfsuren
year: jaar, / jaar, per jaar
capacitor: condensator
mode: faalwijze, storingssoort
stock: voorraad, aantal, magazijn, stuks, schap
bearing: lager, lagers, lager as zijde, lager az, lager naz, lagertype, lager dz
weight: gewicht, massa
mounting: bouwvorm
built: bouwjaar, fabricagejaar, jaar van fabricage
drawing: tekening, schema, tekeningnummer, schemanummer, tek nr, blad
revision: revisie, opgenomen door, gecontroleerd, bijgewerkt, opnamedatum
purchase: inkooporder, kostenplaats, garantie
colour: kleur, verf
lubrication: vet, smering, smeermiddel
space: stilstandsverwarming
vibration: trilling, geluid
rotation: draairichting
io: plc, plc adres
responsible: verantwoordelijke, monteur, ploeg, melder, uitvoerder
gear: tandwielkast, reductie, poelie
flow: debiet, opvoerhoogte, druk, opgenomen vermogen
efficiencyclass: rendementsklasse, ie klasse, ie
"""
HEADINGS = """
fla_a: In, In (A), Nominale stroom, Stroom, I nom, Inom, Motorstroom, Nom. stroom
power_kw: P (kW), Pn, Vermogen, Nominaal vermogen, Motorvermogen, Pnom
motor_voltage_v: U (V), Un, Spanning, Unom, Nominale spanning, Bedrijfsspanning
speed_rpm: Toerental, n (min-1), Toeren, omw/min, tpm
power_factor: cos φ, cosφ, cos phi
efficiency_pct: η, Rendement
device_kind: Aanloop, Aanloopwijze, Starter, Startwijze, Type starter, Startmethode, Schakelwijze
relay_set_a: Instelling thermisch, Thermisch relais, Instelling motorbeveiliging, Instelling thermiek, Motorbeveiliging, Ir, Instelling MBS, Thermiek
protection_rating_a: Zekering, Zekeringen, Automaat, Vermogensschakelaar, Voorzekering, Beveiliging (A)
cable_size: Kabel, Doorsnede, Kabeldoorsnede, Kabeltype, Aderdoorsnede
cable_length_m: Kabellengte, Lengte, Lengte kabel
fault_current_ka: Ik, Ik'', Kortsluitstroom
bus: MCC, Verdeler, Verdeelkast, Schakelkast, Gevoed uit, Kast
locked_rotor_ratio: Ia/In, Ist/In, Aanloopstroom / nominaal
starts_per_hour: Starts/uur, Aantal starts/h, Starts per uur
current_limit_xfla: Stroombegrenzing
initial_voltage_pct: Startspanning, Beginspanning
setting_recorded_on: Instellingen gelezen op
load_kind: Aangedreven werktuig, Soort machine, Type machine
description: Verbruiker, Aandrijving, Omschrijving, Machine
motor: Serienummer, Serienummer motor
model: Type softstarter, Type FO
cause: Storing, Storingsomschrijving, Bevinding
happened_on: Datum storing, Storingsdatum, Meldingsdatum
"""
WORDS = """
device_kind / across-the-line: direct, DOL, directe aanloop, direct aanlopend, direct ingeschakeld, direct start, magneetschakelaar, direct omkeer
device_kind / star-delta: ster-driehoek, ster/driehoek, Y/D, Y/Δ, sterdriehoek, SD, ster driehoek, S/D, Y-D
device_kind / autotransformer: aanlooptransformator, spaartransformator
device_kind / soft starter: softstarter, soft starter, softstart, zachte start, SS
device_kind / drive: FO, frequentieregelaar, frequentieomvormer, omvormer, regelaar, toerengeregeld, FO-geregeld, freq. regelaar
power_path / internal bypass: interne bypass, met bypass, ingebouwde bypass
power_path / solid state: zonder bypass, thyristor
protection_kind / inverse-time breaker: automaat, vermogensschakelaar, motorbeveiligingsschakelaar, MBS, installatieautomaat
protection_kind / instantaneous breaker: magnetisch, vermogensschakelaar magnetisch, alleen magnetisch
protection_kind / fuse: zekering, zekeringen, mespatroon, smeltveiligheid, mespatronen, smeltzekering
protection_kind / none: geen
overload_place / device: in FO, intern, in regelaar, ingebouwd, in softstarter, in omvormer
overload_place / relay: thermisch relais, relais, thermiek, bimetaal, thermisch, MBS
overload_place / thermistor: PTC, thermistor
overload_place / none: geen
thermal_device / PTC thermistor: PTC, 3 PTC, thermistoren, PTC's
thermal_device / thermostat: klixon, thermocontact
thermal_device / RTD: PT100
thermal_device / none: geen, nee
motor_status / in service: in bedrijf, actief, in gebruik
motor_status / in store: magazijn, in magazijn, reserve, voorraad
motor_status / failed: defect, in reparatie, kapot
motor_status / scrapped: afgevoerd, verschroot, gesloopt
criticality / critical: kritisch, kritiek, vitaal
criticality / essential: essentieel, belangrijk
criticality / ordinary: normaal, gewoon, niet kritisch
standby / none: geen, nee
standby / installed: reserve aanwezig, ja
load_kind / centrifugal pump: pomp, centrifugaalpomp
load_kind / positive-displacement pump: verdringerpomp, wormpomp, tandwielpomp, doseerpomp
load_kind / vacuum pump: vacuümpomp
load_kind / slurry pump: slibpomp
load_kind / deep-well pump: bronpomp, onderwaterpomp
load_kind / centrifugal fan: ventilator, centrifugaalventilator, afzuigventilator
load_kind / axial fan: axiaalventilator
load_kind / blower: blower, aanjager
load_kind / conveyor: transportband, band, transporteur, elevator, kettingtransporteur
load_kind / screw conveyor: schroef, transportschroef, vijzel, schroeftransporteur
load_kind / crusher: breker, shredder
load_kind / mill: molen, maalmolen
load_kind / mixer: menger
load_kind / agitator: roerwerk, roerder
load_kind / screw compressor: schroefcompressor
load_kind / reciprocating compressor: zuigercompressor
load_kind / centrifugal compressor: centrifugaalcompressor
load_kind / centrifuge: centrifuge, decanter
load_kind / hoist: kraan, takel, hijswerk
load_kind / saw: zaag
load_kind / other: overig, overige
coupling / direct: direct, flexibele koppeling, koppeling
coupling / belt: riem, v-riem, v-snaar, snaren
coupling / gear: tandwielkast, reductor
coupling / chain: ketting
coupling / fluid: vloeistofkoppeling
result / passed: goed, akkoord, goedgekeurd
result / failed: slecht, afgekeurd
speed_need / fixed: vast, constant
speed_need / variable: variabel, geregeld
speed_need / two-speed: twee toerentallen, dahlander
motor_type / cage: kooianker, kortsluitanker, asynchroon
motor_type / wound rotor: sleepring, sleepringanker
motor_type / synchronous: synchroon
motor_type / permanent magnet: permanente magneet
motor_type / direct current: gelijkstroom
relay_reset / manual: hand, handmatig
relay_reset / automatic: automatisch
control_scheme / hardwired: bedraad
control_scheme / network: netwerk, veldbus
device_place / indoor: binnen
device_place / outdoor: buiten
device_place / indoor dusty: stoffig
device_place / indoor wet: vochtig, nat
motor_place / indoor: binnen
motor_place / outdoor: buiten
motor_place / indoor dusty: stoffig
motor_place / indoor wet: vochtig, nat
flag / yes: ja
flag / no: nee
"""
BLANKS = """
not surveyed: onbekend, niet bekend, n.b., nb, te controleren, niet opgenomen, ontbreekt, nog niet opgenomen, nader te bepalen, n.t.b.
illegible: onleesbaar, typeplaat onleesbaar, geen typeplaat, niet leesbaar
not published: niet vermeld
not applicable: n.v.t., nvt, niet van toepassing
"""
PASSED = """
words: de, het, een, van, en, in, op, uit, voor, met, per, bij, te, volgens, waarde, gegevens, aantal
"""
MONTHS = """
months: jan, feb, mrt, apr, mei, jun, jul, aug, sep, okt, nov, dec
months: jan, feb, maa, apr, mei, jun, jul, aug, sept, okt, nov, dec
"""
LINES = """
total: totaal, som, subtotaal, eindtotaal, totaal vermogen
group: voeding, hoofdschakelaar, verdeler, verdeelkast, schakelkast, gebouw, afdeling, installatie, hal, lijn, kast, veld, ruimte
ditto: idem, zie boven, id, als boven, zie hierboven
empty: reserve, leeg, vrij
stores: reserve, magazijn, voorraad, reservemotoren, reservedelen
attribute: kenmerk, eigenschap, attribuut, parameter, veldnaam, gegeven
value: waarde
unit: eenheid, eenh
"""
