"""German. Compounds are taken apart into the words below."""

CONCEPTS = """
number: nummer, nr, num, kennung, lfd, lfd nr, laufende nummer
code: kennzeichen, kurzzeichen, bezeichner, kürzel
tag: kennzeichnung, betriebsmittelkennzeichen, betriebsmittelkennzeichnung, bmk, aks, kks, akz, anlagenkennzeichen, messstelle, messstellen nr, pos, posnr, position, positionsnummer, stellennummer, technischer platz, techn platz, technplatz, tp, antriebsnummer, antriebs nr, motornummer, motor nr, verbrauchernummer, emsr, plt stelle, plt-stelle, aggregatnummer, aggregat nr, anlagenkennz, kennz, anlagenkz
motor: motor, motoren, elektromotor, e-motor
equipment: gerät, betriebsmittel, verbraucher, antrieb, aggregat, maschine, verbraucher nr
asset: equipment, equipmentnummer, equi, equi nr, equipment nr, anlagennummer, anlagen nr, inventarnummer, inventar nr, inventar, sap nr, sap nummer, technisches objekt, objektnummer
starter: anlasser, starter, motorstarter, anlaufgerät, sanftanlasser, softstarter, motorabgang, abgang
drive: fu, umrichter, frequenzumrichter, freq umrichter
description: bezeichnung, beschreibung, benennung, bez, beschr, funktion, verwendung, klartext, text, einsatz, verwendungszweck, zweck
driven: arbeitsmaschine, angetriebene maschine, last, lastart
area: bereich, anlage, anlagenteil, gebäude, ort, einbauort, standort, aufstellort, aufstellungsort, betrieb, teilanlage, halle, raum, abteilung, linie, betriebsteil
bus: mcc, verteilung, verteiler, schaltanlage, schaltschrank, uv, nshv, unterverteilung, sammelschiene, schrank, einspeisung, netzabgang, gespeist aus, versorgung aus, speisung, schaltraum
cubicle: einschub, feld, abgangsfeld, schaltfeld, feld nr, einschub nr, fach, abgang nr, modul
power: leistung, ps, kw, wellenleistung, abgabeleistung, motorleistung, nennleistung
current: strom, stromaufnahme, ampere
voltage: spannung, volt, spg
speed: drehzahl, touren, umdrehungen, u / min, 1 / min
frequency: frequenz, freq
poles: pole, polzahl, polig, anzahl pole, pol
phases: phasen, phasenzahl
rated: nenn, bemessungs, bemessung, nom, typenschild, leistungsschild, gemäß typenschild, lt schild
fullload: volllast, vollast
lockedrotor: anzugs, anlauf, anlass, kurzschlussläufer anzug, einschalt
noload: leerlauf
ratio: verhältnis, faktor, vielfaches
torque: moment, drehmoment
breakdown: kipp
efficiency: wirkungsgrad, wirkungsgr
powerfactor: leistungsfaktor, cosphi, cos phi
servicefactor: servicefaktor, betriebsfaktor, überlastfaktor
insulation: isolation, isolierstoff, wärme, iso, isolations, isolierung, thermische, wicklungs
class: klasse, kl
rise: erwärmung, übertemperatur
enclosure: schutzart, ip schutzart, ip
frame: baugröße, baugrösse, achshöhe, bg, gehäusegröße, baugr
serial: seriennummer, serien nr, fabriknummer, fabr nr, fabrik nr, fabriknr, serie nr, werknummer, ser nr, fertigungsnummer, fertigungs nr, masch nr, sn
maker: hersteller, fabrikat, fabr, lieferant, herst, marke
catalogue: bestellnummer, bestell nr, artikelnummer, artikel nr, typ, typnummer, typbezeichnung, materialnummer, mlfb, best nr
type: art, ausführung, typ
method: anlaufart, anlassart, startart, schaltart, anlassverfahren, anlaufverfahren, einschaltart, art des anlaufs, startverfahren, betriebsart, anlauf
overload: motorschutz, motorschutzrelais, überlast, überlastrelais, thermorelais, bimetall, motorschutzschalter, bimetallrelais, überlastschutz, thermische auslösung, therm auslöser, thermisches relais, überstromauslöser, msr, th relais, thermoauslöser
setting: einstellung, einstellwert, eingestellt, eingestellter, einst, soll einstellung, auslöser einstellung
tripclass: auslöseklasse, ausl klasse, trägheitsklasse
breaker: leistungsschalter, ls schalter, ls, leitungsschutzschalter, schalter, mcb, ls-schalter
fuse: sich, sicherung, vorsicherung, sicherungen, nh sicherung, absicherung, nh
protection: schutzorgan, leitungsschutz, kurzschlussschutz, schutz, schutzgerät, schutzeinrichtung
instantaneous: schnellauslöser, magnetauslöser, magnetisch, kurzschlussauslöser, unverzögert
interrupting: schaltvermögen, ausschaltvermögen, abschaltvermögen
size: größe, grösse, gr
range: bereich einstell, einstellbereich
minimum: min, minimal, kleinster, unterer
maximum: max, maximal, größter, oberer
cable: kabel, leitung, zuleitung, motorkabel, motorleitung, kabeltyp, motorzuleitung
length: länge, lg
section: querschnitt, quer, qs
ampacity: strombelastbarkeit, belastbarkeit
fault: kurzschluss, ik, kurzschlussleistung, kurzschlußstrom, kurzschluß
available: verfügbar, am einbauort, prospektiv
withstand: stoßstromfestigkeit, kurzschlussfestigkeit
transformer: transformator, trafo
impedance: impedanz, uk
system: netz, system, sammelschienen
criticality: kritikalität, wichtigkeit, priorität, abc, abc kennzeichen, bedeutung, prio, abc klasse
starts: starts, anläufe, schaltspiele, schalthäufigkeit, einschaltungen, starthäufigkeit, schaltungen, anzahl starts, anlasshäufigkeit, anlaufhäufigkeit
perhour: pro stunde, je stunde, std, / std, h, stündlich, / h, pro h
ramp: rampe, hochlauframpe, hochlauf, startrampe, hochlaufzeit, rampenzeit, anlauframpe, anlaufzeit
time: zeit, dauer
limit: begrenzung, grenze
initial: anfangs, start spannung
stop: auslauf, stopp, bremse
start: start
ambient: umgebung, umgebungs, umgeb, umgebungstemperatur, umgebungstemp
temperature: temperatur, temp
altitude: höhe, aufstellhöhe, aufstellungshöhe, höhenlage
inertia: trägheitsmoment, massenträgheit, massenträgheitsmoment, schwungmoment
duty: betriebs, betriebsart s
hazard: ex, ex schutz, explosionsschutz, ex bereich, zündschutzart
control: steuer, steuerung
notes: bemerkung, bemerkungen, anmerkung, anmerkungen, hinweis, notiz, notizen, kommentar, bem, hinweise, info
date: datum, tag, dat
installed: eingebaut, inbetriebnahme, montiert, einbau, ibn, eingebaut am, einbaudatum, inbetriebnahmedatum
status: status, zustand, systemstatus, anwenderstatus
failure: störung, ausfall, schaden, fehler, störungs
happened: störungsbeginn, störbeginn, meldedatum, meldungsdatum, eingetreten, aufgetreten, ecktermin, gemeldet am, auftragsdatum, beginn störung, störung am
reason: ursache, schadensbild, schadensursache, störungstext, meldungstext, langtext, kurztext, befund, störungsbild, schadenstext, auftragstext, meldetext, fehlertext, störungsbeschreibung, beschreibung störung
downtime: stillstand, ausfallzeit, stillstandszeit, ausfalldauer, stillstandsdauer, störungsdauer
order: auftrag, auftragsnummer, auftrags nr, meldung, meldungsnummer, meldungs nr
measured: gemessen, betriebsstrom, gemessener, mess
bypass: bypass, überbrückung, umgehung
ct: stromwandler, wandler, wandlerverhältnis, übersetzung wandler
coupling: kupplung, kraftübertragung, antriebsart
run: betriebsstunden, laufstunden, bh
year: jahr
capacitor: kompensation, kondensator
mode: schadenscode, ausfallart, fehlerart
stock: bestand, lagerbestand, menge, stück, lagerort, lager, lagerplatz, anzahl, stk, mindestbestand
bearing: lager as, lager bs, wälzlager, lagertyp, lagerung, lager d seite, lager n seite, lager a-seite, lager b-seite, kugellager, lager a seite, lager b seite
weight: gewicht, masse
mounting: bauform, aufstellung, bauform im
built: baujahr, bj, herstelljahr, herstellungsjahr, fertigungsjahr
drawing: zeichnung, zeichnungsnummer, stromlaufplan, schaltplan, plan, zeichn nr, zeichnungs nr, blatt, schaltplan nr
revision: stand, revision, geprüft, aufgenommen von, erfasst von, prüfdatum, letzte prüfung, aufgenommen, bearbeiter
purchase: bestellung, kostenstelle, garantie
colour: farbe, anstrich, lackierung, ral
lubrication: fett, schmierung, schmierstoff, nachschmierfrist
space: stillstandsheizung, heizung
vibration: schwingung, geräusch, schall, schalldruck
rotation: drehrichtung
io: sps, sps adresse, adresse, leittechnik, eingang, ausgang
responsible: verantwortlich, meister, gewerk, zuständig, arbeitsplatz, gemeldet von, planergruppe, melder
gear: getriebe, übersetzung, riemenscheibe
flow: förderstrom, fördermenge, förderhöhe, druck, volumenstrom, wellenleistungsbedarf, leistungsbedarf
efficiencyclass: effizienzklasse, energieeffizienzklasse, ie klasse, wirkungsgradklasse
equipmentless: schaltung
"""
HEADINGS = """
description: Verbraucher, Antrieb, Aggregat, Antrieb / Verbraucher, Verbraucherbezeichnung, Antriebsbezeichnung, Bezeichnung Verbraucher, Anlagenteil / Funktion
fla_a: Nennstrom, Motornennstrom, Bemessungsstrom, IN, In [A], I nenn, Inenn, IN Motor, Strom, Nennstrom Motor
power_kw: PN, Pn, P nenn, Pnenn, P [kW], P kW, Leistung, Motorleistung, P2, kW
motor_voltage_v: UN, Un, U nenn, Unenn, U [V], Spannung, Betriebsspannung, Bemessungsbetriebsspannung
speed_rpm: nN, n nenn, nenndrehzahl, n [min-1], n [1/min], U/min
power_factor: cos φ, cosφ, cos phi
efficiency_pct: eta, η
device_kind: Anlauf, Anlaufart, Anlassart, Startart, Einschaltart, Starterart, Schaltart, Abgangsart, Art des Abgangs, Abgangstyp, Motorabgang
relay_set_a: Motorschutz, Einstellung Motorschutz, Motorschutz eingestellt, Ie Motorschutz, MSS Einstellung, Ir, Einstellwert Bimetall, Überlast A, Motorschutz [A], Bimetall, Bimetall A
protection_rating_a: Sicherung, Vorsicherung, Absicherung, NH-Sicherung, Schalter A
cable_size: Kabel, Kabeltyp, Kabelquerschnitt, Querschnitt, Zuleitung, Leitung, Kabel / Querschnitt, Leitungsquerschnitt, Motorkabel
cable_length_m: Kabellänge, Leitungslänge, Länge
fault_current_ka: Ik, Ik'', Ik max, Kurzschlussstrom, Ik3
locked_rotor_ratio: IA/IN, Ia/In, Anlaufstrom/Nennstrom, Anzugsstrom / Nennstrom, Anlaufstromverhältnis
locked_rotor_torque_pct: MA/MN, Anzugsmoment
breakdown_torque_pct: MK/MN, Kippmoment
starts_per_hour: Starts/h, Anläufe/h, Schaltspiele/h, Schalthäufigkeit, Anläufe pro Stunde
duty_type: Betriebsart S1..S10, Betriebsart IEC
frame: Baugröße, BG, Achshöhe
ramp_s: Rampe, Rampenzeit, Hochlaufzeit, Hochlauframpe, Startrampe
current_limit_xfla: Strombegrenzung, Stromgrenze, I-Begrenzung
initial_voltage_pct: Startspannung, Anfangsspannung
setting_recorded_on: Einstellungen gelesen am, Parameter gelesen am, Parameter vom
control_voltage_v: Steuerspannung
load_kind: Arbeitsmaschine, Art der Maschine, Maschinenart
bus_voltage_v: Netzspannung, Systemspannung
transformer_kva: Trafoleistung
downtime_h: Stillstand, Ausfallzeit
cause: Schaden, Befund, Störung, Meldungstext, Kurztext
second_fla_a: Nennstrom 2. Stufe
motor: Motor Fabriknummer, Fabriknummer, Fabr.-Nr.
model: Typ Anlasser, Anlasser Typ, Gerätetyp, Gerät Typ, Typ Gerät, Starter-Typ,
model_maker: Gerätehersteller, Gerät Hersteller, Hersteller Gerät, Hersteller Anlasser, Anlasser Hersteller, Starter Hersteller
model:  Starter Typ, Typ Starter
"""
WORDS = """
device_kind / across-the-line: direkt, direktanlauf, direktstart, direkteinschaltung, direkt ein, DA, direktstarter, direktanlasser, wendestarter, schütz, wendeschütz, direkt (wende), direktschütz
device_kind / star-delta: stern-dreieck, stern/dreieck, sterndreieck, SD, S/D, Y/Δ, stern-dreieck-anlauf, Y-D-anlauf, stern dreieck anlasser, stern-dreieck-starter, stern-dreieckanlauf, YD
device_kind / autotransformer: anlasstransformator, anlasstrafo, spartrafo, spartransformator, anlaßtrafo
device_kind / soft starter: sanftanlasser, sanftanl, sanftanl., sanft-anl., softst., sanftanlauf, softstarter, sanftstarter, sanftstart, SAS, sanft, softstart
device_kind / drive: FU, umrichter, frequenzumrichter, FU-betrieb, frequenz-umrichter, FU (drehzahlgeregelt), drehzahlgeregelt, umrichterbetrieb, FU-Antrieb
power_path / internal bypass: interner bypass, mit bypass, integrierter bypass, bypass integriert
power_path / solid state: ohne bypass, thyristor
protection_kind / inverse-time breaker: leistungsschalter, LS-Schalter, leitungsschutzschalter, LS, LSS, motorschutzschalter, MSS
protection_kind / instantaneous breaker: leistungsschalter nur magnetisch, starterschutzschalter, nur magnetisch, LS magnetisch
protection_kind / fuse: sicherung, sicherungen, NH, NH-sicherung, neozed, diazed, NH gG, gL, gL/gG, D0, schmelzsicherung
protection_kind / semiconductor fuse: halbleitersicherung, superflinke sicherung, aR
protection_kind / none: keine, ohne
overload_place / device: im gerät, im FU, im umrichter, im sanftanlasser, FU intern, intern, geräteintern, integriert, elektronisch im gerät, im SAS
overload_place / relay: bimetall, bimetallrelais, thermorelais, motorschutzrelais, relais, thermisches relais, MSR, motorschutzschalter, MSS
overload_place / thermistor: kaltleiter, PTC, thermistor, kaltleiterfühler
overload_place / motor: im motor, thermokontakt, bimetall im motor
overload_place / none: keine, ohne, kein
thermal_device / PTC thermistor: kaltleiter, PTC, kaltleiterfühler, 3 PTC, 3xPTC
thermal_device / thermostat: thermokontakt, bimetallschalter, klixon, TO
thermal_device / RTD: PT100, widerstandsthermometer
thermal_device / none: keine, ohne, nein, kein
motor_status / in service: in betrieb, betrieb, eingebaut, läuft, aktiv
motor_status / in store: lager, im lager, reserve, ersatz, auf lager
motor_status / failed: defekt, ausgefallen, schaden, in reparatur
motor_status / scrapped: verschrottet, ausgemustert, stillgelegt
criticality / critical: kritisch
criticality / essential: wichtig
criticality / ordinary: normal, unkritisch
standby / none: keine, nein, ohne
standby / installed: vorhanden, reserve installiert, redundant, ja
load_kind / centrifugal pump: pumpe, kreiselpumpe, kreiselpumpen, tauchpumpe
load_kind / positive-displacement pump: verdrängerpumpe, exzenterschneckenpumpe, zahnradpumpe, kolbenpumpe, dosierpumpe
load_kind / vacuum pump: vakuumpumpe
load_kind / slurry pump: schlammpumpe, dickstoffpumpe
load_kind / deep-well pump: brunnenpumpe, tiefbrunnenpumpe, unterwasserpumpe
load_kind / centrifugal fan: ventilator, radialventilator, lüfter, saugzug, gebläse radial
load_kind / axial fan: axialventilator, axiallüfter
load_kind / blower: gebläse, drehkolbengebläse
load_kind / conveyor: förderband, bandförderer, förderer, gurtförderer, band, kettenförderer, becherwerk
load_kind / screw conveyor: schnecke, förderschnecke, schneckenförderer
load_kind / crusher: brecher, shredder
load_kind / mill: mühle, kugelmühle
load_kind / mixer: mischer
load_kind / agitator: rührwerk, rührer
load_kind / screw compressor: schraubenverdichter, schraubenkompressor
load_kind / reciprocating compressor: kolbenverdichter, kolbenkompressor
load_kind / centrifugal compressor: turboverdichter
load_kind / centrifuge: zentrifuge
load_kind / hoist: kran, hubwerk, aufzug
load_kind / saw: säge
load_kind / other: sonstige, andere
coupling / direct: direkt, kupplung, elastische kupplung
coupling / belt: riemen, keilriemen
coupling / gear: getriebe
coupling / chain: kette
coupling / fluid: strömungskupplung, turbokupplung
result / passed: in ordnung, i.o., iO, bestanden
result / failed: nicht in ordnung, n.i.o., nicht bestanden, mangel
speed_need / fixed: fest, konstant
speed_need / variable: variabel, geregelt, drehzahlgeregelt
speed_need / two-speed: polumschaltbar, zweistufig, dahlander
motor_type / cage: käfigläufer, kurzschlussläufer, asynchron, asynchronmotor, drehstrom asynchron, DASM
motor_type / wound rotor: schleifringläufer, schleifringläufermotor
motor_type / synchronous: synchronmotor, synchron
motor_type / permanent magnet: permanentmagnet
motor_type / reluctance: reluktanz
motor_type / direct current: gleichstrom, gleichstrommotor
relay_reset / manual: hand, von hand
relay_reset / automatic: automatisch, auto
control_scheme / hardwired: verdrahtet, konventionell
control_scheme / network: feldbus
device_place / indoor: innen, innenraum
device_place / outdoor: außen, aussen, im freien
device_place / indoor dusty: staubig, innen staubig
device_place / indoor wet: feucht, nass, innen feucht
motor_place / indoor: innen, innenraum
motor_place / outdoor: außen, aussen, im freien
motor_place / indoor dusty: staubig, innen staubig
motor_place / indoor wet: feucht, nass, innen feucht
flag / yes: ja, vorhanden, j
flag / no: nein, nicht vorhanden, kein, keine, ohne
"""
BLANKS = """
not surveyed: unbekannt, unbek, unbek., fehlt, nicht bekannt, k.a., k. a., ka, k.A, keine angabe, keine angaben, offen, nicht erfasst, zu klären, n.b., n. b., nicht aufgenommen
illegible: unleserlich, nicht lesbar, schild fehlt, kein schild, schild unleserlich, schild überlackiert, überstrichen, typenschild fehlt, kein typenschild
not published: nicht angegeben
not applicable: entfällt, entf., nicht vorhanden, nicht zutreffend, trifft nicht zu
"""
PASSED = """
words: auf, wurde, der, die, das, des, dem, den, am, im, an, in, aus, von, und, für, mit, je, pro, bei, nach, zum, zur, ein, einer, lt, laut, gem, angabe, angaben, daten, wert, werte, einheit, ist, soll, vorhanden, einspeis
"""
MONTHS = """
months: jan, feb, mär, apr, mai, jun, jul, aug, sep, okt, nov, dez
months: jän, feb, mrz, apr, mai, jun, jul, aug, sept, okt, nov, dez
months: jan, feb, maerz, apr, mai, jun, jul, aug, sep, okt, nov, dez
"""
LINES = """
total: summe, gesamt, gesamtsumme, zwischensumme, anzahl, summen, insgesamt, anschlussleistung, gesamtleistung
group: einspeisung, hauptschalter, kuppelschalter, verteilung, schaltanlage, nshv, uv, anlage, bereich, gebäude, halle, abteilung, feld, schaltschrank, linie, schaltraum, abschnitt, station
ditto: dto, wie oben, siehe oben, s o, dito, w o, w v, wie vor
empty: reserve, leer, frei, leerfeld, reservefeld
stores: ersatz, ersatzmotoren, lager, lagerbestand, reserve, ersatzteile, lagerliste, magazin, ersatzteil
attribute: merkmal, eigenschaft, kenngröße, parameter, merkmalbezeichnung, attribut, kennwert, merkmalname
value: wert, merkmalwert, ausprägung
unit: einheit, maßeinheit, einh, me
"""
